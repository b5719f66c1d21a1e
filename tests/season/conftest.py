"""Real series for the season tests."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from handouts.place import daily, logger
from handouts.season.series import Series

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
