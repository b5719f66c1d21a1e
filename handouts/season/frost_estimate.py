"""Freeze dates without daily minima: a smooth year of minima comes in; estimated dates of given chances go out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.frost import CHANCES, Chance, Freeze, Side

ERROR_DAYS = 10.0  # largest error of the median at Clemson SC (two periods) and Chicago, six cases each
PERSISTENCE = 0.6  # correlation of one night's departure with the next; measured 0.60 and 0.68
METHOD = "estimated from monthly mean minima and night-to-night swings"
_HALF_END = 212
_GRID = 81
_REACH = 5.0  # standard deviations covered by the grid


def from_curve(
    tmin: Sequence[float],
    spread: Sequence[float],
    threshold: int,
    side: Side,
    south: bool = False,
    *,
    whole_degrees: bool = True,
    spread_assumed: bool = False,
    persistence: float = PERSISTENCE,
) -> Freeze:
    """Estimated freeze dates from 365 smoothed daily minima and their night-to-night spread (both °F).

    Departures from the curve are a normal process in which each night keeps `persistence` of the night before;
    the chance that no later (earlier) night reaches the threshold is worked out on a grid, without chance
    numbers. Medians held to ten days at two stations; the dates also vary from year to year, which the 10 and
    90 percent dates show. Raises BadInput for series of the wrong length.
    """
    if len(tmin) != 365 or len(spread) != 365 or min(spread) <= 0.0:
        raise BadInput("an estimate needs 365 minima and spreads above zero", found=f"{len(tmin)}, {len(spread)}")
    line = threshold + 0.5 if whole_degrees else float(threshold)
    turn = 181 if south else 0
    order = [(day + turn) % 365 for day in range(365)]
    bars = [(line - tmin[at]) / spread[at] for at in order]
    # walk from midsummer toward the cold: no freeze between the walked day and midsummer
    numbers = range(_HALF_END, 0, -1) if side is Side.LAST else range(_HALF_END + 1, 366)
    free = _free_of_frost([bars[number - 1] for number in numbers], persistence)
    share = 1.0 - free[-1]
    chances = {
        percent: Chance(percent, None, None)
        if (value := _crossing(free, list(numbers), 1.0 - percent / 100.0)) is None
        else Chance(percent, yearday.month_day(value, south), value, error_days=ERROR_DAYS)
        for percent in CHANCES
    }
    notes = [f"an estimate: the middle date may be off by {ERROR_DAYS:g} days"]
    if spread_assumed:
        notes.append("the night-to-night spread is assumed")
    if share < 0.995:
        notes.append(f"a freeze on this side in about {share * 100:.0f} percent of years")
    middle = chances[50].number
    return Freeze(side, threshold, south, chances, METHOD, mean=middle, sd=_sd(chances), notes=tuple(notes))


def _free_of_frost(bars: Sequence[float], persistence: float) -> list[float]:
    """Chance that every night up to and including each one stays above its bar (standard deviations)."""
    import numpy as np

    step = 2.0 * _REACH / (_GRID - 1)
    points = np.linspace(-_REACH, _REACH, _GRID)
    width = math.sqrt(1.0 - persistence**2)
    moves = np.exp(-(((points[None, :] - persistence * points[:, None]) / width) ** 2) / 2.0)
    moves /= moves.sum(axis=1, keepdims=True)
    mass = np.exp(-(points**2) / 2.0)
    mass /= mass.sum()
    free = []
    for place, bar in enumerate(bars):
        if place:
            mass = mass @ moves
        # a cell that straddles the bar keeps the part above it
        mass = mass * np.clip((points + step / 2.0 - bar) / step, 0.0, 1.0)
        free.append(float(mass.sum()))
    return free


def _crossing(free: Sequence[float], numbers: Sequence[int], wanted: float) -> float | None:
    """The day number at which the chance of having been free of frost falls to `wanted`; None if it never does.

    Read between days; a freeze belongs to the middle of its day, so half a day is added in the walk's direction.
    """
    before = 1.0
    for place, now in enumerate(free):
        if now <= wanted:
            if place == 0:
                return float(numbers[0])
            part = (before - wanted) / (before - now) if before > now else 1.0
            return numbers[place - 1] + (part + 0.5) * (numbers[place] - numbers[place - 1])
        before = now
    return None


def _sd(chances: dict[int, Chance]) -> float | None:
    """The spread in days of a normal distribution with the same 10 and 90 percent dates."""
    low, high = chances[10].number, chances[90].number
    if low is None or high is None:
        return None
    return abs(high - low) / (2.0 * NormalDist().inv_cdf(0.9))
