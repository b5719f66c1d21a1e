"""The shipped words and day lengths for the chart tests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from handouts.load.records import read_record
from handouts.model.records import Words
from handouts.paths import content_dir
from handouts.season.sun import Event, day_length


@pytest.fixture(scope="session")
def words() -> Words:
    """The tool's own words in English."""
    return read_record(Words, content_dir() / "words" / "en.yml", "words file")


@pytest.fixture(scope="session")
def light() -> Callable[..., Callable[[date], float]]:
    """A function that gives the day length of a latitude."""

    def at(latitude: float, event: Event = Event.SUNRISE_SUNSET) -> Callable[[date], float]:
        return lambda day: day_length(latitude, day, event)

    return at
