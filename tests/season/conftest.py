"""Real series for the season tests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from handouts import build
from handouts.model.library import Library
from handouts.model.season import Season
from handouts.paths import content_dir
from handouts.place import daily, logger
from handouts.place.known import from_inline, from_mapping
from handouts.place.profile import profile
from handouts.season.series import Series
from handouts.season.windows import season

SERIES = Path(__file__).parent.parent / "data" / "series"


@pytest.fixture(scope="session")
def clemson_all() -> Series:
    """Clemson SC, 1971-2020."""
    return daily.read(SERIES / "USC00381770_1971-2020.csv.gz")


@pytest.fixture(scope="session")
def clemson_old(clemson_all: Series) -> Series:
    """Clemson SC, 1971-2000."""
    return clemson_all.between(date(1971, 1, 1), date(2000, 12, 31))


@pytest.fixture(scope="session")
def clemson_new(clemson_all: Series) -> Series:
    """Clemson SC, 1991-2020."""
    return clemson_all.between(date(1991, 1, 1), date(2020, 12, 31))


@pytest.fixture(scope="session")
def lincoln() -> Series:
    """Lincoln NE, 2016."""
    return daily.read(SERIES / "lincoln_2016_portal.csv")


@pytest.fixture(scope="session")
def jfk() -> Series:
    """JFK airport, 2013, from hourly readings."""
    return logger.read(SERIES / "jfk_2013_hourly.csv.gz")


@pytest.fixture(scope="session")
def library() -> Library:
    """The shipped content."""
    return build.library(build.Folders(content_dir()))


@pytest.fixture(scope="session")
def season_at(library: Library) -> Callable[..., Season]:
    """A function: place as one text, species and year in, the season out; `daily` names one of the real series."""

    def made(place: str, species: str = "black-swallowtail", year: int = 2027, daily: str | None = None) -> Season:
        known = from_inline(place)
        if daily is not None:
            fields = {key: str(value) for key, value in known.model_dump().items() if isinstance(value, str | float)}
            known = from_mapping({**fields, "daily": str(SERIES / daily)}, SERIES, "test")
        return season(library, species, profile(known, content_dir(), (year,)), year)

    return made
