"""Freeze dates: daily minima or one stated date come in; the dates of given chances go out, with what they rest on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from statistics import NormalDist, mean, median, stdev

from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.series import Series, whole

THRESHOLDS = (24, 28, 32, 36)
CHANCES = tuple(range(10, 100, 10))
ASSUMED_SD = 12.0  # days from year to year; measured 8 to 14 at two stations, so 12 stands in where nothing is known
MOST_MISSING = 5
ENOUGH, FEW = 20, 10  # years for a probability without, and with, a flag
_NORMAL = NormalDist()
_HALF_END = 212  # 31 July; 31 January in the south


class Side(StrEnum):
    """The last freeze of the cold season, or the first of the next."""

    LAST = "last"
    FIRST = "first"


@dataclass(frozen=True)
class Chance:
    """The date that goes with one chance.

    Last freeze: a freeze comes on this date or later in `percent` of years; so 10 is the late, safe date. First
    freeze: on this date or earlier. `day` is MM-DD, None where a freeze does not happen that often. `empirical`
    is the same read off the years themselves. `error_days` is the standard error from the number of years.
    """

    percent: int
    day: str | None
    number: float | None
    empirical: str | None = None
    error_days: float | None = None


@dataclass(frozen=True)
class Freeze:
    """One side's freeze dates at one threshold (°F, at or below).

    `n` years counted, `with_event` of them had a freeze on this side; `sd` in days between years. `chances` is
    empty under ten years; `years` then tells what there is. `method` and `notes` are words for the reader.
    """

    side: Side
    threshold: int
    south: bool
    chances: dict[int, Chance]
    method: str
    n: int = 0
    with_event: int = 0
    mean: float | None = None
    sd: float | None = None
    years: tuple[tuple[int, date | None], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Season:
    """One season year of one side: its event (day number) and the day numbers that lack a minimum."""

    event: int | None = None
    when: date | None = None
    present: set[int] = field(default_factory=set)


def from_daily(series: Series, threshold: int, side: Side, south: bool = False) -> Freeze:
    """Freeze dates from daily minima, already screened.

    A station that reads whole °F is compared in whole °F, at or below the threshold. Halves of the year: the
    last freeze in the first seven months of the season year, the first in the last five (season years begin 1
    January, in the south 1 July). A year counts only with at most five days missing around the station's usual
    date (60 days to either side of the last freeze, 45 of the first). Dates come from the normal distribution
    of the years that had a freeze; under 20 years that is flagged, under 10 refused.
    """
    seasons = _seasons(series, threshold, side, south)
    counted = _counted(seasons, side)
    events = [season.event for season in counted.values() if season.event is not None]
    years = tuple((year, season.when) for year, season in counted.items())
    n = len(counted)
    notes = []
    if n < len(seasons):
        notes.append(f"{count(len(seasons) - n)} left out for missing days")
    if n < FEW:
        notes.append(f"only {count(n)}: too few for a probability (needs {FEW})")
        return Freeze(
            side, threshold, south, {}, "dates of single years", n, len(events), years=years, notes=tuple(notes)
        )
    if n < ENOUGH:
        notes.append(f"only {count(n)}: read the dates with care (wants {ENOUGH})")
    average = mean(events) if events else None
    spread = stdev(events) if len(events) > 1 else None
    share = len(events) / n
    chances = {percent: _chance(percent, share, events, average, spread, side, south) for percent in CHANCES}
    if share < 1.0:
        notes.append(f"no freeze on this side in {n - len(events)} of {n} years")
    method = f"normal distribution of {len(events)} years' dates"
    return Freeze(side, threshold, south, chances, method, n, len(events), average, spread, years, tuple(notes))


def count(years: int) -> str:
    """A number of years in words and figures: "1 year", "30 years"."""
    return f"{years} year{'' if years == 1 else 's'}"


def _seasons(series: Series, threshold: int, side: Side, south: bool) -> dict[int, _Season]:
    """Each season year's event and the days that have a minimum, for one half of the year."""
    seasons: dict[int, _Season] = {}
    for day in series.days:
        at = yearday.number(day.day, south)
        if (at <= _HALF_END) is not (side is Side.LAST) or day.tmin is None:
            continue
        year = yearday.season_year(day.day, south)
        season = seasons.setdefault(year, _Season())
        season.present.add(at)
        cold = (whole(day.tmin) if series.whole_degrees else day.tmin) <= threshold
        if cold and (season.event is None or side is Side.LAST):
            seasons[year] = _Season(at, day.day, season.present)
    return dict(sorted(seasons.items()))


def _counted(seasons: dict[int, _Season], side: Side) -> dict[int, _Season]:
    """The season years whose search window is nearly complete."""
    events = [season.event for season in seasons.values() if season.event is not None]
    first, last = (1, _HALF_END) if side is Side.LAST else (_HALF_END + 1, 365)
    reach = 60 if side is Side.LAST else 45
    # where it never freezes there is no usual date; the cold end of the half stands in
    middle = median(events) if events else (first if side is Side.LAST else last)
    low, high = max(first, round(middle) - reach), min(last, round(middle) + reach)
    return {
        year: season
        for year, season in seasons.items()
        if sum(day not in season.present for day in range(low, high + 1)) <= MOST_MISSING
    }


def _chance(
    percent: int,
    share: float,
    events: Sequence[int],
    average: float | None,
    spread: float | None,
    side: Side,
    south: bool,
) -> Chance:
    """The date of one chance: quantile 1 - q/p of the last freezes, q/p of the first."""
    wanted = percent / 100.0
    if wanted >= share or average is None or spread is None:
        return Chance(percent, None, None)
    level = wanted / share if side is Side.FIRST else 1.0 - wanted / share
    z = _NORMAL.inv_cdf(level)
    value = average + spread * z
    n = len(events)
    # sampling errors of a median and of a normal quantile
    error = spread * (1.25 / math.sqrt(n) if percent == 50 else math.sqrt(1.0 / n + z * z / (2.0 * n)))
    own = _weibull(sorted(events), level)
    return Chance(
        percent,
        yearday.month_day(value, south),
        value,
        None if own is None else yearday.month_day(own, south),
        error,
    )


def _weibull(events: Sequence[int], level: float) -> float | None:
    """The level-th part of sorted values at plotting positions i/(n+1); None outside them."""
    place = level * (len(events) + 1) - 1.0
    if not 0.0 <= place <= len(events) - 1:
        return None
    low = math.floor(place)
    high = min(low + 1, len(events) - 1)
    return events[low] + (place - low) * (events[high] - events[low])


def from_stated(
    day: str,
    side: Side,
    threshold: int = 32,
    chance: float = 50.0,
    sd: float | None = None,
    south: bool = False,
) -> Freeze:
    """Freeze dates around one stated date (MM-DD), which goes with `chance` percent.

    `sd` is the spread between years in days; without it 12 days are assumed, and the notes say so. Raises
    BadInput for a chance outside 1..99 or a spread that is not above zero.
    """
    if not 1.0 <= chance <= 99.0:
        raise BadInput("a chance must lie between 1 and 99 percent", found=f"{chance:g}")
    spread = ASSUMED_SD if sd is None else sd
    if not 0.0 < spread <= 60.0:
        raise BadInput("a spread between years must lie above 0 and up to 60 days", found=f"{spread:g}")
    sign = 1.0 if side is Side.FIRST else -1.0
    middle = yearday.number_of(day, south) - sign * spread * _NORMAL.inv_cdf(chance / 100.0)
    chances = {}
    for percent in CHANCES:
        value = middle + sign * spread * _NORMAL.inv_cdf(percent / 100.0)
        chances[percent] = Chance(percent, yearday.month_day(value, south), value)
    said = "assumed" if sd is None else "stated"
    notes = [f"the spread between years ({spread:g} days) is {said}"]
    if chance != 50.0:
        notes.append(f"the given date goes with a chance of {chance:g} percent")
    return Freeze(
        side,
        threshold,
        south,
        chances,
        f"the given date, with a normal spread of {spread:g} days ({said})",
        mean=middle,
        sd=spread,
        notes=tuple(notes),
    )


def table(series: Series, south: bool = False) -> dict[tuple[Side, int], Freeze]:
    """Freeze dates of a series for both sides and every threshold."""
    return {(side, line): from_daily(series, line, side, south) for side in Side for line in THRESHOLDS}
