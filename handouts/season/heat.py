"""Degree-days: a day's lowest and highest temperature and one or two thresholds come in; the day's heat goes out."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from enum import StrEnum

from handouts.errors import BadInput


class Method(StrEnum):
    """How a day is drawn between its lowest and highest temperature; thresholds belong to their method."""

    SINGLE_SINE = "single sine"
    DOUBLE_SINE = "double sine"
    SINGLE_TRIANGLE = "single triangle"
    DOUBLE_TRIANGLE = "double triangle"
    SIMPLE_AVERAGE = "simple average"
    MODIFIED_AVERAGE = "modified average"


class Cutoff(StrEnum):
    """What happens above the upper threshold (definitions: UC IPM, degree-day calculations).

    Horizontal: development goes on at the rate of the upper threshold. Vertical: it stops. Intermediate: it
    slows by as much as the temperature stands above.
    """

    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"
    INTERMEDIATE = "intermediate"


_DOUBLE = {Method.DOUBLE_SINE: Method.SINGLE_SINE, Method.DOUBLE_TRIANGLE: Method.SINGLE_TRIANGLE}


def degree_days(
    tmin: float,
    tmax: float,
    base: float,
    upper: float | None = None,
    *,
    cutoff: Cutoff = Cutoff.HORIZONTAL,
    method: Method = Method.SINGLE_SINE,
    next_tmin: float | None = None,
) -> float:
    """Degree-days of one day, in the unit of the temperatures (any, but one for all).

    `next_tmin` is the following day's minimum; the double methods need it. Raises BadInput for a minimum above
    the maximum, a value that is no number, thresholds out of order, or a rule that does not exist.
    """
    _check(tmin, tmax, base, upper)
    if method in _DOUBLE:
        if next_tmin is None or not math.isfinite(next_tmin):
            raise BadInput(f"the {method} needs the next day's minimum")
        single = _DOUBLE[method]
        # the night may end warmer than the day was: the half-wave still runs between the two temperatures
        night, day = sorted((next_tmin, tmax))
        first = degree_days(tmin, tmax, base, upper, cutoff=cutoff, method=single)
        second = degree_days(night, day, base, upper, cutoff=cutoff, method=single)
        return (first + second) / 2.0
    if method is Method.MODIFIED_AVERAGE:
        return _modified(tmin, tmax, base, upper, cutoff)
    above, share = _SHAPES[method]
    heat = above(tmin, tmax, base)
    if upper is None:
        return heat
    if cutoff is Cutoff.HORIZONTAL:
        return heat - above(tmin, tmax, upper)
    if cutoff is Cutoff.INTERMEDIATE:
        return max(0.0, heat - 2.0 * above(tmin, tmax, upper))
    return max(0.0, heat - above(tmin, tmax, upper) - (upper - base) * share(tmin, tmax, upper))


def total(
    tmins: Sequence[float],
    tmaxs: Sequence[float],
    base: float,
    upper: float | None = None,
    *,
    cutoff: Cutoff = Cutoff.HORIZONTAL,
    method: Method = Method.SINGLE_SINE,
) -> float:
    """Sum of degree-days over consecutive days; the last day's following minimum is taken to be its own."""
    if len(tmins) != len(tmaxs):
        raise BadInput("minima and maxima differ in number", found=f"{len(tmins)} and {len(tmaxs)}")
    following = [*tmins[1:], *tmins[-1:]]
    days = zip(tmins, tmaxs, following, strict=True)
    return math.fsum(
        degree_days(low, high, base, upper, cutoff=cutoff, method=method, next_tmin=after) for low, high, after in days
    )


def _sine_above(tmin: float, tmax: float, line: float) -> float:
    """Mean height of the day's sine wave above `line` (Baskerville and Emin, Ecology 50:514-517, 1969)."""
    middle, half = (tmax + tmin) / 2.0, (tmax - tmin) / 2.0
    if tmin >= line:
        return middle - line
    if tmax <= line:
        return 0.0
    angle = math.asin(max(-1.0, min(1.0, (line - middle) / half)))
    return max(0.0, ((middle - line) * (math.pi / 2.0 - angle) + half * math.cos(angle)) / math.pi)


def _sine_share(tmin: float, tmax: float, line: float) -> float:
    """Share of the day that the sine wave stands above `line`."""
    if tmin >= line:
        return 1.0
    if tmax <= line:
        return 0.0
    angle = math.asin(max(-1.0, min(1.0, (2.0 * line - tmax - tmin) / (tmax - tmin))))
    return (math.pi / 2.0 - angle) / math.pi


def _triangle_above(tmin: float, tmax: float, line: float) -> float:
    """Mean height of the day's triangle above `line` (rule as in L. Coop, Oregon State University, wea3)."""
    if tmin >= line:
        return (tmax + tmin) / 2.0 - line
    if tmax <= line:
        return 0.0
    return (tmax - line) ** 2 / (2.0 * (tmax - tmin))


def _triangle_share(tmin: float, tmax: float, line: float) -> float:
    """Share of the day that the triangle stands above `line`."""
    if tmin >= line:
        return 1.0
    return 0.0 if tmax <= line else (tmax - line) / (tmax - tmin)


def _average_above(tmin: float, tmax: float, line: float) -> float:
    """The day's mean above `line`, never below zero."""
    return max(0.0, (tmax + tmin) / 2.0 - line)


def _average_share(tmin: float, tmax: float, line: float) -> float:
    """All or none of the day: the average knows only one temperature."""
    return 1.0 if (tmax + tmin) / 2.0 > line else 0.0


_Shape = Callable[[float, float, float], float]
_SHAPES: dict[Method, tuple[_Shape, _Shape]] = {
    Method.SINGLE_SINE: (_sine_above, _sine_share),
    Method.SINGLE_TRIANGLE: (_triangle_above, _triangle_share),
    Method.SIMPLE_AVERAGE: (_average_above, _average_share),
}


def _modified(tmin: float, tmax: float, base: float, upper: float | None, cutoff: Cutoff) -> float:
    """The corn rule: both temperatures are drawn to the thresholds, then averaged (Iowa State, Agron 541)."""
    if upper is not None and cutoff is not Cutoff.HORIZONTAL:
        raise BadInput(
            "the modified average has a horizontal cutoff only", found=str(cutoff), expected=str(Cutoff.HORIZONTAL)
        )
    ceiling = math.inf if upper is None else upper
    low, high = (min(max(value, base), ceiling) for value in (tmin, tmax))
    return (low + high) / 2.0 - base


def _check(tmin: float, tmax: float, base: float, upper: float | None) -> None:
    given = (tmin, tmax, base) if upper is None else (tmin, tmax, base, upper)
    if not all(math.isfinite(value) for value in given):
        raise BadInput("degree-days need numbers", found=", ".join(str(value) for value in given))
    if tmin > tmax:
        raise BadInput("a day's minimum is above its maximum", found=f"{tmin:g} and {tmax:g}")
    if upper is not None and upper <= base:
        raise BadInput("the upper threshold must lie above the base", found=f"{base:g} and {upper:g}")
