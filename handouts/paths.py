"""Where the folders are: the shipped ones (inside the package, else beside it), and a club's above a folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from handouts.errors import BadInput

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


@dataclass(frozen=True)
class Folders:
    """Where content and the club's additions are read from."""

    content: Path
    club: Path | None = None


def find_club(start: Path) -> Path | None:
    """Return the nearest folder at or above `start` that holds `club.yml`, or has it in its folder `club`."""
    folder = start.resolve()
    for above in (folder, *folder.parents):
        for candidate in (above, above / "club"):
            if (candidate / "club.yml").is_file():
                return candidate
    return None


def folders(content: Path | None, club: Path | None, near: Path | None = None) -> Folders:
    """Return the folders to read: the shipped content unless one is named; the club above the event or the work."""
    found = club if club is not None else find_club(near if near is not None else Path.cwd())
    if content is not None and not content.is_dir():
        raise BadInput("the content folder is missing", file=content, remedy="Check --content.")
    return Folders(content or content_dir(), found)
