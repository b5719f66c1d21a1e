"""Twelve monthly means come in; a smooth year of temperatures, its expected heat and its freeze dates go out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.heat import Cutoff, Method, degree_days

HARMONICS = 5
DAY_TO_DAY_SD_F = 8.0  # °F; measured 3 (summer) to 12 (winter) at two stations, so one middle value stands in
CURVE_ERROR_F = 1.0
# How far a stretch of days runs warmer or colder than its normals in 80 % of years: 5.5 °F over ten days, less
# over longer ones. Fitted to 12 heat sums at Clemson SC (1971-2000, 1991-2020) and Chicago (2002-2015).
SHIFT_F, SHIFT_DAYS, SHIFT_POWER = 5.5, 10.0, 0.38
_STEPS = 24  # points of the normal distribution for expected heat


@dataclass(frozen=True)
class TemperatureCurve:
    """A year of smoothed daily minima and maxima in °F (365 values each, from 1 January).

    `spread` is the day-to-day standard deviation around the curve in °F, one value per day of the year. `basis`,
    `period` and `source` say where the twelve means came from.
    """

    tmin: tuple[float, ...]
    tmax: tuple[float, ...]
    spread: tuple[float, ...]
    basis: str
    period: str
    source: str
    spread_assumed: bool = True

    def mean_on(self, day: date) -> float:
        """The smoothed mean temperature of a day in °F."""
        at = yearday.index(day.month, day.day)
        return (self.tmin[at] + self.tmax[at]) / 2.0


@dataclass(frozen=True)
class HeatDates:
    """When a heat sum is reached: `low` in a warm season, `mid` on the normals, `high` in a cold one.

    None: not reached within a year of the start. `spread` says in words what lies between low and high.
    """

    low: date | None
    mid: date | None
    high: date | None
    spread: str


def daily_from_monthly(means: Sequence[float]) -> tuple[float, ...]:
    """A smooth year (365 values) whose months have the twelve given means, by five harmonics.

    Least squares on the month averages of the harmonics (the mean-preserving idea of Epstein, J. Climate
    4:365-368, 1991); months are met to 0.4 units or better. Raises BadInput unless twelve numbers come in.
    """
    if len(means) != 12 or not all(math.isfinite(value) for value in means):
        raise BadInput("a temperature curve needs twelve monthly means", found=f"{len(means)} values")
    weights = [math.fsum(w * m for w, m in zip(row, means, strict=True)) for row in _solver()]
    return tuple(math.fsum(w * v for w, v in zip(weights, _basis(at), strict=True)) for at in range(365))


def temperature_curve(
    tmin: Sequence[float],
    tmax: Sequence[float],
    spread: Sequence[float] | None = None,
    *,
    basis: str,
    period: str,
    source: str,
) -> TemperatureCurve:
    """The curve of twelve mean minima and maxima in °F.

    `spread` holds twelve day-to-day standard deviations (°F); without it 8 °F is assumed. Raises BadInput.
    """
    lows, highs = daily_from_monthly(tmin), daily_from_monthly(tmax)
    if any(low > high for low, high in zip(lows, highs, strict=True)):
        raise BadInput("the mean minima rise above the mean maxima")
    width = (DAY_TO_DAY_SD_F,) * 365 if spread is None else daily_from_monthly(spread)
    return TemperatureCurve(lows, highs, tuple(max(0.5, w) for w in width), basis, period, source, spread is None)


@lru_cache(maxsize=365)
def _basis(at: int) -> tuple[float, ...]:
    """The harmonics on one day: 1, cos, sin, cos 2, sin 2 …"""
    angle = 2.0 * math.pi * (at + 0.5) / 365.0
    waves = [f(k * angle) for k in range(1, HARMONICS + 1) for f in (math.cos, math.sin)]
    return (1.0, *waves)


@lru_cache(maxsize=1)
def _solver() -> tuple[tuple[float, ...], ...]:
    """The matrix that turns twelve means into eleven coefficients, in least squares."""
    months = []
    start = 0
    for length in yearday.MONTH_DAYS:
        days = [_basis(at) for at in range(start, start + length)]
        months.append([math.fsum(column) / length for column in zip(*days, strict=True)])
        start += length
    size = 2 * HARMONICS + 1
    left = [[math.fsum(row[i] * row[j] for row in months) for j in range(size)] for i in range(size)]
    rows = [[*left[i], *(row[i] for row in months)] for i in range(size)]
    for pivot in range(size):
        best = max(range(pivot, size), key=lambda at: abs(rows[at][pivot]))
        rows[pivot], rows[best] = rows[best], rows[pivot]
        scale = rows[pivot][pivot]
        rows[pivot] = [value / scale for value in rows[pivot]]
        for other in range(size):
            if other != pivot and rows[other][pivot]:
                factor = rows[other][pivot]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[pivot], strict=True)]
    return tuple(tuple(row[size:]) for row in rows)


def expected_heat(
    curve: TemperatureCurve,
    base: float,
    upper: float | None = None,
    *,
    cutoff: Cutoff = Cutoff.HORIZONTAL,
    method: Method = Method.SINGLE_SINE,
    noise: bool = True,
    shift: float = 0.0,
) -> tuple[float, ...]:
    """Expected degree-days (°F) of each day of the year.

    With `noise` the day's heat is averaged over normal day-to-day swings around the curve: a smooth curve alone
    runs 5 to 6 % low over a year and far lower in spring. `shift` moves the whole curve, in °F. The double
    methods need single days in a row and are refused. Raises BadInput.
    """
    if method in (Method.DOUBLE_SINE, Method.DOUBLE_TRIANGLE):
        raise BadInput(f"expected heat cannot use the {method}", expected="a single method")
    swings = _swings() if noise else ((0.0, 1.0),)
    return tuple(
        math.fsum(
            weight * degree_days(low + shift + z * sd, high + shift + z * sd, base, upper, cutoff=cutoff, method=method)
            for z, weight in swings
        )
        for low, high, sd in zip(curve.tmin, curve.tmax, curve.spread, strict=True)
    )


@lru_cache(maxsize=1)
def _swings() -> tuple[tuple[float, float], ...]:
    """Points and weights of the standard normal distribution, from -3 to +3."""
    points = [-3.0 + 6.0 * step / _STEPS for step in range(_STEPS + 1)]
    heights = [math.exp(-z * z / 2.0) for z in points]
    whole = math.fsum(heights)
    return tuple((z, height / whole) for z, height in zip(points, heights, strict=True))


def reach(
    curve: TemperatureCurve,
    start: date,
    target: float,
    base: float,
    upper: float | None = None,
    *,
    cutoff: Cutoff = Cutoff.HORIZONTAL,
    method: Method = Method.SINGLE_SINE,
    season_shift: float | None = None,
) -> HeatDates:
    """When the heat from `start` (counted) first sums to `target` degree-days (°F).

    Low and high come from a stretch of days that runs `season_shift` °F warmer and colder than the normals;
    left out, the shift fits eight years in ten (see SHIFT_F). Raises BadInput for a target that is not above
    zero.
    """
    if not (math.isfinite(target) and target > 0.0):
        raise BadInput("a heat sum to reach must be above zero", found=f"{target:g}")

    def when(shift: float) -> tuple[date | None, float]:
        heat = expected_heat(curve, base, upper, cutoff=cutoff, method=method, shift=shift)
        return _date_of(heat, start, target)

    mid, rate = when(0.0)
    shift = usual_shift(target / rate) if season_shift is None else season_shift
    words = f"{'eight years in ten: ' if season_shift is None else ''}{shift:.1f} °F warmer or colder than normal"
    return HeatDates(when(shift)[0], mid, when(-shift)[0], words)


def usual_shift(days: float) -> float:
    """How far (°F) a stretch of `days` days runs off its normals in eight years of ten."""
    return float(SHIFT_F * (max(days, SHIFT_DAYS) / SHIFT_DAYS) ** -SHIFT_POWER)


def _date_of(heat: Sequence[float], start: date, target: float) -> tuple[date | None, float]:
    """The date and that day's heat; without a date the year's mean daily heat stands in."""
    total, day = 0.0, start
    for _ in range(365):
        today = heat[yearday.index(day.month, day.day)]
        total += today
        if total >= target:
            return day, today
        day += timedelta(days=1)
    return None, max(total / 365.0, 1e-6)
