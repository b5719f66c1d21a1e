"""Handouts for the volunteer garden educator: facts that carry their source, right for the place."""

__version__ = "0.1.0"
