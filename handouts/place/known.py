"""What a person knows of a place comes in (a place file's fields, or one inline text); a checked `Known` goes out."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from handouts import paths
from handouts.errors import BadInput
from handouts.place.table import Unit, unit_named
from handouts.place.zones import zone_named
from handouts.season import yearday

KEYS = (
    "name",
    "zone",
    "latitude",
    "longitude",
    "zip",
    "last_freeze",
    "first_freeze",
    "normals",
    "daily",
    "daily_unit",
    "region",
    "units",
)
_SHORT = {"lat": "latitude", "lon": "longitude", "long": "longitude"}
_INLINE = ("zone", "zip", "latitude", "longitude", "last_freeze", "first_freeze", "name", "region")
_FREEZE_KEYS = ("day", "chance", "threshold")
_THRESHOLDS = (24, 28, 32, 36)
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_DEGREES = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*°?\s*([NSEW]?)", re.IGNORECASE)


class FreezeDate(BaseModel):
    """A freeze date as a person gives it: MM-DD, its chance in percent and its threshold in °F."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    day: str
    chance: float = 50.0
    threshold: int = 32


class Known(BaseModel):
    """What is known of a place; anything may be missing. Degrees are north and east; paths are whole."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str | None = None
    zone: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    zip: str | None = None
    last_freeze: FreezeDate | None = None
    first_freeze: FreezeDate | None = None
    normals: tuple[Path, ...] = ()
    daily: Path | None = None
    daily_unit: Unit | None = None
    region: str | None = None
    units: Literal["us", "metric"] | None = None


class _Reader:
    """One mapping being read, with the file and line to name in a refusal."""

    def __init__(self, mapping: Mapping[str, Any], base: Path, where: Path | str, content: Path) -> None:
        self.mapping, self.base, self.where, self.content = mapping, base, where, content
        self.lines: Mapping[str, int] = getattr(mapping, "lines", {})

    def bad(self, key: str, problem: str, found: str | None, expected: str | None = None) -> BadInput:
        return BadInput(problem, file=self.where, line=self.lines.get(key), found=found, expected=expected)

    def text(self, key: str) -> str | None:
        """The text of a key; None when it is absent or empty."""
        value = self.mapping.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise self.bad(key, f"{key} must be one plain value", str(value))
        return str(value).strip() or None

    def degrees(self, key: str, most: float, letters: str) -> float | None:
        """Degrees as a number, or with N, S, E or W behind it."""
        text = self.text(key)
        if text is None:
            return None
        match = _DEGREES.fullmatch(text)
        side = match[2].upper() if match else ""
        if not match or (side and (side not in letters or text[0] in "+-")):
            raise self.bad(key, f"the {key} is no number of degrees", text, f"such as {most / 2:g}")
        value = float(match[1]) * (-1.0 if side in ("S", "W") else 1.0)
        if abs(value) > most:
            raise self.bad(key, f"the {key} is out of range", text, f"-{most:g} to {most:g}")
        return value

    def freeze(self, key: str) -> FreezeDate | None:
        """A freeze date: MM-DD, or a mapping of day, chance and threshold."""
        value = self.mapping.get(key)
        if not isinstance(value, Mapping):
            text = self.text(key)
            return None if text is None else FreezeDate(day=self._day(text, self.lines.get(key)))
        inner = _Reader(value, self.base, self.where, self.content)
        inner.known_keys(_FREEZE_KEYS, f"{key}.")
        day = inner.text("day")
        if day is None:
            raise self.bad(key, f"{key} lacks its day", None, "day: MM-DD")
        return FreezeDate(
            day=self._day(day, inner.lines.get("day", self.lines.get(key))),
            chance=inner.number("chance", 50.0, 1.0, 99.0),
            threshold=int(inner.number("threshold", 32.0, _THRESHOLDS[0], _THRESHOLDS[-1], _THRESHOLDS)),
        )

    def _day(self, text: str, line: int | None) -> str:
        try:
            month, day = yearday.parse(text)
        except BadInput as error:
            raise BadInput(
                error.problem, file=self.where, line=line, found=text, expected=error.expected, remedy=error.remedy
            ) from None
        return f"{month:02}-{day:02}"

    def number(self, key: str, default: float, low: float, high: float, allowed: tuple[int, ...] = ()) -> float:
        text = self.text(key)
        if text is None:
            return default
        plain = text.rstrip("%").strip() if key == "chance" else text
        try:
            value = float(plain)
        except ValueError:
            value = float("nan")
        if not low <= value <= high or (allowed and value not in allowed):
            wanted = ", ".join(str(one) for one in allowed) if allowed else f"{low:g} to {high:g}"
            raise self.bad(key, f"the {key} is out of range", text, wanted)
        return value

    def files(self, key: str) -> tuple[Path, ...]:
        """Files named by a key (one, or a list), relative to the base folder; each must be there."""
        value = self.mapping.get(key)
        names = value if isinstance(value, list) else [self.text(key)]
        found = []
        for name in names:
            if name is None:
                continue
            if not isinstance(name, str) or not name.strip():
                raise self.bad(key, f"{key} must name files", str(name))
            path = self.base / name.strip()
            if not path.is_file():
                raise self.bad(key, f"the {key} file is missing", name, f"a file in {self.base}")
            found.append(path)
        return tuple(found)

    def known_keys(self, keys: tuple[str, ...], prefix: str = "") -> None:
        for key in self.mapping:
            if key not in keys:
                near = difflib.get_close_matches(str(key).lower().replace("-", "_"), keys, n=1)
                raise BadInput(
                    f"the key {prefix}{key} is not known",
                    file=self.where,
                    line=self.lines.get(key),
                    found=str(key),
                    expected=f"{near[0]}" if near else ", ".join(keys),
                )


def from_mapping(
    mapping: Mapping[str, Any], base_folder: Path, where: Path | str, content: Path | None = None
) -> Known:
    """A `Known` of the fields of a place file, or of those inside an event file.

    `base_folder` is the folder that file names are relative to; `where` is named in refusals, with the line of
    the key when `mapping` has a dict `lines`. `content` is the content folder (the shipped one when left out).
    Raises BadInput.
    """
    reader = _Reader(mapping, base_folder, where, content or paths.content_dir())
    reader.known_keys(KEYS)
    zone, daily_unit = reader.text("zone"), reader.text("daily_unit")
    daily = reader.files("daily")
    if len(daily) > 1:
        raise reader.bad("daily", "only one daily file can be used", f"{len(daily)} files")
    region, units, zip_code = reader.text("region"), reader.text("units"), reader.text("zip")
    if region is not None and not _ID.fullmatch(region):
        raise reader.bad("region", "this is no region id", region, "lower-case words joined by hyphens")
    if units is not None and units not in ("us", "metric"):
        raise reader.bad("units", "these units are not known", units, "us or metric")
    if zip_code is not None and not re.fullmatch(r"[0-9]{5}", zip_code):
        raise reader.bad("zip", "a ZIP code has five digits", zip_code, "such as 02134")
    here = {"file": reader.where}
    known = Known(
        name=reader.text("name"),
        zone=None if zone is None else zone_named(zone, reader.content, line=reader.lines.get("zone"), **here).name,
        latitude=reader.degrees("latitude", 90.0, "NS"),
        longitude=reader.degrees("longitude", 180.0, "EW"),
        zip=zip_code,
        last_freeze=reader.freeze("last_freeze"),
        first_freeze=reader.freeze("first_freeze"),
        normals=reader.files("normals"),
        daily=daily[0] if daily else None,
        daily_unit=None
        if daily_unit is None
        else unit_named(daily_unit, file=_path(where), line=reader.lines.get("daily_unit")),
        region=region,
        units="us" if units == "us" else "metric" if units == "metric" else None,
    )
    _check_order(known, reader)
    if not any(
        (
            known.zone,
            known.latitude is not None,
            known.zip,
            known.last_freeze,
            known.first_freeze,
            known.normals,
            known.daily,
        )
    ):
        raise BadInput(
            "nothing is known of the place",
            file=where,
            line=getattr(mapping, "line", None),
            expected="at least one of zone, zip, latitude, last_freeze, first_freeze, normals, daily",
        )
    return known


def _path(where: Path | str) -> Path:
    return where if isinstance(where, Path) else Path(where)


def _check_order(known: Known, reader: _Reader) -> None:
    """The last freeze comes before the first in the north, after it in the south."""
    last, first = known.last_freeze, known.first_freeze
    if last is None or first is None or last.threshold != first.threshold:
        return
    south = known.latitude is not None and known.latitude < 0
    if yearday.number_of(last.day, south) >= yearday.number_of(first.day, south):
        side = "southern" if south else "northern"
        raise reader.bad(
            "first_freeze",
            f"the first freeze comes before the last one ({side} half of the Earth)",
            f"last {last.day}, first {first.day}",
            "the last freeze of the cold season, then the first of the next",
        )


def from_inline(text: str, base_folder: Path | None = None, content: Path | None = None) -> Known:
    """A `Known` of one text such as "zone=6a,lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-04".

    Keys: zone, zip, lat, lon, last-freeze, first-freeze, name, region. Raises BadInput.
    """
    mapping: dict[str, str] = {}
    keys = (*_INLINE, *_SHORT)
    for part in text.split(","):
        key, sign, value = (piece.strip() for piece in part.partition("="))
        if not sign or not key or not value:
            raise BadInput(
                "the place is not written as key=value", found=part.strip() or text, expected="such as zone=6a"
            )
        plain = key.lower().replace("-", "_")
        name = _SHORT.get(plain, plain)
        if name not in _INLINE:
            near = difflib.get_close_matches(plain, keys, n=1)
            raise BadInput(
                f"the place key {key} is not known",
                found=key,
                expected=(near[0] if near else ", ".join(keys)).replace("_", "-"),
            )
        if name in mapping:
            raise BadInput(f"the place key {key} stands twice", found=text)
        mapping[name] = value
    return from_mapping(mapping, base_folder or Path(), "place", content)
