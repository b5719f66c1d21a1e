"""Day length against three astronomy libraries, published values and the sky's own rules."""

from __future__ import annotations

import csv
import math
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.season.sun import (
    DEFINITION,
    Event,
    day_length,
    falling,
    falls_to,
    rises_to,
    rising,
    solstice,
    sun_position,
)

REFERENCE = Path(__file__).parent.parent / "data" / "reference" / "daylength.csv"
EVENTS = {"sunrise_sunset": Event.SUNRISE_SUNSET, "civil_twilight": Event.CIVIL_TWILIGHT}


@pytest.mark.parametrize("library", ["skyfield", "ephem", "pvlib_spa"])
def test_day_length_agrees_with_three_astronomy_libraries(library: str) -> None:
    """All 576 rows lie within half a minute (source: skyfield 1.55 with DE421, ephem 4.2.1, pvlib 0.16.1)."""
    with REFERENCE.open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == 576
    worst = max(
        abs(
            day_length(float(row["lat"]), date.fromisoformat(row["date"]), EVENTS[row["event"]], -90.0)
            - float(row[library])
        )
        for row in rows
    )
    assert worst < 0.5


@pytest.mark.filterwarnings("ignore:The file finals2000A")
def test_day_length_agrees_with_skyfield_run_now() -> None:
    """Six places and dates, north and south, computed live by skyfield lie within half a minute."""
    api = pytest.importorskip("skyfield.api", reason="skyfield is not installed: live check of day length NOT run")
    data = pytest.importorskip("skyfield_data", reason="skyfield-data is not installed: live check NOT run")
    from skyfield import almanac

    load = api.Loader(data.get_skyfield_data_path(), expire=False)
    eph, scale = load("de421.bsp"), load.timescale(builtin=True)
    for latitude, longitude, day in (
        (43.1, -89.4, date(2027, 6, 21)),
        (43.1, -89.4, date(2027, 12, 22)),
        (25.8, -80.2, date(2028, 2, 29)),
        (61.2, -149.9, date(2026, 9, 3)),
        (-36.8, 174.7, date(2027, 4, 15)),
        (0.0, 10.0, date(2027, 3, 20)),
    ):
        noon = datetime(day.year, day.month, day.day, 12) - timedelta(hours=longitude / 15)
        span = [noon - timedelta(hours=12), noon + timedelta(hours=12)]
        start, end = (scale.utc(at.year, at.month, at.day, at.hour, at.minute, at.second) for at in span)
        place = eph["earth"] + api.wgs84.latlon(latitude, longitude)
        for event, degrees in ((Event.SUNRISE_SUNSET, -50 / 60), (Event.CIVIL_TWILIGHT, -6.0)):
            rise, _ = almanac.find_risings(place, eph["sun"], start, end, horizon_degrees=degrees)
            fall, _ = almanac.find_settings(place, eph["sun"], start, end, horizon_degrees=degrees)
            minutes = (fall[0].tt - rise[0].tt) * 1440
            assert day_length(latitude, day, event, longitude) == pytest.approx(minutes, abs=0.5)


def test_day_length_agrees_with_ephem_run_now() -> None:
    """Four places and dates computed live by ephem lie within half a minute."""
    ephem = pytest.importorskip("ephem", reason="ephem is not installed: live check of day length NOT run")
    for latitude, longitude, day in (
        (38.0, -97.0, date(2027, 8, 1)),
        (55.0, -3.0, date(2027, 5, 1)),
        (-34.0, 18.5, date(2027, 6, 21)),
        (45.0, -122.0, date(2027, 10, 10)),
    ):
        for event, horizon in ((Event.SUNRISE_SUNSET, "-0:50"), (Event.CIVIL_TWILIGHT, "-6")):
            place = ephem.Observer()
            place.lat, place.lon, place.pressure, place.horizon = str(latitude), str(longitude), 0, horizon
            noon = datetime(day.year, day.month, day.day, 12) - timedelta(hours=longitude / 15)
            place.date = noon
            sun = ephem.Sun()
            minutes = (place.next_setting(sun, use_center=True) - place.previous_rising(sun, use_center=True)) * 1440
            assert day_length(latitude, day, event, longitude) == pytest.approx(minutes, abs=0.5)


def test_sun_stands_where_a_textbook_puts_it() -> None:
    """Declination on 1992-10-13 at 0 h is -7.78507° (source: Meeus, Astronomical Algorithms, example 25.a)."""
    days = date(1992, 10, 13).toordinal() - date(2000, 1, 1).toordinal() - 0.5
    longitude, declination = sun_position(days)
    assert declination == pytest.approx(-7.78507, abs=0.0001)
    assert longitude == pytest.approx(199.90895, abs=0.0005)


def test_day_length_is_close_to_a_college_table() -> None:
    """September days at Decorah IA lie within 3 minutes (source: Luther College sunrise tables, as printed)."""
    for day, printed in ((1, 13 * 60 + 9), (15, 12 * 60 + 29), (25, 12 * 60), (30, 11 * 60 + 45)):
        assert day_length(43.31, date(2026, 9, day), longitude=-91.8) == pytest.approx(printed, abs=3)


def test_geometric_day_is_shorter_than_sunrise_to_sunset() -> None:
    """Ours is longer than the crop-water formula's 11.6656 h (source: FAO-56 equation 34, latitude -20, day 246)."""
    tilt = 0.409 * math.sin(2 * math.pi * 246 / 365 - 1.39)
    fao = 24 / math.pi * math.acos(-math.tan(math.radians(-20)) * math.tan(tilt))
    assert fao == pytest.approx(11.66559, abs=1e-4)
    ours = day_length(-20, date(2026, 9, 3)) / 60
    assert 5 / 60 < ours - fao < 15 / 60


def test_polar_day_and_night_are_answers() -> None:
    """Beyond the polar circles the day lasts 24 hours or none, without an error."""
    assert day_length(70, date(2027, 6, 21)) == 1440.0
    assert day_length(70, date(2027, 12, 22)) == 0.0
    assert day_length(-70, date(2027, 12, 22)) == 1440.0
    assert day_length(90, date(2027, 6, 21)) == 1440.0
    assert day_length(-90, date(2027, 6, 21)) == 0.0


@pytest.mark.parametrize(("latitude", "longitude"), [(90.1, 0), (-95, 0), (float("nan"), 0), (40, 181)])
def test_places_off_the_earth_are_refused(latitude: float, longitude: float) -> None:
    """A latitude or longitude out of range is bad input, not a strange number."""
    with pytest.raises(BadInput):
        day_length(latitude, date(2027, 6, 21), longitude=longitude)


def test_solstices_fall_on_the_almanac_dates() -> None:
    """Solstice dates 2024 to 2027 in universal time (source: published almanac dates)."""
    assert [solstice(year, 6) for year in (2024, 2025, 2026, 2027)] == [
        date(2024, 6, 20),
        date(2025, 6, 21),
        date(2026, 6, 21),
        date(2027, 6, 21),
    ]
    assert solstice(2027, 12) == date(2027, 12, 22)


def test_falls_to_gives_the_first_shorter_day() -> None:
    """The day found is below the bound, the day before it is not, in both hemispheres."""
    for latitude, year in ((43.0, 2027), (30.0, 2027), (-36.0, 2026)):
        day = falls_to(latitude, 12.75, year)
        assert day is not None
        assert day_length(latitude, day) < 12.75 * 60 <= day_length(latitude, day - timedelta(days=1))
    assert falls_to(-36.0, 12.75, 2026) > date(2026, 12, 21)  # type: ignore[operator]
    assert falls_to(-36.0, 12.75, 2026) < date(2027, 6, 21)  # type: ignore[operator]


def test_rises_to_gives_the_first_longer_day() -> None:
    """The day found reaches the bound, the day before it does not; the southern one lies in its own spring."""
    for latitude, year in ((43.0, 2027), (-36.0, 2026)):
        day = rises_to(latitude, 13.0, year)
        assert day is not None
        assert day_length(latitude, day) >= 780 > day_length(latitude, day - timedelta(days=1))
    southern = rises_to(-36.0, 13.0, 2026)
    assert southern is not None
    assert date(2026, 8, 1) < southern < date(2026, 12, 21)


def test_a_day_length_never_reached_has_a_reason() -> None:
    """Near the equator no day is 14 hours long, and none falls to 11: the answer is none, with why."""
    never_long, never_short = falling(5, 14, 2027), falling(5, 11, 2027)
    assert never_long.day is None
    assert never_long.why_none == "the longest day is already shorter"
    assert never_short.day is None
    assert never_short.why_none == "no day is so short"
    assert rising(5, 14, 2027).why_none == "no day is so long"
    with pytest.raises(BadInput):
        falling(45, 25, 2027)


def test_the_definition_travels_with_the_result() -> None:
    """Twilight days are longer, so the same bound falls later, and each result says which it means."""
    plain, twilight = falling(43, 14, 2027), falling(43, 14, 2027, Event.CIVIL_TWILIGHT)
    assert plain.day is not None
    assert twilight.day is not None
    assert plain.day < twilight.day
    assert plain.definition == DEFINITION[Event.SUNRISE_SUNSET]
    assert "6 degrees" in twilight.definition


@settings(max_examples=60, deadline=None)
@given(st.floats(-60, 60), st.floats(0.5, 5), st.integers(2000, 2060))
def test_further_north_the_june_day_is_longer(latitude: float, step: float, year: int) -> None:
    """On 21 June each step north lengthens the day, and on 21 December it shortens it."""
    june, december = date(year, 6, 21), date(year, 12, 21)
    assert day_length(latitude + step, june) > day_length(latitude, june)
    assert day_length(latitude + step, december) < day_length(latitude, december)


@settings(max_examples=60, deadline=None)
@given(st.floats(-64, 64), st.dates(date(2000, 1, 1), date(2060, 12, 31)))
def test_twilight_always_adds_to_the_day(latitude: float, day: date) -> None:
    """Civil twilight adds at least 40 minutes to the day, everywhere and always."""
    assert day_length(latitude, day, Event.CIVIL_TWILIGHT) >= min(1440, day_length(latitude, day) + 40)
