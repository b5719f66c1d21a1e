"""A latitude and critical day lengths in, the window in which shorter days turn caterpillars to winter rest out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import pairwise

from handouts.model.facts import Fact
from handouts.model.library import Library
from handouts.season.sun import Event, falling

# Outside the latitudes that were tested the published slope is carried on for a few degrees and no further, and the
# hours of the nearest tested stock stay within the range, so that the range never shrinks by guessing. The result is
# kept within the hours ever reported for swallowtails.
REACH_DEGREES = 6.0
LEAST_HOURS, MOST_HOURS = 12.0, 15.5


@dataclass(frozen=True)
class Turn:
    """When the turn comes: `low` by sunrise-sunset at the longer hours, `high` by civil twilight at the shorter."""

    low: date
    mid: date
    high: date
    hours: tuple[float, float]
    inputs: tuple[str, ...]
    note: str


def populations(library: Library, species: str) -> list[tuple[float, Fact]]:
    """Return (latitude, fact) of every published critical day length of a species, from south to north."""
    found: list[tuple[float, Fact]] = []
    for region in library.regions.values():
        fact = library.facts.get(f"{species}.critical-day-length.{region.id}")
        span = fact.preferred.span if fact is not None else None
        if fact is None or span is None or fact.preferred.basis.kind != "published":
            continue
        if None not in span.ends:
            found.append((region.centre.latitude, fact))
    return sorted(found, key=lambda item: item[0])


def critical_hours(known: list[tuple[float, Fact]], latitude: float) -> tuple[float, float, tuple[str, ...]] | None:
    """Return low and high critical hours at a latitude by straight lines between the tested populations.

    None when there are fewer than two populations or the place lies too far outside them.
    """
    at = abs(latitude)
    if len(known) < 2 or not known[0][0] - REACH_DEGREES <= at <= known[-1][0] + REACH_DEGREES:
        return None
    pair = next(
        ((a, b) for a, b in pairwise(known) if a[0] <= at <= b[0]),
        (known[0], known[1]) if at < known[0][0] else (known[-2], known[-1]),
    )
    (south, first), (north, second) = pair
    share = (at - south) / (north - south) if north > south else 0.0
    ends = [_ends(first), _ends(second)]
    low, high = (ends[0][i] + share * (ends[1][i] - ends[0][i]) for i in (0, 1))
    if not 0.0 <= share <= 1.0:
        edge = ends[0] if share < 0.0 else ends[1]
        low, high = min(low, edge[0]), max(high, edge[1])
    return _clamped(low), _clamped(high), (first.id, second.id)


def _clamped(hours: float) -> float:
    return min(MOST_HOURS, max(LEAST_HOURS, hours))


def _ends(fact: Fact) -> tuple[float, float]:
    span = fact.preferred.span
    assert span is not None
    low, high = span.ends
    assert low is not None
    assert high is not None
    return low, high


@lru_cache(maxsize=16)
def turn(library: Library, species: str, latitude: float, year: int) -> Turn | str:
    """Return the window of the turn for a species whose critical day lengths are known, or why there is none.

    Whether caterpillars count twilight is not known, so the window runs from the plain day length to the one with
    civil twilight. Cached: the species of one garden often share a stand-in.
    """
    known = populations(library, species)
    hours = critical_hours(known, latitude)
    if len(known) < 2:
        return "no day length that turns caterpillars is known for this species or a relative"
    if hours is None:
        span = f"{known[0][0]:.0f} and {known[-1][0]:.0f} degrees"
        return f"day lengths were tested between {span} of latitude, too far from {abs(latitude):.0f} degrees"
    low_hours, high_hours, inputs = hours
    first = falling(latitude, high_hours, year, Event.SUNRISE_SUNSET)
    last = falling(latitude, low_hours, year, Event.CIVIL_TWILIGHT)
    if first.day is None or last.day is None or last.day < first.day:
        why = first.why_none or last.why_none
        return f"the days here do not fall through {low_hours:.1f} to {high_hours:.1f} hours ({why})"
    stocks = [library.regions[name.rpartition(".")[2]].name for name in inputs]
    where = "between" if known[0][0] <= abs(latitude) <= known[-1][0] else "carried on from"
    note = (
        f"day length falling through {low_hours:.1f} to {high_hours:.1f} hours, {where} the stocks tested from "
        f"{stocks[0]} and {stocks[1]}; from sunrise to sunset at the early edge, with civil twilight at the late edge"
    )
    if latitude < 0:
        note += "; tested in the north and turned round for the south"
    mid = first.day + (last.day - first.day) / 2
    sources = tuple(dict.fromkeys(source for name in inputs for source in library.facts[name].preferred.rests_on))
    return Turn(first.day, mid, last.day, (low_hours, high_hours), (*inputs, *sources), note)
