"""Daily temperatures: days with a minimum and a maximum come in; the plausible days and the visible rejects go out."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

JUMP_F = 30.0  # a value this far from the median of its week is set aside
COLDEST_F, HOTTEST_F = -90.0, 140.0  # outside these no weather station has ever been


@dataclass(frozen=True, slots=True)
class Day:
    """One day's lowest and highest temperature in °F; None where the value is missing."""

    day: date
    tmin: float | None
    tmax: float | None


@dataclass(frozen=True, slots=True)
class Reject:
    """A value that was set aside, and why; `line` is its place in the file where that is known."""

    day: date
    value: str
    why: str
    line: int | None = None


@dataclass(frozen=True)
class Series:
    """Daily temperatures of one place, in order of date, each date once.

    `whole_degrees`: the thermometer was read in whole °F (US stations), so values are rounded before they are
    compared. `latitude`, `longitude` in degrees and `elevation` in meters where the file gives them.
    """

    days: tuple[Day, ...]
    rejects: tuple[Reject, ...] = ()
    whole_degrees: bool = True
    station: str | None = None
    name: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    elevation: float | None = None
    source: str = "daily temperatures"
    notes: tuple[str, ...] = ()

    @property
    def years(self) -> tuple[int, ...]:
        """The calendar years that have any day, in order."""
        return tuple(sorted({day.day.year for day in self.days}))

    @property
    def period(self) -> str:
        """First and last year, as "1991-2020"."""
        if not self.days:
            return "no days"
        first, last = self.days[0].day.year, self.days[-1].day.year
        return str(first) if first == last else f"{first}-{last}"

    def between(self, first: date, last: date) -> Series:
        """The part from `first` to `last`, both included, with its own rejects."""
        dates = [day.day for day in self.days]
        part = self.days[bisect_left(dates, first) : bisect_left(dates, last)]
        if (at := bisect_left(dates, last)) < len(dates) and dates[at] == last:
            part = (*part, self.days[at])
        kept = tuple(reject for reject in self.rejects if first <= reject.day <= last)
        return replace(self, days=part, rejects=kept)


def whole(value: float) -> float:
    """The whole °F a station wrote down: 28.04, stored as tenths of °C, was 28."""
    return float(math.floor(value + 0.5))


def screened(series: Series) -> Series:
    """Set aside values that no thermometer should have shown; each stands in `rejects` with its reason.

    Rules: outside -90..140 °F; the day's minimum above its maximum (both go); more than 30 °F from the median
    of the seven days around it.
    """
    rejects: list[Reject] = list(series.rejects)
    kept: list[Day] = []
    for day in series.days:
        tmin, tmax = (_possible(day.day, value, rejects) for value in (day.tmin, day.tmax))
        if tmin is not None and tmax is not None and tmin > tmax:
            rejects.append(Reject(day.day, f"{tmin:g} and {tmax:g} °F", "the minimum is above the maximum"))
            tmin = tmax = None
        kept.append(Day(day.day, tmin, tmax))
    lows = _jumps([(day.day, day.tmin) for day in kept])
    highs = _jumps([(day.day, day.tmax) for day in kept])
    for at in sorted(lows | highs):
        day = kept[at]
        for wrong, value in ((at in lows, day.tmin), (at in highs, day.tmax)):
            if wrong and value is not None:
                rejects.append(Reject(day.day, f"{value:g} °F", f"more than {JUMP_F:g} °F from its week"))
        kept[at] = Day(day.day, None if at in lows else day.tmin, None if at in highs else day.tmax)
    return replace(series, days=tuple(kept), rejects=tuple(sorted(rejects, key=lambda reject: reject.day)))


def _possible(day: date, value: float | None, rejects: list[Reject]) -> float | None:
    if value is None or COLDEST_F <= value <= HOTTEST_F:
        return value
    rejects.append(Reject(day, f"{value:g} °F", f"outside {COLDEST_F:g}..{HOTTEST_F:g} °F"))
    return None


def _jumps(values: Sequence[tuple[date, float | None]]) -> set[int]:
    """Places of the values too far from the median of the week around them."""
    found: set[int] = set()
    for at, (day, value) in enumerate(values):
        if value is None:
            continue
        near = values[max(0, at - 3) : at + 4]
        # a quick look first: most days lie close to every neighbor, and need no median
        week = [other for when, other in near if other is not None and abs((when - day).days) <= 3]
        if len(week) >= 3 and max(abs(other - value) for other in week) > JUMP_F:
            week.sort()
            half = len(week) // 2
            median = week[half] if len(week) % 2 else (week[half - 1] + week[half]) / 2.0
            if abs(value - median) > JUMP_F:
                found.add(at)
    return found


def full_years(series: Series, least: int) -> tuple[int, ...]:
    """Calendar years with at least `least` days that have both values."""
    counts: dict[int, int] = {}
    for day in series.days:
        if day.tmin is not None and day.tmax is not None:
            counts[day.day.year] = counts.get(day.day.year, 0) + 1
    return tuple(sorted(year for year, count in counts.items() if count >= least))


def monthly_means(values: Iterable[tuple[date, float | None]]) -> list[float] | None:
    """Mean of each month over all years, twelve numbers; None when a month has fewer than 20 values."""
    sums, counts = [0.0] * 12, [0] * 12
    for day, value in values:
        if value is not None:
            sums[day.month - 1] += value
            counts[day.month - 1] += 1
    return [sums[m] / counts[m] for m in range(12)] if min(counts) >= 20 else None
