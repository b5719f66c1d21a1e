"""Nothing in, a list of what is installed and what is missing out, each with the line that mends it."""

from __future__ import annotations

import ctypes.util
import shutil
import sys
from importlib import metadata
from pathlib import Path
from typing import TypedDict

from handouts import paths
from handouts.errors import HandoutsError
from handouts.mending import PDF_LIBRARIES

LEAST_PYTHON = (3, 11)
# Distribution name, what it is for. Versions are the package's own business; here it must only be there.
LIBRARIES = (
    ("click", "the command line"),
    ("pydantic", "reading content"),
    ("PyYAML", "reading content"),
    ("Markdown", "reading prose"),
    ("Jinja2", "HTML and PDF"),
    ("numpy", "the season at a place"),
    ("weasyprint", "PDF"),
    ("fonttools", "PDF"),
    ("icalendar", "calendars"),
    ("segno", "the code that leads to a club's corrections"),
    ("pypdfium2", "inspecting PDF"),
    ("pikepdf", "inspecting PDF"),
)
# Names as the PDF engine looks for them; the last is not needed, only faster and the same bytes on every run.
SHARED = (
    ("pango", ("pango-1.0", "libpango-1.0-0"), "PDF"),
    ("pangoft2", ("pangoft2-1.0", "libpangoft2-1.0-0"), "PDF"),
    ("gobject", ("gobject-2.0", "libgobject-2.0-0"), "PDF"),
    ("harfbuzz", ("harfbuzz", "libharfbuzz-0"), "PDF"),
    ("fontconfig", ("fontconfig", "libfontconfig-1"), "PDF"),
    ("harfbuzz-subset", ("harfbuzz-subset", "libharfbuzz-subset-0"), "faster PDF"),
)
PROGRAMS = (
    ("Java", ("java",), "checking PDF/UA with veraPDF (optional)"),
    ("Chromium", ("chromium", "chromium-browser", "google-chrome"), "checking HTML with axe-core (optional)"),
    ("poppler", ("pdftoppm",), "turning pages into pictures to look at (optional)"),
)
PIP = "python -m pip install --upgrade handouts"


class Part(TypedDict):
    """One thing the tool uses: whether it is there, what was found, what needs it, and the line that mends it."""

    name: str
    ok: bool
    found: str
    needed_for: str
    mend: str


def examine(deep: bool = False) -> list[Part]:
    """Return what is installed and missing. `deep` also loads the PDF engine itself (half a second)."""
    parts = [_python(), *map(_library, LIBRARIES), *map(_shared, SHARED), *_folders(), *map(_program, PROGRAMS)]
    if deep:
        parts.append(_engine())
    return parts


def _part(name: str, ok: bool, found: str, needed_for: str, mend: str) -> Part:
    return {"name": name, "ok": ok, "found": found, "needed_for": needed_for, "mend": "" if ok else mend}


def _python() -> Part:
    found = ".".join(map(str, sys.version_info[:3]))
    return _part(
        "Python", sys.version_info[:2] >= LEAST_PYTHON, found, "everything", "Install Python 3.11 or newer: python.org"
    )


def _library(wanted: tuple[str, str]) -> Part:
    name, needed_for = wanted
    try:
        found = metadata.version(name)
    except metadata.PackageNotFoundError:
        return _part(name, False, "missing", needed_for, PIP)
    return _part(name, True, found, needed_for, "")


def _shared(wanted: tuple[str, tuple[str, ...], str]) -> Part:
    name, names, needed_for = wanted
    found = next((path for path in map(ctypes.util.find_library, names) if path), None)
    return _part(name, found is not None, found or "missing", needed_for, PDF_LIBRARIES)


def _folders() -> list[Part]:
    parts = [
        _folder("content", paths.content_dir(), "words/en.yml", "everything"),
        _folder("templates", paths.templates_dir(), "layout/base.html", "HTML and PDF"),
    ]
    fonts = sorted((paths.templates_dir() / "fonts").glob("*.ttf"))
    found = f"{len(fonts)} files" if fonts else "missing"
    parts.append(_part("bundled fonts", bool(fonts), found, "PDF", PIP))
    return parts


def _folder(name: str, folder: Path, sign: str, needed_for: str) -> Part:
    there = (folder / sign).is_file()
    return _part(name, there, str(folder) if there else f"no {sign} in {folder}", needed_for, PIP)


def _program(wanted: tuple[str, tuple[str, ...], str]) -> Part:
    name, commands, needed_for = wanted
    found = next((path for path in map(shutil.which, commands) if path), None)
    mend = f"Optional. Install {name} if you want this check."
    return _part(name, found is not None, found or "missing", needed_for, mend)


def _engine() -> Part:
    try:
        from handouts.render.pdf import load_weasyprint

        found = str(load_weasyprint().__version__)
    except (HandoutsError, ImportError) as error:
        return _part("PDF engine", False, str(error), "PDF", PDF_LIBRARIES)
    return _part("PDF engine", True, found, "PDF", "")
