"""A temperature log (CSV) in; its days with lowest, highest and the readings that count as heat out, in °F.

Three forms are read: a logger's readings with date and time, a hand-kept list of each day's lowest and highest, and a
weather station's daily file. The first is cut into cells by the place room's own reader, so that both agree.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from statistics import median

from handouts.errors import BadInput
from handouts.place import daily, logger, table
from handouts.place.logger import Reading
from handouts.place.table import Unit
from handouts.season.series import COLDEST_F, HOTTEST_F, Reject

LIMIT_MIB = 60
_WHAT = "temperature log"
_SAY_UNIT = "a unit in the header such as temperature (°F), or --unit F or --unit C"
# The names by which people head the columns of a hand-kept list.
_LOWEST = re.compile(r"(?:t?min(?:imum)?|low(?:est)?)(?![a-z])", re.IGNORECASE)
_HIGHEST = re.compile(r"(?:t?max(?:imum)?|high(?:est)?)(?![a-z])", re.IGNORECASE)
_DATE = re.compile(r"(?:date|day)\b", re.IGNORECASE)
ENOUGH = 0.75  # share of a day's usual hours that the day must have
LEAST_HOURS = 4


@dataclass(frozen=True, slots=True)
class LogDay:
    """One day: lowest and highest °F of the readings kept, and for heat every hour's readings with spikes cut short.

    `hours` is None for a log of daily lows and highs.
    """

    day: date
    low: float
    high: float
    hours: tuple[tuple[float, ...], ...] | None = None


@dataclass(frozen=True)
class Log:
    """A log that was read: its days in order, what was set aside, and how it was kept.

    `form` is "readings" or "lows-and-highs"; `station` says that a weather station kept it, not the club.
    """

    file: Path
    days: tuple[LogDay, ...]
    rejects: tuple[Reject, ...]
    readings: int
    short: int
    form: str
    notes: tuple[str, ...] = ()
    station: bool = False

    def between(self, first: date, last: date) -> tuple[LogDay, ...]:
        """The days from `first` to `last`, both included."""
        return tuple(day for day in self.days if first <= day.day <= last)


def read(path: Path, unit: Unit | None = None) -> Log:
    """Read a log; `unit` overrules its header. Raises BadInput with file and line."""
    text = table.load(path, LIMIT_MIB, _WHAT)
    text = _renamed(text)
    return _daily(text, path, unit) if daily.is_daily(text) else _readings(text, path, unit)


def _renamed(text: str) -> str:
    """Give a hand-kept list ("date, lowest, highest") the column names of a daily file."""
    head, mark, rest = text.partition("\n")
    sign = max((",", ";", "\t"), key=head.count)
    cells = [cell.strip().strip('"') for cell in head.rstrip("\r").split(sign)]
    if len(cells) < 3 or not _DATE.match(cells[0]):
        return text
    kinds = ["TMIN" if _LOWEST.match(cell) else "TMAX" if _HIGHEST.match(cell) else "" for cell in cells[1:3]]
    if sorted(kinds) != ["TMAX", "TMIN"]:
        return text
    named = [
        f"{kind} ({unit})" if (unit := _unit_of(cell)) else kind for kind, cell in zip(kinds, cells[1:3], strict=True)
    ]
    return sign.join(["DATE", *named, *cells[3:]]) + mark + rest


def _unit_of(cell: str) -> str:
    unit = table.unit_in(cell)
    return "" if unit is None else f"°{unit.value}"


def _daily(text: str, path: Path, unit: Unit | None) -> Log:
    series = daily.parse(text, path, unit)
    days = [LogDay(day.day, day.tmin, day.tmax) for day in series.days if day.tmin is not None and day.tmax is not None]
    if not days:
        raise BadInput(f"the {_WHAT} holds no day with both a lowest and a highest temperature", file=path)
    short = len(series.days) - len(days)
    station = series.station is not None
    return Log(path, tuple(days), series.rejects, 2 * len(days), short, "lows-and-highs", series.notes, station)


def _readings(text: str, path: Path, unit: Unit | None) -> Log:
    """Read a logger's file by the place room's own rules for header and clock; what no weather can be is set aside."""
    kept: list[Reading] = []
    rejects: list[Reject] = []
    for reading in logger.readings(text, path, unit, what=_WHAT, say_unit=_SAY_UNIT):
        if COLDEST_F <= reading.value <= HOTTEST_F:
            kept.append(reading)
        else:
            why = f"outside {COLDEST_F:g}..{HOTTEST_F:g} °F"
            shown = f"{reading.value:g} °F at {reading.moment:%H:%M}"
            rejects.append(Reject(reading.moment.date(), shown, why, reading.line))
    if len(kept) < 2:
        raise BadInput(f"the {_WHAT} holds no readings", file=path)
    return _log_of(kept, rejects, path)


def _log_of(kept: Sequence[Reading], rejects: list[Reject], path: Path) -> Log:
    """Cut spikes short and gather days; a day with too few of its usual hours is left out."""
    bounds = _bounds(kept)
    by_day: dict[date, dict[int, list[float]]] = {}
    extremes: dict[date, list[float]] = {}
    for reading in kept:
        low, high = bounds[reading.hour]
        day = reading.moment.date()
        if low <= reading.value <= high:
            extremes.setdefault(day, []).append(reading.value)
        else:
            shown = f"{reading.value:g} °F at {reading.moment:%H:%M}"
            rejects.append(Reject(day, shown, "a spike among its hours", reading.line))
        # A spike still counts as far as its hours allow, so that a warmer log never adds up to less heat.
        hour = by_day.setdefault(day, {}).setdefault(reading.moment.hour, [])
        hour.append(min(max(reading.value, low), high))
    usual = median(len(hours) for hours in by_day.values())
    enough = max(float(LEAST_HOURS), ENOUGH * usual)
    days = []
    for day, hours in sorted(by_day.items()):
        if len(hours) >= enough:
            cut = tuple(tuple(hours[hour]) for hour in sorted(hours))
            # a day of nothing but spikes shows them as they were cut
            seen = extremes.get(day) or [value for hour in cut for value in hour]
            days.append(LogDay(day, min(seen), max(seen), cut))
    if not days:
        raise BadInput(
            f"the {_WHAT} holds no day with enough readings",
            file=path,
            expected=f"readings in {LEAST_HOURS} hours of a day, or a list of each day's lowest and highest",
        )
    rejects.sort(key=lambda reject: (reject.day, reject.line or 0))
    return Log(path, tuple(days), tuple(rejects), len(kept), len(by_day) - len(days), "readings")


def _bounds(readings: Sequence[Reading]) -> dict[datetime, tuple[float, float]]:
    """The span that each hour's readings may lie in: 18 °F around the median of the five hours about it."""
    hours: dict[datetime, list[float]] = {}
    for reading in readings:
        hours.setdefault(reading.hour, []).append(reading.value)
    middles = {hour: median(values) for hour, values in hours.items()}
    found: dict[datetime, tuple[float, float]] = {}
    for hour in middles:
        near = [middles[at] for step in range(-2, 3) if (at := hour + timedelta(hours=step)) in middles]
        if len(near) < 3:
            found[hour] = (-math.inf, math.inf)
        else:
            middle = median(near)
            found[hour] = (middle - logger.SPIKE_F, middle + logger.SPIKE_F)
    return found
