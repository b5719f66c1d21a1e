"""A register, a place and today's date in; what each chrysalis is doing and the club's own times out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from statistics import median
from typing import Any

from handouts.season import yearday
from handouts.shelf.outlook import Ground, Outlook, outlook
from handouts.shelf.register import LEAST_DAYS, Chrysalis, Register
from handouts.shelf.status import State, Status, state_on

ALIKE_DAYS = 10  # how far apart in the year two chrysalides may have formed and still count as alike


@dataclass(frozen=True)
class Item:
    """One closed chrysalis and its state."""

    row: Chrysalis
    look: Outlook
    state: State

    def to_json(self) -> dict[str, Any]:
        """The item with the field names of the manual."""
        return {
            "number": self.row.number,
            "line": self.row.line,
            "species": self.row.species,
            "formed": self.row.formed.isoformat(),
            "kept": self.row.kept,
            "moved": _iso(self.row.moved),
            "status": self.state.status.value,
            "chance": self.look.chance.value,
            "low": _iso(self.state.low),
            "high": _iso(self.state.high),
            "stop_low": _iso(self.state.stop.low) if self.state.stop else None,
            "stop_high": _iso(self.state.stop.high) if self.state.stop else None,
        }


@dataclass(frozen=True)
class OwnTimes:
    """The club's own times of one kind, in days: how many, the shortest, the longest and the one in the middle.

    `compare` is the quantity of the species that published or common times are given for.
    """

    id: str
    species: str
    kept: str | None
    days: tuple[int, ...]
    period: str
    compare: tuple[str, ...]

    @property
    def n(self) -> int:
        """How many."""
        return len(self.days)

    @property
    def middle(self) -> float:
        """The median, in days."""
        return float(median(self.days))


@dataclass(frozen=True)
class Summary:
    """All that a register says on a day."""

    register: Register
    today: date
    items: tuple[Item, ...]
    times: tuple[OwnTimes, ...]
    opened: int
    lost: int

    def of(self, status: Status) -> tuple[Item, ...]:
        """The closed chrysalides of one status, by the day they formed."""
        return tuple(item for item in self.items if item.state.status is status)

    @property
    def counts(self) -> dict[str, int]:
        """How many rows of each kind."""
        found = Counter(item.state.status for item in self.items)
        return {
            "rows": len(self.register.rows),
            "closed": len(self.items),
            "opened": self.opened,
            "lost": self.lost,
            "broken": self.register.errors,
            **{status.value: found[status] for status in Status},
        }


def summarize(ground: Ground, register: Register, today: date) -> Summary:
    """Return what a register says on `today`."""
    looks = looker(ground)

    @lru_cache(maxsize=4096)
    def state(species: str, formed: date, kept: str, moved: date | None) -> State:
        return state_on(ground, looks(species, formed, kept), today, moved)

    closed = sorted((row for row in register.rows if row.closed), key=lambda row: (row.formed, row.line))
    items = tuple(
        Item(row, looks(row.species, row.formed, row.kept), state(row.species, row.formed, row.kept, row.moved))
        for row in closed
    )
    return Summary(
        register,
        today,
        items,
        tuple(own_times(ground, register.rows)),
        sum(row.opened is not None for row in register.rows),
        sum(row.lost is not None for row in register.rows),
    )


def looker(ground: Ground) -> Any:
    """Return a function (species, formed, kept) -> Outlook that works each out once."""

    @lru_cache(maxsize=4096)
    def look(species: str, formed: date, kept: str) -> Outlook:
        return outlook(ground, species, formed, kept)

    return look


def own_times(ground: Ground, rows: Iterable[Chrysalis]) -> list[OwnTimes]:
    """Return the club's own times: summer chrysalides, waits through winter, and warmth to opening by place."""
    south = ground.profile.south
    kinds: dict[tuple[str, str, str | None], list[tuple[date, int]]] = {}
    for row in rows:
        if row.opened is None or (row.opened - row.formed).days < LEAST_DAYS:
            continue
        winters = yearday.season_year(row.opened, south) - yearday.season_year(row.formed, south)
        kind = "summer" if winters == 0 else "winter" if winters == 1 else "second-winter"
        kinds.setdefault((kind, row.species, None), []).append((row.opened, (row.opened - row.formed).days))
        if winters and row.moved is not None and _same_season(row.moved, row.opened, south):
            kept = ground.kept_as(row.kept)
            key = ("warm-to-opening", row.species, kept)
            kinds.setdefault(key, []).append((row.opened, (row.opened - row.moved).days))
    order = ("summer", "winter", "second-winter", "warm-to-opening")
    found = sorted(kinds.items(), key=lambda item: (order.index(item[0][0]), item[0][1], item[0][2] or ""))
    return [
        OwnTimes(kind, species, kept, _sorted(seen), _period(seen), _compare(ground, kind, kept))
        for (kind, species, kept), seen in found
    ]


def _sorted(seen: Sequence[tuple[date, int]]) -> tuple[int, ...]:
    return tuple(sorted(days for _, days in seen))


def _same_season(moved: date, opened: date, south: bool) -> bool:
    return yearday.season_year(moved, south) == yearday.season_year(opened, south)


def _compare(ground: Ground, kind: str, kept: str | None) -> tuple[str, ...]:
    if kind == "summer":
        return ("pupa.summer", "pupa.hot-spell")
    if kind == "winter":
        return ("pupa.winter",)
    if kind == "second-winter":
        return ("longest-wait",)
    opens = ground.words.kept[kept].opens if kept in ground.words.kept else None
    return (opens,) if opens not in (None, "spring") and opens is not None else ("warm-to-opening.room",)


def _period(seen: Sequence[tuple[date, int]]) -> str:
    years = sorted(day.year for day, _ in seen)
    return str(years[0]) if years[0] == years[-1] else f"{years[0]} to {years[-1]}"


@dataclass(frozen=True)
class Alike:
    """The club's own chrysalides that formed near the same day of the year: how many opened that year, how many not."""

    n: int
    same_year: int
    waited: int
    period: str


def alike(ground: Ground, rows: Iterable[Chrysalis], species: str, formed: date, today: date) -> Alike:
    """Count the register's chrysalides of a species that formed within ten days of a day of the year.

    Those that opened count by the year they opened; one still closed a season later has waited; the rest say nothing.
    """
    south = ground.profile.south
    at, same, waited, years = yearday.number(formed, south), 0, 0, []
    for row in rows:
        if row.species != species or abs(yearday.number(row.formed, south) - at) > ALIKE_DAYS:
            continue
        own = yearday.season_year(row.formed, south)
        if row.opened is not None and yearday.season_year(row.opened, south) == own:
            same += 1
        elif (row.opened or row.lost or today) and yearday.season_year(row.opened or row.lost or today, south) > own:
            waited += 1
        else:
            continue
        years.append(row.formed.year)
    period = "" if not years else str(min(years)) if min(years) == max(years) else f"{min(years)} to {max(years)}"
    return Alike(same + waited, same, waited, period)


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None
