"""A latitude and critical day lengths in, the window in which shorter days turn caterpillars to winter rest out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from handouts.model.facts import Fact
from handouts.model.library import Library
from handouts.season.sun import Event, falls_to

# Outside the latitudes that were tested the published slope is carried on for a few degrees and no further; the
# result is clamped to the hours ever reported for swallowtails.
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
    prefix = f"{species}.critical-day-length."
    for name, fact in library.facts.items():
        region = library.regions.get(name.removeprefix(prefix)) if name.startswith(prefix) else None
        span = fact.preferred.span
        if region is not None and span is not None and fact.preferred.basis.kind == "published":
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


def turn(library: Library, species: str, latitude: float, year: int) -> Turn | None:
    """Return the window of the turn for a species whose critical day lengths are known, or None.

    Whether caterpillars count twilight is not known, so the window runs from the plain day length to the one with
    civil twilight.
    """
    hours = critical_hours(populations(library, species), latitude)
    if hours is None:
        return None
    low_hours, high_hours, inputs = hours
    first = falls_to(latitude, high_hours, year, Event.SUNRISE_SUNSET)
    last = falls_to(latitude, low_hours, year, Event.CIVIL_TWILIGHT)
    if first is None or last is None or last < first:
        return None
    note = (
        f"day length falling through {low_hours:.1f} to {high_hours:.1f} hours; "
        "from sunrise to sunset at the early edge, with civil twilight at the late edge"
    )
    return Turn(first, first + (last - first) / 2, last, (low_hours, high_hours), inputs, note)
