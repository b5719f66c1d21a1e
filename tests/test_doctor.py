"""What the doctor finds, and what it says when something is missing."""

from __future__ import annotations

import ctypes.util
import shutil
from importlib import metadata
from pathlib import Path

import pytest

from handouts import doctor, paths


def part(name: str) -> doctor.Part:
    """The finding of this name."""
    return next(part for part in doctor.examine() if part["name"] == name)


def test_what_is_there_needs_no_mending() -> None:
    """On a machine that runs these tests the needed parts are found, and a found part names no remedy."""
    found = {part["name"]: part for part in doctor.examine(deep=True)}
    for name in ("Python", "Jinja2", "weasyprint", "templates", "bundled fonts", "PDF engine"):
        assert found[name]["ok"], found[name]
    assert all(part["mend"] == "" for part in found.values() if part["ok"])
    assert all(part["mend"] for part in found.values() if not part["ok"])
    assert all(part["needed_for"] for part in found.values())


def test_a_missing_system_library_names_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without Pango the doctor gives the line to type."""
    monkeypatch.setattr(ctypes.util, "find_library", lambda name: None)
    for name in ("pango", "harfbuzz-subset"):
        assert not part(name)["ok"]
        assert "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in part(name)["mend"]


def test_a_missing_package_and_program_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Python packages and optional programs are reported by name."""

    def gone(name: str) -> str:
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "version", gone)
    monkeypatch.setattr(shutil, "which", lambda name: None)
    assert part("Jinja2") == {
        "name": "Jinja2",
        "ok": False,
        "found": "missing",
        "needed_for": "HTML and PDF",
        "mend": doctor.PIP,
    }
    assert "optional" in part("Java")["needed_for"]


def test_a_broken_installation_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Folders and fonts that are not where they should be are findings, not crashes."""
    monkeypatch.setattr(paths, "templates_dir", lambda: tmp_path)
    monkeypatch.setattr(paths, "content_dir", lambda: tmp_path)
    for name in ("content", "templates", "bundled fonts"):
        assert not part(name)["ok"]
