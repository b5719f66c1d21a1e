"""What may be said of a place: values with their basis, freeze dates, a curve of temperatures, and what may not."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from handouts.season import yearday
from handouts.season.curve import TemperatureCurve
from handouts.season.frost import Freeze, Side
from handouts.season.series import Reject

Kind = Literal["published", "derived", "own-observation", "given"]


@dataclass(frozen=True)
class Field:
    """A value (a number, or MM-DD) with its range, and what it rests on.

    `basis` names the input ("station normals", "daily file", …), `kind` the sort of knowledge: published, derived,
    own-observation, or given (typed by the user). `range` says what lies between `low` and `high`.
    """

    value: float | str | None
    low: float | str | None
    high: float | str | None
    kind: Kind
    basis: str
    period: str | None
    source: str
    warnings: tuple[str, ...] = ()
    range: str | None = None

    def to_json(self) -> dict[str, Any]:
        """The field of the contract (`basis` is the kind), with `input` and `range` beside it."""
        return {
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "basis": self.kind,
            "period": self.period,
            "source": self.source,
            "warnings": list(self.warnings),
            "input": self.basis,
            "range": self.range,
        }


def key(side: Side, threshold: int, percent: int) -> str:
    """The name of a freeze field: last_freeze_32F_p50."""
    return f"{side}_freeze_{threshold}F_p{percent}"


@dataclass(frozen=True)
class NotKnown:
    """Something that may not be said of the place, and why."""

    what: str
    why: str


@dataclass(frozen=True)
class Profile:
    """What may be said of a place.

    `fields` by name; `day_lengths` by ISO date (minutes, sunrise to sunset); `freezes` by side and threshold (°F)
    with every chance; `curve` is the smooth year of temperatures, when there is one.
    """

    name: str | None
    zone: str | None
    latitude: float | None
    longitude: float | None
    region: str | None
    south: bool
    fields: dict[str, Field]
    day_lengths: dict[str, Field]
    not_known: tuple[NotKnown, ...]
    freezes: dict[tuple[Side, int], Freeze] = field(default_factory=dict)
    curve: TemperatureCurve | None = None
    rejects: tuple[Reject, ...] = ()
    notes: tuple[str, ...] = ()
    zone_edition: str | None = None

    def freeze_field(self, side: Side | str, threshold: int = 32, percent: int = 50) -> Field | None:
        """The field of a freeze date, or None; `side` is "last" or "first"."""
        return self.fields.get(key(Side(side), threshold, percent))

    def freeze_day(self, side: Side | str, year: int, threshold: int = 32, percent: int = 50) -> date | None:
        """The date of a freeze in season year `year` (from 1 July in the south), or None."""
        freeze = self.freezes.get((Side(side), threshold))
        chance = freeze.chances.get(percent) if freeze is not None else None
        if chance is None or chance.day is None or chance.number is None:
            return None
        if self.south:
            return yearday.on(chance.number, year, south=True)
        month, day = yearday.parse(chance.day)
        return date(year + (chance.number > 365) - (chance.number < 0.5), month, day)

    def to_json(self) -> dict[str, Any]:
        """The profile of the contract, ready for JSON."""
        fields: dict[str, Any] = {name: self.fields[name].to_json() for name in sorted(self.fields)}
        if self.day_lengths:
            fields["day_length_min"] = {day: value.to_json() for day, value in self.day_lengths.items()}
        return {
            "name": self.name,
            "zone": self.zone,
            "zone_edition": self.zone_edition if self.zone else None,
            "latitude": self.latitude,
            "longitude": self.longitude,
            "region": self.region,
            "fields": fields,
            "not_known": [{"what": item.what, "why": item.why} for item in self.not_known],
            "rejects": [
                {"day": item.day.isoformat(), "value": item.value, "why": item.why, "line": item.line}
                for item in self.rejects
            ],
            "notes": list(self.notes),
        }
