"""Where the shipped folders are: nothing comes in, a folder path goes out (inside the package, else beside it)."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped(name: str) -> Path:
    """The folder `name` inside the installed package when it is there, else beside the package (a checkout)."""
    inside = _PACKAGE / "_data" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def content_dir() -> Path:
    """The shipped facts, words, places and plans."""
    return _shipped("content")


def templates_dir() -> Path:
    """The shipped layouts, pictures and fonts."""
    return _shipped("templates")


def demo_dir() -> Path:
    """The worked example: an event and its club."""
    return _shipped("demo")
