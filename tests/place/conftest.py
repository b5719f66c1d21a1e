"""Folders and small files for the place tests."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from handouts.paths import content_dir

SERIES = Path(__file__).parent.parent / "data" / "series"


@pytest.fixture(scope="session")
def content() -> Path:
    """The shipped content folder."""
    return content_dir()


@pytest.fixture(scope="session")
def series_folder() -> Path:
    """The folder of the real series."""
    return SERIES


@pytest.fixture
def put(tmp_path: Path) -> Callable[[str, str | bytes], Path]:
    """Write a small file and return its path."""

    def write(name: str, text: str | bytes) -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write
