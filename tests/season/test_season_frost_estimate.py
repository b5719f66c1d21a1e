"""Freeze dates estimated from monthly means, against the real years of the same station and against simulation."""

from __future__ import annotations

from statistics import median, pstdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.curve import DAY_TO_DAY_SD_F, daily_from_monthly
from handouts.season.frost import Side, from_daily
from handouts.season.frost_estimate import ERROR_DAYS, PERSISTENCE, from_curve
from handouts.season.series import Series, monthly_means

FLAT = [DAY_TO_DAY_SD_F] * 365
LOWS = [30.0, 33.0, 40.0, 47.0, 56.0, 64.0, 68.0, 67.0, 61.0, 49.0, 39.0, 32.0]


def _lows(series: Series) -> tuple[float, ...]:
    means = monthly_means((day.day, day.tmin) for day in series.days)
    assert means is not None
    return daily_from_monthly(means)


def _spread(series: Series, lows: tuple[float, ...]) -> tuple[float, ...]:
    months: list[list[float]] = [[] for _ in range(12)]
    for day in series.days:
        if day.tmin is not None:
            months[day.day.month - 1].append(day.tmin - lows[yearday.index(day.day.month, day.day.day)])
    return daily_from_monthly([pstdev(values) for values in months])


@pytest.mark.parametrize("own_spread", [True, False])
@pytest.mark.parametrize("period", ["clemson_old", "clemson_new"])
def test_estimated_medians_hold_the_stated_error(period: str, own_spread: bool, request: pytest.FixtureRequest) -> None:
    """At Clemson every estimated median lies within the stated ten days of the real years' median."""
    series = request.getfixturevalue(period)
    lows = _lows(series)
    spread = _spread(series, lows) if own_spread else FLAT
    misses = []
    for side in Side:
        for line in (28, 32, 36):
            real = median(yearday.number(day) for _, day in from_daily(series, line, side).years if day)
            estimate = from_curve(lows, spread, line, side).chances[50].number
            assert estimate is not None
            misses.append(abs(estimate - real))
    assert max(misses) <= ERROR_DAYS
    assert sum(misses) / len(misses) < 5


def test_the_grid_agrees_with_simulated_years() -> None:
    """10, 50 and 90 percent dates lie within 1.5 days of 6000 simulated years of the same process."""
    import numpy as np

    lows = np.array(daily_from_monthly(LOWS))
    noise = np.random.default_rng(7)
    years = 6000
    z = noise.normal(size=years)
    last, first = np.zeros(years), np.full(years, 999.0)
    for at in range(365):
        cold = lows[at] + 8.0 * z <= 32.5
        if at < 212:
            last[cold] = at + 1
        else:
            first[cold & (first > 365)] = at + 1
        z = PERSISTENCE * z + (1 - PERSISTENCE**2) ** 0.5 * noise.normal(size=years)
    for side, found, level in ((Side.LAST, last, (0.9, 0.5, 0.1)), (Side.FIRST, first, (0.1, 0.5, 0.9))):
        freeze = from_curve(tuple(lows), FLAT, 32, side)
        for percent, share in zip((10, 50, 90), level, strict=True):
            assert freeze.chances[percent].number == pytest.approx(float(np.quantile(found, share)), abs=1.5)


def test_an_estimate_says_that_it_is_one() -> None:
    """The error, the method and an assumed spread stand in words, and two runs give the same numbers."""
    one, two = (from_curve(daily_from_monthly(LOWS), FLAT, 32, Side.LAST, spread_assumed=True) for _ in range(2))
    assert one == two
    assert "estimated" in one.method
    assert any("10 days" in note for note in one.notes)
    assert any("assumed" in note for note in one.notes)
    assert one.chances[50].error_days == ERROR_DAYS


def test_warm_places_have_no_date() -> None:
    """Where the mean minimum never nears freezing there is no date at any chance."""
    freeze = from_curve([70.0] * 365, FLAT, 32, Side.FIRST)
    assert all(chance.day is None for chance in freeze.chances.values())
    assert any("percent of years" in note for note in freeze.notes)


def test_southern_years_are_turned() -> None:
    """The same climate half a year later gives September for its last freeze where the north has March."""
    lows = daily_from_monthly(LOWS)
    turned = [*lows[184:], *lows[:184]]
    north, south = from_curve(lows, FLAT, 32, Side.LAST), from_curve(turned, FLAT, 32, Side.LAST, south=True)
    assert north.chances[50].day is not None
    assert south.chances[50].day is not None
    assert abs(int(south.chances[50].day[:2]) - int(north.chances[50].day[:2])) == 6


def test_series_of_another_length_are_refused() -> None:
    """Twelve minima instead of 365 are bad input."""
    with pytest.raises(BadInput):
        from_curve(LOWS, FLAT, 32, Side.LAST)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.2, 6))
def test_a_colder_curve_freezes_later_in_spring_and_earlier_in_autumn(colder: float) -> None:
    """Cooling every night moves the last freeze later and the first freeze earlier."""
    lows = daily_from_monthly(LOWS)
    cold = [low - colder for low in lows]
    spring = [from_curve(values, FLAT, 32, Side.LAST).chances[50].number or 0 for values in (lows, cold)]
    autumn = [from_curve(values, FLAT, 32, Side.FIRST).chances[50].number or 0 for values in (lows, cold)]
    assert spring[1] > spring[0]
    assert autumn[1] < autumn[0]
