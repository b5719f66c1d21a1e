"""A place and a species in, the nearest region with published flight times out, with its distance."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handouts.model.facts import Fact
from handouts.model.library import Library
from handouts.model.records import Region

EARTH_MILES = 3958.8
# Beyond this a published season says nothing useful about the reader's.
MILES_PER_DEGREE = 69.0
FAR_MILES = 800.0
PRACTICE_WEIGHT = 3.0
FAR_DEGREES = 6.0
SIDES = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
_BACKED = ("published", "common-practice", "own-observation")


@dataclass(frozen=True)
class NearRegion:
    """A region, how far its center lies from the reader and on which side."""

    region: Region
    miles: float | None
    degrees_north: float | None
    side: str = ""

    def words(self) -> str:
        """Say where the flight times come from: "as published for Wisconsin, about 250 miles north of you"."""
        if self.miles is None or self.degrees_north is None:
            return f"as published for {self.region.name}"
        if self.miles < 60:
            return f"as published for {self.region.name}, close to you"
        miles = round(self.miles / 25) * 25
        return f"as published for {self.region.name}, about {miles} miles {self.side} of you"


def miles_between(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Return the great-circle distance in statute miles (haversine, mean Earth radius)."""
    p1, p2 = math.radians(lat1), math.radians(lat2)
    half = math.sin((p2 - p1) / 2) ** 2 + math.cos(p1) * math.cos(p2) * math.sin(math.radians(lon2 - lon1) / 2) ** 2
    return 2 * EARTH_MILES * math.asin(math.sqrt(half))


def compass(lat1: float, lon1: float, lat2: float, lon2: float) -> str:
    """Return the side on which the second point lies, one of eight: "north", "northeast", …"""
    p1, p2, turn = math.radians(lat1), math.radians(lat2), math.radians(lon2 - lon1)
    east = math.sin(turn) * math.cos(p2)
    north = math.cos(p1) * math.sin(p2) - math.sin(p1) * math.cos(p2) * math.cos(turn)
    return SIDES[round(math.degrees(math.atan2(east, north)) / 45) % 8]


def flights(library: Library, species: str, region: str) -> dict[int, Fact]:
    """Return the facts flight-1, flight-2, … of a species in a region that have a public basis."""
    found: dict[int, Fact] = {}
    for number in range(1, 7):
        fact = library.facts.get(f"{species}.flight-{number}.{region}")
        if fact is not None and fact.preferred.time is not None and fact.preferred.basis.kind in _BACKED:
            found[number] = fact
    return found


def nearest(
    library: Library,
    species: str,
    number: int,
    latitude: float | None,
    longitude: float | None,
    wanted: str | None = None,
) -> NearRegion | None:
    """Return the region whose flight `number` is published closest to the reader, or the `wanted` one.

    A mile north or south counts as two, since the season turns with latitude; common practice counts as three
    times as far as a published time. None when everything is too far to say anything.
    """
    candidates: list[tuple[float, NearRegion]] = []
    for region in library.regions.values():
        fact = flights(library, species, region.id).get(number)
        if fact is None:
            continue
        if wanted == region.id:
            return _seen(region, latitude, longitude)
        if latitude is None:
            continue
        near = _seen(region, latitude, longitude)
        outside = max(region.latitude.low - latitude, latitude - region.latitude.high, 0.0)
        apart = math.hypot((near.miles or 0.0), (near.degrees_north or 0.0) * MILES_PER_DEGREE * math.sqrt(3))
        if apart > FAR_MILES or outside > FAR_DEGREES:
            continue
        weight = 1.0 if fact.preferred.basis.kind == "published" else PRACTICE_WEIGHT
        candidates.append((apart * weight, near))
    return min(candidates, key=lambda item: (item[0], item[1].region.id))[1] if candidates else None


def _seen(region: Region, latitude: float | None, longitude: float | None) -> NearRegion:
    if latitude is None:
        return NearRegion(region, None, None)
    centre = region.centre
    east = centre.longitude if longitude is None else longitude
    miles = miles_between(latitude, east, centre.latitude, centre.longitude)
    north = centre.latitude - latitude
    side = "north" if north >= 0 else "south"
    if longitude is not None:
        side = compass(latitude, longitude, centre.latitude, centre.longitude)
    return NearRegion(region, miles, north, side)
