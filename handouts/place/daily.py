"""A GHCN-Daily CSV file (NOAA) comes in, in either of its two forms; daily temperatures in °F go out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from itertools import chain, islice
from pathlib import Path

from handouts.errors import BadInput
from handouts.place import table
from handouts.place.table import Row, Unit
from handouts.season.series import Day, Reject, Series, screened

LIMIT_MIB = 60
_WHAT = "daily file"
_STATION = re.compile(r"[A-Z]{2}[A-Z0-9_-]{9}")
# GHCN country codes of the states and territories whose observers read whole °F
_US = ("US", "RQ", "VQ", "GQ", "CQ", "AQ", "MQ", "WQ", "JQ")
_HEAD_ROWS = 4
_UNIT_END = re.compile(r"[ _]*(?:°|DEG)?\s*(?:F|C|FAHRENHEIT|CELSIUS)$")
_SAME = {
    **dict.fromkeys(("TMIN", "MINTEMPERATURE", "MINTEMP", "TEMPMIN", "TEMPERATUREMIN", "MINIMUMTEMPERATURE"), "TMIN"),
    **dict.fromkeys(("TMAX", "MAXTEMPERATURE", "MAXTEMP", "TEMPMAX", "TEMPERATUREMAX", "MAXIMUMTEMPERATURE"), "TMAX"),
}
_NOAA = "NOAA Global Historical Climatology Network daily"


@dataclass
class _Found:
    """Values gathered while reading: low and high per date, with the line each came from."""

    lows: dict[date, tuple[float, int]] = field(default_factory=dict)
    highs: dict[date, tuple[float, int]] = field(default_factory=dict)
    dates: dict[date, int] = field(default_factory=dict)
    rejects: list[Reject] = field(default_factory=list)
    station: str | None = None
    name: str | None = None
    where: dict[str, float] = field(default_factory=dict)


def is_daily(text: str) -> bool:
    """Say whether the text begins like one of the two forms of a daily file."""
    for row, _ in zip(table.rows(text, Path(), _WHAT), range(_HEAD_ROWS), strict=False):
        if _STATION.fullmatch(row.cells[0].upper()) or _is_header(row) or _is_element_header(row):
            return True
    return False


def _names(row: Row) -> list[str]:
    """The columns of a header by their plain names; the usual ways to write date, minimum and maximum become one."""
    names = []
    for cell in row.cells:
        plain = _UNIT_END.sub("", cell.split("(")[0].strip().upper())
        names.append(_SAME.get(re.sub(r"[^A-Z]", "", plain), plain))
    return names


def _is_header(row: Row) -> bool:
    return {"DATE", "TMIN"} <= set(_names(row))


def _is_station_row(row: Row) -> bool:
    cells = row.cells
    return len(cells) in (7, 8) and _STATION.fullmatch(cells[0]) is not None and cells[1].isdigit()


def _is_element_header(row: Row) -> bool:
    """The heading that some copies of NOAA's by-station files carry."""
    names = {cell.upper() for cell in row.cells}
    return {"ID", "DATE", "ELEMENT"} <= names and len(row.cells) in (7, 8)


def read(path: Path, unit: Unit | None = None) -> Series:
    """Read and screen a daily file; `unit` overrules what the form says.

    Without a header (by-station form) values are tenths of °C. With a header (access-portal form) they are °F
    unless the column names say otherwise or the values cannot be. Rows with a quality flag are set aside.
    Raises BadInput with file and line.
    """
    return parse(table.load(path, LIMIT_MIB, _WHAT), path, unit)


def parse(text: str, path: Path, unit: Unit | None = None) -> Series:
    """Like `read` for text in hand; `path` is only named in errors."""
    lines = table.rows(text, path, _WHAT)
    notes: list[str] = []
    # a title, or the heading that some copies of the by-station form have, may stand above
    head = list(islice(lines, _HEAD_ROWS + 1))
    start = next((at for at, row in enumerate(head) if _is_station_row(row) or _is_header(row)), 0)
    first, lines = head[start], chain(head[start + 1 :], lines)
    if _STATION.fullmatch(first.cells[0]):
        found = _by_station(first, lines, path)
        unit = unit or Unit.TENTHS
    else:
        found, stated = _with_header(first, lines, path)
        unit = unit or stated or _judge(found, path, notes)
    if not found.lows and not found.highs:
        raise BadInput("the daily file holds no temperatures", file=path, expected="TMIN and TMAX values")
    return screened(_series(found, unit, path, notes))


def _series(found: _Found, unit: Unit, path: Path, notes: list[str]) -> Series:
    days = []
    for when in sorted(found.dates):
        low, high = found.lows.get(when), found.highs.get(when)
        days.append(
            Day(
                when,
                None if low is None else table.to_fahrenheit(low[0], unit),
                None if high is None else table.to_fahrenheit(high[0], unit),
            )
        )
    whole = found.station is not None and found.station[:2] in _US
    if found.station is None and unit is not Unit.FAHRENHEIT and _were_whole(days):
        notes.append("The values are whole °F stored in °C, so they are compared in whole °F.")
        whole = True
    return Series(
        tuple(days),
        tuple(found.rejects),
        whole_degrees=whole,
        station=found.station,
        name=found.name,
        latitude=found.where.get("LATITUDE"),
        longitude=found.where.get("LONGITUDE"),
        elevation=found.where.get("ELEVATION"),
        source=f"{_NOAA}, station {found.station}" if found.station else f"daily file {path.name}",
        notes=tuple(notes),
    )


def _were_whole(days: list[Day]) -> bool:
    """Whether nearly all values turn out as whole °F, which tenths of °C read elsewhere do not."""
    values = [value for day in days for value in (day.tmin, day.tmax) if value is not None]
    near = sum(abs(value - round(value)) <= 0.1 for value in values)
    return len(values) >= 100 and near >= 0.99 * len(values)


def _by_station(first: Row, rest: Iterator[Row], path: Path) -> _Found:
    """Rows `ID, YYYYMMDD, ELEMENT, VALUE, M-FLAG, Q-FLAG, S-FLAG[, OBS-TIME]` (NOAA readme-by_station)."""
    found = _Found()
    row: Row | None = first
    while row is not None:
        cells, line = row.cells, row.line
        if len(cells) not in (7, 8):
            table.check_width(row, 8, path, _WHAT)
        _same_station(found, cells[0], path, line)
        if cells[2] in ("TMIN", "TMAX"):
            when = table.day(cells[1], path, line)
            value = table.number(cells[3], path, line, cells[2])
            _keep(found, cells[2], when, value, cells[5], path, line)
        row = next(rest, None)
    return found


def _with_header(first: Row, rest: Iterator[Row], path: Path) -> tuple[_Found, Unit | None]:
    """The access-portal form: one row per date, columns by name in any order."""
    names = _names(first)
    twice = {name for name in names if name and names.count(name) > 1}
    at = {name: place for place, name in enumerate(names)}
    for needed in ("DATE", "TMIN"):
        if needed not in at or needed in twice:
            raise BadInput(
                f"the daily file {'has two columns' if needed in twice else 'lacks the column'} {needed}",
                file=path,
                line=first.line,
                found=", ".join(first.cells),
                expected="DATE, TMIN and TMAX, or NOAA's form without a header",
            )
    found = _Found()
    elements = [name for name in ("TMIN", "TMAX") if name in at and name not in twice]
    for row in rest:
        table.check_width(row, len(names), path, _WHAT)
        cells, line = row.cells, row.line
        if "STATION" in at:
            _same_station(found, cells[at["STATION"]], path, line)
        if found.name is None and "NAME" in at:
            found.name = cells[at["NAME"]] or None
        for key in ("LATITUDE", "LONGITUDE", "ELEVATION"):
            if key in at and key not in found.where:
                value = table.number(cells[at[key]], path, line, key)
                if value is not None:
                    found.where[key] = value
        when = table.day(cells[at["DATE"]], path, line)
        if when in found.dates:
            raise BadInput(
                "a date stands twice in the daily file",
                file=path,
                line=line,
                found=f"{when}, first on line {found.dates[when]}",
            )
        for name in elements:
            value = table.number(cells[at[name]], path, line, name)
            flags = cells[at[f"{name}_ATTRIBUTES"]].split(",") if f"{name}_ATTRIBUTES" in at else []
            _keep(found, name, when, value, flags[1].strip() if len(flags) > 1 else "", path, line)
    stated = {table.unit_in(first.cells[at[name]]) for name in elements}
    if len(stated) > 1:
        raise BadInput("TMIN and TMAX state different units", file=path, line=first.line)
    return found, stated.pop()


def _keep(found: _Found, name: str, when: date, value: float | None, flag: str, path: Path, line: int) -> None:
    found.dates.setdefault(when, line)
    if value is None:
        return
    if flag:
        found.rejects.append(Reject(when, f"{name} {value:g} as stored", f"quality flag {flag}", line))
        return
    values = found.lows if name == "TMIN" else found.highs
    if when in values and values[when][0] != value:
        raise BadInput(
            f"two different {name} values for one date",
            file=path,
            line=line,
            found=f"{when}, first on line {values[when][1]}",
        )
    values[when] = (value, line)


def _same_station(found: _Found, station: str, path: Path, line: int) -> None:
    if found.station is None:
        found.station = station or None
    elif station != found.station:
        raise BadInput(
            "the daily file holds more than one station",
            file=path,
            line=line,
            found=f"{station} after {found.station}",
            remedy="Keep the rows of one station.",
        )


def _judge(found: _Found, path: Path, notes: list[str]) -> Unit:
    """°F, as the portal writes them, unless the values can't be; nothing is guessed between °F and °C."""
    values = sorted(value for value, _ in (found.highs or found.lows).values())
    if not values:
        return Unit.FAHRENHEIT
    high = values[int(0.95 * (len(values) - 1))]
    if high > 150.0:
        notes.append("The values are too large for degrees; they were read as NOAA's tenths of °C.")
        return Unit.TENTHS
    if found.station is None or (len(values) >= 300 and high < 60.0):
        raise BadInput(
            "the daily file does not say its temperature unit",
            file=path,
            line=1,
            found=f"warm days near {high:g}",
            expected="a unit in the column names, or daily_unit: F, C or tenths-C in the place file",
        )
    notes.append("The file does not name its unit; NOAA's portal writes °F by default.")
    return Unit.FAHRENHEIT
