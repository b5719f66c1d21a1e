"""NOAA normals files (CSV, annual or monthly) come in; freeze dates, heat sums and monthly means go out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from statistics import NormalDist

from handouts.errors import BadInput
from handouts.place import table
from handouts.place.table import Row
from handouts.season import yearday
from handouts.season.frost import Chance, Freeze, Side

LIMIT_MIB = 5
_WHAT = "normals file"
_SPECIAL = -4000.0  # NOAA's codes for "no value" lie below this
_FREEZE = re.compile(r"ANN-TMIN-PRB(LST|FST)-T(16|20|24|28|32|36)FP(10|20|30|40|50|60|70|80|90)")
_OCCURS = re.compile(r"ANN-TMIN-PRBOCC-LSTH0(16|20|24|28|32|36)")
_HEAT = re.compile(r"(ANN|DJF|MAM|JJA|SON)-GRDD-(?:BASE(\d\d)|TB(4886|5086))")
_MONTHLY = {"MLY-TMIN-NORMAL": "tmin", "MLY-TMAX-NORMAL": "tmax"}
_DATE = re.compile(r"(\d{1,2})/(\d{1,2})")
_SIDES = {"LST": Side.LAST, "FST": Side.FIRST}


@dataclass(frozen=True)
class Normals:
    """What the normals of one station state; temperatures in °F, heat in °F degree-days, elevation in meters.

    `freeze` has the dates of each chance by side and threshold; `heat` by season and base ("ANN", "50"), where
    "5086" is base 50 with an upper limit of 86; `tmin` and `tmax` hold twelve monthly means. What the file does
    not give is absent.
    """

    station: str
    period: str
    name: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    elevation: float | None = None
    freeze: dict[tuple[Side, int], Freeze] = field(default_factory=dict)
    heat: dict[tuple[str, str], float] = field(default_factory=dict)
    tmin: tuple[float, ...] | None = None
    tmax: tuple[float, ...] | None = None
    notes: tuple[str, ...] = ()

    @property
    def source(self) -> str:
        """The source line."""
        return f"NOAA U.S. Climate Normals {self.period}, station {self.station}"


def read_all(paths: Sequence[Path]) -> Normals:
    """Read one or more normals files of one station (annual/seasonal and monthly) into one. Raises BadInput."""
    parts = [read(path) for path in paths]
    whole = parts[0]
    for path, part in zip(paths[1:], parts[1:], strict=True):
        if part.station != whole.station or part.period != whole.period:
            raise BadInput(
                "the normals files are not of one station and period",
                file=path,
                found=f"{part.station}, {part.period}",
                expected=f"{whole.station}, {whole.period}",
            )
        whole = replace(
            whole,
            freeze={**part.freeze, **whole.freeze},
            heat={**part.heat, **whole.heat},
            tmin=whole.tmin or part.tmin,
            tmax=whole.tmax or part.tmax,
            notes=tuple(dict.fromkeys((*whole.notes, *part.notes))),
        )
    return whole


def read(path: Path) -> Normals:
    """Read a normals file; column names in capitals (1991-2020) or small letters (1981-2010) both serve.

    Raises BadInput with file and line for a file that is none, or holds several stations.
    """
    return parse(table.load(path, LIMIT_MIB, _WHAT), path)


def parse(text: str, path: Path) -> Normals:
    """Like `read` for text in hand; `path` is only named in errors."""
    header, *body = list(table.rows(text, path, _WHAT))
    names = [cell.upper() for cell in header.cells]
    for needed in ("STATION",):
        if needed not in names:
            raise BadInput(
                f"the normals file lacks the column {needed}",
                file=path,
                line=header.line,
                found=", ".join(header.cells[:6]),
                expected="a NOAA normals file by station, annual/seasonal or monthly",
            )
    twice = {name for name in names if name and names.count(name) > 1}
    if twice:
        raise BadInput("a column stands twice", file=path, line=header.line, found=min(twice))
    for row in body:
        table.check_width(row, len(names), path, _WHAT)
    at = {name: place for place, name in enumerate(names)}
    if not body:
        raise BadInput("the normals file has a header and no rows", file=path, line=header.line)
    for row in body:
        if row.cells[at["STATION"]] != body[0].cells[at["STATION"]]:
            raise BadInput("the normals file holds more than one station", file=path, line=row.line)
    monthly = any(name in at for name in _MONTHLY)
    if len(body) != (12 if monthly else 1):
        raise BadInput(
            "the normals file has an unexpected number of rows",
            file=path,
            line=body[-1].line,
            found=f"{len(body)} rows",
            expected="12 rows (monthly) or 1 row (annual/seasonal)",
        )
    small = any(cell.startswith(("ann-", "mly-")) for cell in header.cells)
    first = body[0]
    base = Normals(
        station=first.cells[at["STATION"]],
        period="1981-2010" if small else "1991-2020",
        name=first.cells[at["NAME"]] or None if "NAME" in at else None,
        latitude=_value(first, at, "LATITUDE", path),
        longitude=_value(first, at, "LONGITUDE", path),
        elevation=_value(first, at, "ELEVATION", path),
        notes=("the period is read off the spelling of the column names; the file does not state it",),
    )
    found = _months(body, at, path, base) if monthly else _annual(first, at, path, base)
    if not (found.freeze or found.heat or found.tmin or found.tmax):
        raise BadInput(
            "the normals file holds no freeze dates, heat sums or monthly temperatures",
            file=path,
            line=header.line,
            found=", ".join(header.cells[:6]),
            expected="columns such as ANN-TMIN-PRBLST-T32FP50 or MLY-TMIN-NORMAL",
        )
    return found


def _annual(row: Row, at: dict[str, int], path: Path, base: Normals) -> Normals:
    dates: dict[tuple[Side, int], dict[int, str | None]] = {}
    heat: dict[tuple[str, str], float] = {}
    share: dict[int, float] = {}
    for name in at:
        if match := _FREEZE.fullmatch(name):
            key = _SIDES[match[1]], int(match[2])
            dates.setdefault(key, {})[int(match[3])] = _month_day(row.cells[at[name]])
        elif match := _HEAT.fullmatch(name):
            value = _value(row, at, name, path)
            if value is not None:
                heat[match[1], match[2] or match[3]] = value
        elif match := _OCCURS.fullmatch(name):
            value = _value(row, at, name, path)
            if value is not None:
                share[int(match[1])] = value
    freeze = {
        key: _freeze(key[0], key[1], given, share.get(key[1]), base, path, row.line)
        for key, given in sorted(dates.items())
        if any(given.values())
    }
    return replace(base, freeze=freeze, heat=heat)


def _freeze(
    side: Side,
    threshold: int,
    given: dict[int, str | None],
    share: float | None,
    base: Normals,
    path: Path,
    line: int,
) -> Freeze:
    """The dates of one side and threshold, checked to run the right way."""
    chances = {}
    for percent, text in sorted(given.items()):
        value = None if text is None else float(yearday.number_of(text))
        if value is not None and side is Side.LAST and value > 212:
            value -= 365.0  # a last freeze before the turn of the year
        if value is not None and side is Side.FIRST and value <= 212:
            value += 365.0
        chances[percent] = Chance(percent, text, value)
    numbers = [chance.number for chance in chances.values() if chance.number is not None]
    if numbers != sorted(numbers, reverse=side is Side.LAST):
        raise BadInput(
            f"the {side} freeze dates at {threshold} °F run the wrong way",
            file=path,
            line=line,
            expected="later dates for smaller chances in spring, the reverse in autumn",
        )
    low, high = chances.get(10), chances.get(90)
    sd = None
    if low and high and low.number is not None and high.number is not None:
        sd = abs(high.number - low.number) / (2.0 * NormalDist().inv_cdf(0.9))
    notes = [] if share is None or share >= 100.0 else [f"a freeze in {share:g} percent of years"]
    middle = chances[50].number if 50 in chances else None
    return Freeze(side, threshold, False, chances, base.source, mean=middle, sd=sd, notes=tuple(notes))


def _months(body: Sequence[Row], at: dict[str, int], path: Path, base: Normals) -> Normals:
    key = next((name for name in ("DATE", "MONTH") if name in at), None)
    if key is None:
        raise BadInput("the monthly normals lack the column DATE", file=path, line=1, expected="01 to 12")
    order: dict[int, Row] = {}
    for row in body:
        text = row.cells[at[key]]
        if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 12 or int(text) in order:
            raise BadInput("this is no month, or it stands twice", file=path, line=row.line, found=text)
        order[int(text)] = row
    found: dict[str, tuple[float, ...]] = {}
    for name, field_name in _MONTHLY.items():
        if name in at:
            values = [_value(order[month], at, name, path) for month in range(1, 13)]
            if all(value is not None for value in values):
                found[field_name] = tuple(value for value in values if value is not None)
    lows, highs = found.get("tmin"), found.get("tmax")
    if lows and highs:
        for month, (low, high) in enumerate(zip(lows, highs, strict=True), 1):
            if low > high:
                raise BadInput(
                    "a monthly minimum is above its maximum",
                    file=path,
                    line=order[month].line,
                    found=f"{low:g} and {high:g}",
                )
    return replace(base, tmin=lows, tmax=highs)


def _value(row: Row, at: dict[str, int], name: str, path: Path) -> float | None:
    """A number, or None for a blank, a special code or an absent column."""
    if name not in at:
        return None
    value = table.number(row.cells[at[name]], path, row.line, name)
    return None if value is None or value < _SPECIAL else value


def _month_day(text: str) -> str | None:
    """MM-DD of NOAA's MM/DD; anything else means that the file gives no date."""
    match = _DATE.fullmatch(text)
    if not match:
        return None
    month, day = int(match[1]), int(match[2])
    if (month, day) == (2, 29):
        day = 28
    if not 1 <= month <= 12 or not 1 <= day <= yearday.MONTH_DAYS[month - 1]:
        return None
    return f"{month:02}-{day:02}"
