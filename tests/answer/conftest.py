"""What the answer tests share: one desk over the shipped content."""

from __future__ import annotations

import pytest

from handouts import build, paths
from handouts.desk import Desk

HERE = build.Folders(paths.content_dir())
IOWA = "zone=6a,lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-04"
GEORGIA = "zone=8b,lat=32.1,lon=-83.2,last-freeze=03-15,first-freeze=11-12"


@pytest.fixture(scope="session")
def desk() -> Desk:
    """A desk that all tests ask."""
    return Desk(HERE)
