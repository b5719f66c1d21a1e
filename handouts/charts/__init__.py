"""Seasons, freeze dates and temperatures come in; charts as SVG text with their claims go out."""
