"""A ZIP code comes in; the middle of its Census area (latitude, longitude) goes out, or a refusal in words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from handouts.errors import BadInput
from handouts.place import table

FILE = Path("places") / "zcta-2023.csv.gz"
SOURCE = "US Census Bureau, 2023 Gazetteer, ZIP Code Tabulation Areas"
VINTAGE = "2023"
SPREAD_KM = 30.0  # how far from the middle of its area a place may lie
KM_PER_DEGREE = 111.2


@dataclass(frozen=True)
class Spot:
    """The internal point of a ZIP area, in degrees."""

    zip: str
    latitude: float
    longitude: float


def spot(zip_code: str, content: Path, *, file: Path | str | None = None, line: int | None = None) -> Spot:
    """The point of a five-digit ZIP code.

    Raises BadInput for one that is not in the table (PO-box and single-building ZIPs are not) and for Alaska,
    where the areas are so large that their middle says little.
    """
    if len(zip_code) != 5 or not (zip_code.isascii() and zip_code.isdigit()):
        raise BadInput("a ZIP code has five digits", file=file, line=line, found=zip_code, expected="such as 02134")
    if "995" <= zip_code[:3] <= "999":
        raise BadInput(
            "ZIP areas in Alaska are too large to place a garden",
            file=file,
            line=line,
            found=zip_code,
            remedy="Give the latitude and longitude instead.",
        )
    text = _table(content / FILE)
    start = text.find(f"\n{zip_code},")
    if start < 0:
        raise BadInput(
            "this ZIP code is not among the Census ZIP areas; PO-box and single-building ZIPs have none",
            file=file,
            line=line,
            found=zip_code,
            remedy="Give a neighboring ZIP code, or the latitude.",
        )
    end = text.find("\n", start + 1)
    _, latitude, longitude = text[start + 1 : end if end > 0 else None].split(",")
    return Spot(zip_code, float(latitude), float(longitude))


@lru_cache(maxsize=2)
def _table(path: Path) -> str:
    """The text of the ZIP table, unpacked once: a list of places asks for it thousands of times."""
    return table.load(path, 5, "ZIP table")


def distance_km(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Distance in km between two points (latitude, longitude in degrees) on a round Earth."""
    (a, b), (c, d) = ((math.radians(lat), math.radians(lon)) for lat, lon in (one, other))
    part = math.sin((c - a) / 2) ** 2 + math.cos(a) * math.cos(c) * math.sin((d - b) / 2) ** 2
    return 2.0 * 6371.0 * math.asin(min(1.0, math.sqrt(part)))
