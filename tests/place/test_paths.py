"""Where the shipped folders are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from handouts import paths


def test_a_checkout_uses_the_folders_beside_the_package() -> None:
    """In a checkout content, templates and demo lie beside the package."""
    root = Path(paths.__file__).resolve().parent.parent
    assert paths.content_dir() in (root / "content", root / "handouts" / "_data" / "content")
    assert paths.content_dir().is_dir()
    assert paths.templates_dir().name == "templates"
    assert paths.demo_dir().name == "demo"


def test_an_installed_package_uses_its_own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the package carries its data, that is used."""
    (tmp_path / "handouts" / "_data" / "content").mkdir(parents=True)
    monkeypatch.setattr(paths, "_PACKAGE", tmp_path / "handouts")
    assert paths.content_dir() == tmp_path / "handouts" / "_data" / "content"
    assert paths.demo_dir() == tmp_path / "demo"
