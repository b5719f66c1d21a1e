"""A species' year at a place: dated windows, each with its basis and inputs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple


@dataclass(frozen=True)
class Window:
    """One stretch of the year. `low` and `high` bound it, `mid` is the best single day; all None when unknown.

    `basis` is one of the basis kinds; `proxy` names the relative or region a value was taken from; `inputs` are the
    fact, reference and place-field ids it was worked out from. `absent` says that the species never has this window,
    at any place: a butterfly that leaves for the winter has no winter chrysalides.
    """

    id: str
    label: str
    low: date | None
    mid: date | None
    high: date | None
    basis: str
    proxy: str | None = None
    inputs: tuple[str, ...] = ()
    note: str = ""
    absent: bool = False

    @property
    def known(self) -> bool:
        """Whether the window has dates."""
        return self.low is not None and self.high is not None

    def said_by(self, says: str) -> date | None:
        """The day it is said by in one day: the first for "by-first", whose safe side that is, else the best."""
        if self.low is None or self.high is None:
            return None
        return self.low if says == "by-first" else self.mid or self.low + (self.high - self.low) / 2

    def to_json(self) -> dict[str, Any]:
        """The window with the field names of the contract."""
        return {
            "id": self.id,
            "label": self.label,
            "low": self.low.isoformat() if self.low else None,
            "mid": self.mid.isoformat() if self.mid else None,
            "high": self.high.isoformat() if self.high else None,
            "basis": self.basis,
            "proxy": self.proxy,
            "inputs": list(self.inputs),
            "note": self.note,
            "absent": self.absent,
        }


class Task(NamedTuple):
    """One thing the gardener does: what, from when to when, how that is known and from what; `note` in words."""

    what: str
    low: date
    high: date
    basis: str
    inputs: tuple[str, ...]
    note: str = ""

    def to_json(self) -> dict[str, Any]:
        """The task with ISO dates."""
        return {
            "what": self.what,
            "low": self.low.isoformat(),
            "high": self.high.isoformat(),
            "basis": self.basis,
            "inputs": list(self.inputs),
            "note": self.note,
        }


@dataclass(frozen=True)
class Season:
    """All windows of one species at one place in one calendar year, and what the gardener does, in order of time."""

    species: str
    place: str
    year: int
    windows: tuple[Window, ...]
    tasks: tuple[Task, ...] = ()

    def window(self, name: str) -> Window | None:
        """Return the window `name`, or None."""
        return next((window for window in self.windows if window.id == name), None)

    def to_json(self) -> dict[str, Any]:
        """The season with the field names of the contract."""
        return {
            "species": self.species,
            "place": self.place,
            "year": self.year,
            "windows": [window.to_json() for window in self.windows],
            "tasks": [task.to_json() for task in self.tasks],
        }
