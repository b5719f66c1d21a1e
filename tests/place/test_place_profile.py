"""The profile of a place: what each input allows to be said, which wins, and what stays unknown."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.paths import content_dir
from handouts.place.known import from_inline, from_mapping
from handouts.place.profile import profile
from handouts.season.frost import Side
from handouts.season.profile import Profile
from handouts.season.sun import day_length

Put = Callable[[str, str | bytes], Path]
CLEMSON = "USC00381770_1971-2020.csv.gz"


def _inline(text: str, years: tuple[int, ...] = (2027,)) -> Profile:
    return profile(from_inline(text), content_dir(), years)


def _place(folder: Path, **fields: Any) -> Profile:
    return profile(from_mapping(fields, folder, "place.yml"), content_dir(), (2027,))


def _unknown(made: Profile) -> set[str]:
    return {item.what for item in made.not_known}


def test_a_zone_alone_gives_winter_cold_and_no_date() -> None:
    """Zone 6a says -10 to -5 °F, and neither a day length nor any calendar date stands anywhere in the profile."""
    made = _inline("zone=6a")
    (name,) = made.fields
    field = made.fields[name]
    assert (name, field.low, field.high, field.value) == ("coldest_night_F", -10, -5, None)
    assert made.day_lengths == {}
    assert made.latitude is None
    assert made.freeze_day("last", 2027) is None
    assert {"day length", "last freeze date", "first freeze date", "degree-days of a year"} <= _unknown(made)
    text = json.dumps(made.to_json())
    assert "2027" not in text
    assert made.to_json()["zone_edition"] == "2023 map"


def test_a_zip_gives_day_length_with_the_areas_reach_and_no_frost() -> None:
    """A ZIP gives day length within 3 minutes, never a zone nor a frost date."""
    made = _inline("zip=52240")
    field = made.day_lengths["2027-06-21"]
    assert field.basis == "ZIP"
    assert field.low < field.value < field.high  # type: ignore[operator]
    assert 1 < field.high - field.low < 6  # type: ignore[operator]
    assert {"hardiness zone", "last freeze date"} <= _unknown(made)
    assert made.zone is None


def test_coordinates_give_day_length_to_half_a_minute() -> None:
    """The 21st of every month and both solstices, each equal to the formula's, within half a minute."""
    made = _inline("lat=41.9,lon=-91.7")
    assert len(made.day_lengths) == 13  # 12 days and 22 December; 21 June is the solstice itself
    for day, field in made.day_lengths.items():
        exact = day_length(41.9, date.fromisoformat(day), longitude=-91.7)
        assert field.value == pytest.approx(exact, abs=0.05)
        assert field.low == pytest.approx(exact - 0.5, abs=0.06)
    assert "50 arcminutes" in field.source
    assert field.kind == "derived"


def test_southern_day_lengths_follow_the_season_year() -> None:
    """South of the equator the season year 2027 runs from July 2027 to June 2028 and its long days are in December."""
    made = _inline("lat=-36.8,lon=174.7")
    days = sorted(made.day_lengths)
    assert days[0] == "2027-07-21"
    assert days[-1].startswith("2028-06")
    assert made.day_lengths["2027-12-21"].value > 850  # type: ignore[operator]


def test_polar_places_have_days_of_none_and_24_hours() -> None:
    """At 75° north midsummer lasts 1440 minutes and midwinter none."""
    made = _inline("lat=75,lon=20")
    assert made.day_lengths["2027-06-21"].value == 1440.0
    assert made.day_lengths["2027-12-21"].value == 0.0
    assert made.day_lengths["2027-12-21"].low == 0.0


def test_own_dates_are_the_middle_of_an_assumed_spread() -> None:
    """A typed 6 May is the middle, 15 days either way are assumed and said to be, and the sides are derived."""
    made = _inline("zone=6a,lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-04")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.value, field.low, field.high, field.kind) == ("05-06", "04-21", "05-21", "given")
    assert any("assumed" in warning for warning in field.warnings)
    assert made.fields["last_freeze_32F_p10"].value == "05-21"
    assert made.fields["last_freeze_32F_p10"].kind == "derived"
    assert made.fields["first_freeze_32F_p10"].value == "09-19"
    assert made.freeze_day("last", 2027) == date(2027, 5, 6)
    assert made.freeze_day("first", 2027) == date(2027, 10, 4)
    assert "last freeze date" not in _unknown(made)
    assert "last_freeze_28F_p50" not in made.fields


def test_a_ten_percent_date_stays_what_it_was_given_as(tmp_path: Path) -> None:
    """A typed 10 percent date is the given one; the middle is worked out and says so."""
    made = _place(tmp_path, last_freeze={"day": "05-21", "chance": "10"})
    assert made.fields["last_freeze_32F_p10"].kind == "given"
    middle = made.fields["last_freeze_32F_p50"]
    assert (middle.value, middle.kind) == ("05-06", "derived")


def test_the_last_thirty_years_of_days_are_profiled(series_folder: Path) -> None:
    """Fifty years of Clemson days are read and cut to the last thirty (how fast: tests/benchmarks)."""
    made = _place(series_folder, daily=CLEMSON, latitude="34.68", longitude="-82.8", zone="8a")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.value, field.period, field.kind) == ("03-30", "1991-2020, 28 years", "derived")
    assert any("1991" in note for note in made.notes)
    assert made.freeze_day("last", 2027) == date(2027, 3, 30)
    assert len(made.rejects) == 1


def test_a_daily_file_gives_heat_cold_and_a_curve(series_folder: Path) -> None:
    """Clemson 1991-2020: 5328 degree-days within 1 percent, coldest night in the band of 8a (computed elsewhere)."""
    made = _place(series_folder, daily=CLEMSON, latitude="34.68")
    heat = made.fields["degree_days_50F_year"]
    assert heat.value == pytest.approx(5328, rel=0.01)
    assert heat.low == pytest.approx(5328 - 1.28 * 310, rel=0.02)
    cold = made.fields["coldest_night_F"]
    assert cold.value == pytest.approx(13.7, abs=0.2)
    assert any("8a" in warning for warning in cold.warnings)
    assert made.curve is not None
    assert not made.curve.spread_assumed
    assert made.zone is None
    assert "hardiness zone" in _unknown(made)


def test_the_better_basis_wins_and_the_other_is_a_cross_check(series_folder: Path) -> None:
    """Thirty years of days win over a typed date, which stays visible as a cross-check."""
    made = _place(series_folder, daily=CLEMSON, latitude="34.68", last_freeze="04-10")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.value, field.basis) == ("03-30", "daily file")
    assert "cross-check, own dates: 04-10 (11 days later)" in field.warnings


def test_one_year_of_a_logger_gives_dates_but_no_chances(series_folder: Path) -> None:
    """One year of JFK gives heat and its own freeze dates under "not known", no probability, and the reject."""
    made = _place(series_folder, daily="jfk_2013_hourly.csv.gz", latitude="40.6", longitude="-73.8")
    assert not any("freeze" in name for name in made.fields)
    why = {item.what: item.why for item in made.not_known}["last freeze date"]
    assert "only 1 year" in why
    assert "2013-03-23" in why
    assert made.fields["degree_days_50F_year"].kind == "own-observation"
    assert made.rejects[0].day == date(2013, 5, 8)


def test_a_logger_with_few_years_leaves_the_typed_date_standing(series_folder: Path) -> None:
    """One year of readings does not beat a typed date but stands beside it as a cross-check."""
    made = _place(series_folder, daily="jfk_2013_hourly.csv.gz", latitude="40.6", last_freeze="04-01")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.value, field.basis) == ("04-01", "own dates")
    assert any("cross-check, logger" in warning for warning in field.warnings)


# -- normals ------------------------------------------------------------------------------------------------------

ANNUAL = (
    "STATION,NAME,LATITUDE,LONGITUDE,ELEVATION,ANN-TMIN-PRBLST-T32FP10,ANN-TMIN-PRBLST-T32FP50,"
    "ANN-TMIN-PRBLST-T32FP90,ANN-TMIN-PRBFST-T32FP10,ANN-TMIN-PRBFST-T32FP50,ANN-TMIN-PRBFST-T32FP90,"
    "ANN-GRDD-BASE50\n"
    'USC00131533,"A TOWN, IA US",41.9,-91.7,250.0,05/04,04/19,04/04,09/30,10/12,10/26,3012\n'
)
LOWS = [12, 16, 27, 38, 49, 59, 63, 61, 52, 40, 28, 17]
MONTHLY = "STATION,DATE,MLY-TMIN-NORMAL,MLY-TMAX-NORMAL\n" + "".join(
    f"USC00131533,{month + 1:02},{low},{low + 20}\n" for month, low in enumerate(LOWS)
)


def test_normals_give_their_own_dates_heat_and_position(put: Put, tmp_path: Path) -> None:
    """Dates and heat are taken as NOAA prints them, and the station's latitude gives day length."""
    put("a.csv", ANNUAL)
    put("m.csv", MONTHLY)
    made = _place(tmp_path, normals=["a.csv", "m.csv"], last_freeze="04-25")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.value, field.low, field.high, field.kind) == ("04-19", "04-04", "05-04", "published")
    assert "cross-check, own dates: 04-25 (6 days later)" in field.warnings
    assert any("ten days" in warning for warning in field.warnings)
    assert made.fields["degree_days_50F_year"].value == 3012
    assert made.latitude == 41.9
    assert made.day_lengths["2027-06-21"].basis == "normals file"
    assert made.curve is not None
    assert made.curve.spread_assumed


def test_monthly_normals_alone_give_an_estimate_that_says_so(put: Put, tmp_path: Path) -> None:
    """Without dates in the file the freeze dates are estimated, with their error, and heat from the curve."""
    put("m.csv", MONTHLY)
    made = _place(tmp_path, normals="m.csv")
    field = made.fields["last_freeze_32F_p50"]
    assert (field.kind, field.basis) == ("derived", "monthly normals")
    assert any("estimate" in warning for warning in field.warnings)
    assert any("assumed" in warning for warning in made.fields["degree_days_50F_year"].warnings)
    assert "day length" in _unknown(made)


def test_a_file_without_latitude_is_profiled_without_day_length(series_folder: Path) -> None:
    """A station file that names no position gives frost dates and no day length."""
    made = _place(series_folder, daily=CLEMSON)
    assert "day length" in _unknown(made)
    assert made.fields["last_freeze_32F_p50"].value == "03-30"


def test_a_southern_daily_file_has_its_own_season(put: Put, tmp_path: Path) -> None:
    """Twelve years of days with frosts in September and May give a last freeze before a first one."""
    rows = ["STATION,DATE,LATITUDE,LONGITUDE,TMAX (C),TMIN (C)"]
    day, end = date(2005, 1, 1), date(2016, 12, 31)
    while day <= end:
        cold = day.month in (6, 7, 8) or (day.month == 9 and day.day <= 4 + day.year % 5)
        cold = cold or (day.month == 5 and day.day >= 20 + day.year % 5)
        rows.append(f"NZ000093012,{day},-43.5,172.6,{15},{-1 if cold else 5}")
        day += timedelta(days=1)
    put("d.csv", "\n".join(rows) + "\n")
    made = _place(tmp_path, daily="d.csv")
    assert made.south
    last, first = made.freeze_day("last", 2027), made.freeze_day("first", 2027)
    assert last is not None
    assert first is not None
    assert date(2027, 9, 1) < last < date(2027, 9, 12)
    assert date(2028, 5, 15) < first < date(2028, 5, 28)
    assert any("with care" in warning for warning in made.fields["last_freeze_32F_p50"].warnings)


def test_places_that_cannot_be_found_are_refused_in_words() -> None:
    """An unknown ZIP, and an Alaskan one without latitude, end in a refusal that says what to give."""
    for text in ("zip=00000,zone=6a", "zip=99503,zone=5a"):
        with pytest.raises(BadInput) as error:
            _inline(text)
        assert "latitude" in (error.value.remedy or "")
    assert _inline("zip=99503,lat=61.2,lon=-149.9").latitude == 61.2


def test_a_zip_far_from_the_coordinates_is_pointed_out() -> None:
    """Boston's ZIP with Iowa's coordinates keeps the coordinates and warns."""
    made = _inline("zip=02134,lat=41.9,lon=-91.7")
    assert made.latitude == 41.9
    assert any("km from the given coordinates" in note for note in made.notes)


def test_the_json_holds_the_fields_of_the_contract(series_folder: Path) -> None:
    """Every field has value, low, high, basis, period, source and warnings; day lengths stand under one name."""
    made = _place(series_folder, name="Hill", daily=CLEMSON, latitude="34.68", longitude="-82.8", zone="8a").to_json()
    assert {"name", "zone", "latitude", "longitude", "fields", "not_known"} <= set(made)
    needed = {"value", "low", "high", "basis", "period", "source", "warnings"}
    for name, field in made["fields"].items():
        for one in field.values() if name == "day_length_min" else [field]:
            assert needed <= set(one)
            assert one["basis"] in ("published", "derived", "own-observation", "given")
    for side in ("last", "first"):
        for line in (24, 28, 32, 36):
            for percent in (10, 50, 90):
                assert f"{side}_freeze_{line}F_p{percent}" in made["fields"]
    assert made["fields"]["day_length_min"]["2027-06-21"]["value"] == pytest.approx(869.0, abs=5)
    json.dumps(made, allow_nan=False)


def test_the_same_input_gives_the_same_profile(series_folder: Path) -> None:
    """Two runs are equal to the last character."""
    one, two = (_place(series_folder, daily=CLEMSON, latitude="34.68") for _ in range(2))
    assert json.dumps(one.to_json()) == json.dumps(two.to_json())


@settings(max_examples=40, deadline=None)
@given(st.integers(3, 6), st.integers(1, 28), st.integers(9, 11), st.sampled_from([10, 30, 50, 70, 90]))
def test_spring_chances_of_typed_dates_run_backward(month: int, day: int, autumn: int, chance: int) -> None:
    """P10 is never before P50 nor P50 before P90 in spring, and the other way round in autumn."""
    fields = {
        "last_freeze": {"day": f"{month:02}-{day:02}", "chance": str(chance)},
        "first_freeze": {"day": f"{autumn:02}-{day:02}", "chance": str(chance)},
    }
    made = _place(Path(), **fields)
    for side, backward in ((Side.LAST, True), (Side.FIRST, False)):
        days = [made.freeze_day(side, 2027, percent=percent) for percent in (10, 50, 90)]
        assert days == sorted(days, reverse=backward)  # type: ignore[type-var]
