"""The smooth year from twelve means: it keeps them, it lies near real means, and its heat is near real heat."""

from __future__ import annotations

import math
from datetime import date, timedelta
from statistics import mean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.curve import (
    TemperatureCurve,
    daily_from_monthly,
    expected_heat,
    reach,
    temperature_curve,
    usual_shift,
)
from handouts.season.heat import Method
from handouts.season.series import Series, monthly_means
from handouts.season.sums import by_year, daily_heat, spread_by_month

LOWS = [30.0, 33.0, 40.0, 47.0, 56.0, 64.0, 68.0, 67.0, 61.0, 49.0, 39.0, 32.0]
HIGHS = [52.0, 56.0, 64.0, 72.0, 80.0, 86.0, 90.0, 88.0, 82.0, 73.0, 63.0, 54.0]


def _curve(lows: list[float] = LOWS, highs: list[float] = HIGHS, shift: float = 0.0) -> TemperatureCurve:
    return temperature_curve(
        [low + shift for low in lows], [high + shift for high in highs], basis="test", period="", source=""
    )


def _months(values: tuple[float, ...]) -> list[float]:
    found, start = [], 0
    for length in yearday.MONTH_DAYS:
        found.append(mean(values[start : start + length]))
        start += length
    return found


def _of(series: Series, *, own_spread: bool = True) -> TemperatureCurve:
    lows = monthly_means((day.day, day.tmin) for day in series.days)
    highs = monthly_means((day.day, day.tmax) for day in series.days)
    assert lows is not None
    assert highs is not None
    smooth = daily_from_monthly([(low + high) / 2 for low, high in zip(lows, highs, strict=True)])
    spread = spread_by_month(series, smooth) if own_spread else None
    return temperature_curve(lows, highs, spread, basis="test", period="", source="")


def test_months_of_the_curve_keep_their_means() -> None:
    """Month means of the curve lie within 0.25 °F of the twelve means that came in."""
    for means in (LOWS, HIGHS):
        for kept, given_mean in zip(_months(daily_from_monthly(means)), means, strict=True):
            assert kept == pytest.approx(given_mean, abs=0.25)


def test_curve_lies_near_the_real_daily_means(clemson_new: Series) -> None:
    """Clemson 1991-2020: within 0.4 °F rms of a four-wave fit to daily means (computed from the same series)."""
    import numpy as np

    sums, counts = np.zeros(365), np.zeros(365)
    for day in clemson_new.days:
        if day.tmin is not None:
            at = yearday.index(day.day.month, day.day.day)
            sums[at] += day.tmin
            counts[at] += 1
    angle = 2 * math.pi * (np.arange(365) + 0.5) / 365
    waves = np.column_stack([np.ones(365), *(f(k * angle) for k in range(1, 5) for f in (np.cos, np.sin))])
    fit = waves @ np.linalg.lstsq(waves, sums / counts, rcond=None)[0]
    ours = np.array(_of(clemson_new).tmin)
    assert float(np.sqrt(np.mean((ours - fit) ** 2))) < 0.4
    assert float(np.abs(ours - fit).max()) < 1.0


@pytest.mark.parametrize("period", ["clemson_old", "clemson_new"])
def test_heat_of_a_bare_curve_runs_low_and_swings_mend_it(period: str, request: pytest.FixtureRequest) -> None:
    """A bare curve misses about 5 percent of the real years' mean; day-to-day swings bring it within 2 percent."""
    series = request.getfixturevalue(period)
    curve = _of(series)
    truth = mean(by_year(daily_heat(series, 50)).values())
    bare, swinging = sum(expected_heat(curve, 50, noise=False)), sum(expected_heat(curve, 50))
    assert -0.07 < bare / truth - 1 < -0.03
    assert abs(swinging / truth - 1) < 0.02
    assert abs(sum(expected_heat(_of(series, own_spread=False), 50)) / truth - 1) < 0.02


def test_heat_dates_hold_most_real_years(clemson_new: Series) -> None:
    """The date of 200 to 1500 degree-days lies within 4 days of the mean, and the range holds 4 years in 5."""
    curve = _of(clemson_new)
    heat: dict[int, dict[date, float]] = {}
    for day, value in daily_heat(clemson_new, 50):
        heat.setdefault(day.year, {})[day] = value
    years = {year: days for year, days in heat.items() if len(days) >= 350}
    for target in (200, 400, 800, 1500):
        when = reach(curve, date(2001, 1, 1), target, 50)
        assert when.low is not None
        assert when.mid is not None
        assert when.high is not None
        found = []
        for year, days in years.items():
            total, day = 0.0, date(year, 1, 1)
            while total < target:
                total += days.get(day, 0.0)
                day += timedelta(days=1)
            found.append((day - timedelta(days=1)).timetuple().tm_yday)
        assert abs(when.mid.timetuple().tm_yday - mean(found)) < 4
        low, high = when.low.timetuple().tm_yday, when.high.timetuple().tm_yday
        assert mean(low <= one <= high for one in found) >= 0.8


def test_heat_dates_cross_the_turn_of_the_year() -> None:
    """A sum counted from 1 October may be reached in the next year, and one too large is never reached."""
    late = reach(_curve(), date(2026, 10, 1), 1200, 50)
    assert late.mid is not None
    assert late.mid.year == 2027
    assert reach(_curve(), date(2026, 1, 1), 1e6, 50).mid is None


def test_low_and_high_say_what_they_mean() -> None:
    """The words beside the dates name the shift of the season, the usual one or the caller's."""
    usual = reach(_curve(), date(2027, 1, 1), 400, 50)
    own = reach(_curve(), date(2027, 1, 1), 400, 50, season_shift=2.0)
    assert "eight years in ten" in usual.spread
    assert own.spread == "2.0 °F warmer or colder than normal"
    assert usual_shift(10) > usual_shift(100) > 1.5


def test_bad_curves_are_refused() -> None:
    """Eleven months, missing numbers, minima above maxima, double methods and empty targets are bad input."""
    with pytest.raises(BadInput):
        daily_from_monthly(LOWS[:11])
    with pytest.raises(BadInput):
        daily_from_monthly([*LOWS[:11], float("nan")])
    with pytest.raises(BadInput):
        _curve(HIGHS, LOWS)
    with pytest.raises(BadInput):
        expected_heat(_curve(), 50, method=Method.DOUBLE_SINE)
    with pytest.raises(BadInput):
        reach(_curve(), date(2027, 1, 1), 0, 50)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.5, 8), st.floats(50, 1500))
def test_a_colder_curve_reaches_its_heat_later(colder: float, target: float) -> None:
    """Cooling every month never brings a heat sum earlier."""
    warm, cold = (
        reach(_curve(), date(2027, 1, 1), target, 50),
        reach(_curve(shift=-colder), date(2027, 1, 1), target, 50),
    )
    assert warm.mid is not None
    assert cold.mid is None or cold.mid >= warm.mid
    assert warm.low is not None
    assert warm.low <= warm.mid


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-20, 90), min_size=12, max_size=12), st.floats(-5, 5))
def test_the_curve_moves_with_its_means(means: list[float], step: float) -> None:
    """Adding a number to all means adds it to every day."""
    plain, moved = daily_from_monthly(means), daily_from_monthly([value + step for value in means])
    assert all(b - a == pytest.approx(step, abs=1e-6) for a, b in zip(plain, moved, strict=True))
