"""The hardiness zone scheme: the content folder comes in; zones with their coldest-night bands go out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from handouts.errors import BadInput
from handouts.place import table

FILE = Path("places") / "hardiness-zones.csv"
EDITION = "2023 map"
SOURCE = "USDA Plant Hardiness Zone Map, 2023"
PERIOD = "1991-2020"


@dataclass(frozen=True)
class Zone:
    """A half zone: the mean of each year's coldest night lies at or above `low` and below `high` (°F)."""

    name: str
    low: float
    high: float


def scheme(content: Path) -> dict[str, Zone]:
    """All zones by name, coldest first. Raises BadInput for a damaged table."""
    path = content / FILE
    what = "zone table"
    header, *body = list(table.rows(table.load(path, 1, what), path, what))
    if header.cells != ("zone", "low_F", "high_F"):
        raise BadInput("the zone table has other columns", file=path, line=header.line, expected="zone,low_F,high_F")
    zones = {}
    for row in body:
        table.check_width(row, 3, path, what)
        low, high = (table.number(cell, path, row.line, "bound") for cell in row.cells[1:])
        if low is None or high is None:
            raise BadInput("a zone lacks a bound", file=path, line=row.line)
        zones[row.cells[0]] = Zone(row.cells[0], low, high)
    return zones


def zone_named(text: str, content: Path, *, file: Path | str | None = None, line: int | None = None) -> Zone:
    """The zone a person typed: "6a", "6A", "zone 6a". Raises BadInput with what would be right."""
    zones = scheme(content)
    name = text.strip().lower().removeprefix("zone").strip()
    if name in zones:
        return zones[name]
    halves = [f"{name}{half}" for half in "ab" if f"{name}{half}" in zones]
    raise BadInput(
        "this is no hardiness zone" if not halves else "the hardiness zone lacks its half",
        file=file,
        line=line,
        found=text,
        expected=" or ".join(halves) if halves else f"{next(iter(zones))} to {list(zones)[-1]}",
        remedy="Look your zone up on the 2023 map of the US Department of Agriculture.",
    )


def band_of(coldest: float, content: Path) -> Zone | None:
    """The half zone whose band holds a mean coldest night (°F); None outside the scheme."""
    return next((zone for zone in scheme(content).values() if zone.low <= coldest < zone.high), None)
