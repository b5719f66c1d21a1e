"""A garden logger's CSV file (time, temperature) comes in; daily lows and highs in °F go out, spikes set aside."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from statistics import median

from handouts.errors import BadInput
from handouts.place import table
from handouts.place.table import Row, Unit
from handouts.season.series import Day, Reject, Series, screened

LIMIT_MIB = 20
SPIKE_F = 18.0  # from the median of the five hours around
COVERAGE = 0.75  # share of a day's usual readings that the day must have
_WHAT = "logger file"
_TIME = re.compile(r"\b(date|time|timestamp|datetime|when)", re.IGNORECASE)
_TEMPERATURE = re.compile(r"(?<![a-z])temp|^\s*[°º˚]?\s*[fc]\s*$", re.IGNORECASE)
_US_STAMP = re.compile(
    r"(\d{1,2})/(\d{1,2})/(\d{4}|\d{2})[ ,T]+(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([AaPp][Mm])?"
)
_POINT_STAMP = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})[ ,T]+(\d{1,2}):(\d{2})(?::(\d{2}))?")
_UNIT_REMEDY = "a unit in the header such as Temperature (°F), or daily_unit: F or C in the place file"


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading: the clock time as written, °F, and the line it stands on."""

    moment: datetime
    value: float
    line: int

    @property
    def hour(self) -> datetime:
        """The full hour it falls in."""
        return self.moment.replace(minute=0, second=0, microsecond=0)


def read(path: Path, unit: Unit | None = None) -> Series:
    """Read a logger file; the unit stands in the header or is given, else the file is refused.

    Times are clock times as written; a day runs from midnight to midnight. A reading more than 18 °F from the
    median of the five hours around it is set aside. A day with under three quarters of its usual readings
    counts as missing. Raises BadInput with file and line.
    """
    return parse(table.load(path, LIMIT_MIB, _WHAT), path, unit)


def parse(text: str, path: Path, unit: Unit | None = None) -> Series:
    """Like `read` for text in hand; `path` is only named in errors."""
    kept, rejects = _without_spikes(readings(text, path, unit))
    days, short = _days(kept)
    notes = [f"{short} days with too few readings count as missing."] if short else []
    source = f"logger file {path.name}"
    return screened(Series(tuple(days), tuple(rejects), whole_degrees=False, source=source, notes=tuple(notes)))


def readings(
    text: str, path: Path, unit: Unit | None = None, *, what: str = _WHAT, say_unit: str = _UNIT_REMEDY
) -> list[Reading]:
    """Cut a logger file into its readings, in °F and in order of time; none is set aside.

    `what` names the file in errors, `say_unit` says how to name a unit that is missing. Raises BadInput with file and
    line for a header, a time or a number that does not fit, and for fewer than two readings.
    """
    all_rows = list(table.rows(text, path, what))
    head, when_at, time_at, value_at = _header(all_rows, path)
    header = all_rows[head]
    unit = unit or table.unit_in(header.cells[value_at])
    if unit is None:
        raise BadInput(
            f"the {what} does not say its temperature unit",
            file=path,
            line=header.line,
            found=header.cells[value_at],
            expected=say_unit,
        )
    found: list[Reading] = []
    for row in all_rows[head + 1 :]:
        table.check_width(row, len(header.cells), path, what)
        value = table.number(row.cells[value_at], path, row.line, "temperature")
        stamp = row.cells[when_at]
        if time_at is not None:
            stamp = f"{stamp} {row.cells[time_at]}"
        moment = _moment(stamp, path, row.line)
        if value is not None:
            found.append(Reading(moment, table.to_fahrenheit(value, unit), row.line))
    if len(found) < 2:
        raise BadInput(f"the {what} holds no readings", file=path, line=header.line)
    return sorted(found, key=lambda reading: (reading.moment, reading.line))


def _header(all_rows: Sequence[Row], path: Path) -> tuple[int, int, int | None, int]:
    """Place of the header row, its date or time column, a separate clock column, and its temperature column.

    A title line or two may stand above. Raises BadInput for none, or for two temperature columns.
    """
    for place, row in enumerate(all_rows[:5]):
        times = [at for at, cell in enumerate(row.cells) if _TIME.search(cell)]
        values = [at for at, cell in enumerate(row.cells) if _TEMPERATURE.search(cell) and at not in times]
        if times and values:
            if len(values) > 1:
                raise BadInput(
                    "the logger file has more than one temperature column",
                    file=path,
                    line=row.line,
                    found=", ".join(row.cells[at] for at in values),
                    remedy="Keep the column of the sensor in question.",
                )
            plain = [row.cells[at].strip().lower() for at in times]
            if len(times) > 1 and plain[0] == "date" and plain[1].startswith("time"):
                return place, times[0], times[1], values[0]
            return place, times[0], None, values[0]
    raise BadInput(
        "the logger file has no header with a time and a temperature",
        file=path,
        line=all_rows[0].line if all_rows else 1,
        found=", ".join(all_rows[0].cells) if all_rows else None,
        expected="a line such as: time,temperature (°F)",
    )


def _moment(text: str, path: Path, line: int) -> datetime:
    """A clock time: ISO 8601, month/day/year with a 12- or 24-hour clock, or day.month.year. Raises BadInput."""
    try:
        if match := _US_STAMP.fullmatch(text):
            month, dom, year, hour, minute = (int(match[part]) for part in range(1, 6))
            if match[7]:
                if not 1 <= hour <= 12:
                    raise ValueError
                hour = hour % 12 + (12 if match[7].lower() == "pm" else 0)
            return datetime(year + 2000 if year < 100 else year, month, dom, hour, minute, int(match[6] or 0))
        if match := _POINT_STAMP.fullmatch(text):
            dom, month, year, hour, minute = (int(match[part]) for part in range(1, 6))
            return datetime(year, month, dom, hour, minute, int(match[6] or 0))
        if len(text) > 10:
            return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        pass
    raise BadInput(
        "this is no date with a time",
        file=path,
        line=line,
        found=text,
        expected="2026-05-06 14:30, or 05/06/2026 02:30 PM (month first)",
    )


def _without_spikes(found: Sequence[Reading]) -> tuple[list[Reading], list[Reject]]:
    """Set aside readings far from the median of the hours around them."""
    hours: dict[datetime, list[float]] = {}
    for reading in found:
        hours.setdefault(reading.hour, []).append(reading.value)
    middles = {hour: median(values) for hour, values in hours.items()}
    kept: list[Reading] = []
    rejects: list[Reject] = []
    steps = [timedelta(hours=step) for step in range(-2, 3)]
    around: dict[datetime, list[float]] = {}
    for reading in found:
        hour = reading.hour
        if hour not in around:
            around[hour] = [middles[hour + step] for step in steps if hour + step in middles]
        near = around[hour]
        if len(near) >= 3 and abs(reading.value - median(near)) > SPIKE_F:
            shown = f"{reading.value:g} °F at {reading.moment:%H:%M}"
            rejects.append(Reject(reading.moment.date(), shown, "a spike among its hours", reading.line))
        else:
            kept.append(reading)
    return kept, rejects


def _days(found: Sequence[Reading]) -> tuple[list[Day], int]:
    """Days with enough readings, and how many had too few."""
    by_day: dict[date, list[float]] = {}
    for reading in found:
        by_day.setdefault(reading.moment.date(), []).append(reading.value)
    usual = median(len(values) for values in by_day.values())
    # one reading a day is no measure of a night: four is the fewest that can hold a low and a high
    enough = max(4.0, COVERAGE * usual)
    days = []
    for when in sorted(by_day):
        values = by_day[when]
        fits = len(values) >= enough
        days.append(Day(when, min(values) if fits else None, max(values) if fits else None))
    return days, sum(day.tmin is None for day in days)
