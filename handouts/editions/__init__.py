"""Editions in the world: what was given out, who approved it, what of it has changed since, and what came of it."""
