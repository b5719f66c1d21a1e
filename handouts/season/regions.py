"""A place in; the nearest region whose published flight times answer out, with its distance and side in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from handouts.model.facts import Fact
from handouts.model.library import Library
from handouts.model.records import Region
from handouts.model.times import MonthDay, MonthPart, Offset

EARTH_MILES = 3958.8
MILES_PER_DEGREE = 69.0
# Beyond this a published season says nothing useful about the reader's.
FAR_MILES = 800.0
FAR_DEGREES = 6.0
CLOSE_MILES = 60.0
CLOSE_DEGREES = 0.5
ALL_YEAR_DAYS = 330
SIDES = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
BACKED = ("published", "own-observation", "common-practice")
MOST_FLIGHTS = 4
Point = MonthPart | MonthDay
Days = tuple[date, date]


@dataclass(frozen=True)
class Flight:
    """The times of one flight in one region: a fact with a public basis, and what its points mean.

    A flight that is given as one third of a month ("early May") or as an arrival tells its start only; `end` is then
    None. `whole` says that the fact speaks of the whole year's flights together.
    """

    fact: Fact
    begin: tuple[Point, Point]
    end: tuple[Point, Point] | None
    whole: bool = False

    @property
    def kind(self) -> str:
        """How the times are known."""
        return self.fact.preferred.basis.kind

    @property
    def all_year(self) -> bool:
        """Whether butterflies fly the whole year, so that there is no start."""
        ends = self.ends(2027)
        return ends is not None and (ends[1] - self.starts(2027)[0]).days >= ALL_YEAR_DAYS

    def starts(self, year: int) -> Days:
        """The days on which the flight may begin."""
        return self.begin[0].first(year), self.begin[1].last(year)

    def ends(self, year: int) -> Days | None:
        """The days on which the flight may end, or None when the source does not say."""
        return None if self.end is None else (self.end[0].first(year), self.end[1].last(year))

    def named(self, near: NearRegion) -> str:
        """Say what the times are and where they come from, with the source's own conditions."""
        said = self.fact.preferred.conditions
        return f"{near.words(self.kind)}{f' ({said})' if said else ''}"


@dataclass(frozen=True)
class NearRegion:
    """A region as seen from the reader; what the reader's position does not tell is None."""

    region: Region
    miles: float | None
    degrees_north: float | None
    side: str = ""
    inside: bool = False

    def words(self, kind: str) -> str:
        """Say where times come from: "as published for Wisconsin, about 250 miles north of you".

        Times that rest on common practice are never called published. Without the reader's longitude only the side
        is told, without the latitude the region is only named.
        """
        said = "as published for" if kind == "published" else f"{kind.replace('-', ' ')} in"
        return f"{said} {self.region.name}{self.where}"

    @property
    def where(self) -> str:
        """How far and on which side the region lies, with a comma before it; nothing without a latitude."""
        if self.degrees_north is None:
            return ""
        if self.miles is None:
            if abs(self.degrees_north) <= CLOSE_DEGREES:
                return ", about as far north as you"
            return f", {self.side} of you"
        if self.miles < CLOSE_MILES:
            return ", close to you"
        away = f"about {round(self.miles / 25) * 25} miles {self.side} of you"
        return f", whose middle lies {away}" if self.inside else f", {away}"


def miles_between(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Return the great-circle distance in statute miles (haversine, mean Earth radius)."""
    p1, p2 = math.radians(lat1), math.radians(lat2)
    half = math.sin((p2 - p1) / 2) ** 2 + math.cos(p1) * math.cos(p2) * math.sin(math.radians(lon2 - lon1) / 2) ** 2
    return 2 * EARTH_MILES * math.asin(math.sqrt(min(1.0, half)))


def compass(lat1: float, lon1: float, lat2: float, lon2: float) -> str:
    """Return the side on which the second point lies, one of eight: "north", "northeast", …"""
    p1, p2, turn = math.radians(lat1), math.radians(lat2), math.radians(lon2 - lon1)
    east = math.sin(turn) * math.cos(p2)
    north = math.cos(p1) * math.sin(p2) - math.sin(p1) * math.cos(p2) * math.cos(turn)
    return SIDES[round(math.degrees(math.atan2(east, north)) / 45) % 8]


def numbered(library: Library, species: str, region: str, number: int) -> Flight | None:
    """Return flight `number` of a species in a region, or None when it has no public basis."""
    return _read(library, f"{species}.flight-{number}.{region}")


def whole_season(library: Library, species: str, region: str) -> Flight | None:
    """Return the stretch of the year in which butterflies fly, all generations together."""
    return _read(library, f"{species}.flight.{region}", whole=True)


def first_butterflies(library: Library, species: str, region: str) -> Flight | None:
    """Return what tells when the first butterflies of the year fly: flight 1, else the arrival, else the season."""
    return (
        numbered(library, species, region, 1)
        or _read(library, f"{species}.arrival.{region}", start_only=True)
        or whole_season(library, species, region)
    )


def _read(library: Library, name: str, *, whole: bool = False, start_only: bool = False) -> Flight | None:
    fact = library.facts.get(name)
    if fact is None or fact.preferred.time is None or fact.preferred.basis.kind not in BACKED:
        return None
    first, last = fact.preferred.time.ends
    if isinstance(first, Offset) or isinstance(last, Offset):
        return None
    if start_only:
        return Flight(fact, (first, last), None)
    third = first == last and isinstance(first, MonthPart) and first.part != ""
    return Flight(fact, (first, first), None if third else (last, last), whole)


def nearest(
    library: Library,
    times: Callable[[str], Flight | None],
    latitude: float | None,
    longitude: float | None,
    wanted: str | None = None,
    kinds: tuple[str, ...] = BACKED,
) -> tuple[NearRegion, Flight] | None:
    """Return the region closest to the reader for which `times` has an answer, or the `wanted` one.

    Published times come first; common practice serves only where nothing published lies within reach. A mile north
    or south counts as two, since the season turns with latitude. None when everything is too far to say anything.
    """
    found: list[tuple[bool, float, str, NearRegion, Flight]] = []
    for region in library.regions.values():
        flight = times(region.id)
        if flight is None or flight.kind not in kinds:
            continue
        near = seen_from(region, latitude, longitude)
        if wanted == region.id:
            return near, flight
        if latitude is not None and within_reach(near, latitude):
            found.append((flight.kind == "common-practice", apart(near), region.id, near, flight))
    return min(found, key=lambda item: item[:3])[3:] if found else None


def closest(
    library: Library, times: Callable[[str], Flight | None], latitude: float, longitude: float | None
) -> NearRegion | None:
    """Return the closest region for which `times` has an answer, however far it lies."""
    near = [seen_from(region, latitude, longitude) for region in library.regions.values() if times(region.id)]
    return min(near, key=lambda item: (apart(item), item.region.id), default=None)


def within_reach(near: NearRegion, latitude: float) -> bool:
    """Whether a region lies close enough for its flight times to say something."""
    box = near.region.latitude
    outside = max(box.low - latitude, latitude - box.high, 0.0)
    return apart(near) <= FAR_MILES and outside <= FAR_DEGREES


def apart(near: NearRegion) -> float:
    """Return the distance in miles with north and south counted twice."""
    north = (near.degrees_north or 0.0) * MILES_PER_DEGREE
    return math.hypot(abs(north) if near.miles is None else near.miles, north * math.sqrt(3))


def seen_from(region: Region, latitude: float | None, longitude: float | None) -> NearRegion:
    """Return a region as seen from the reader's position, or only named without a latitude."""
    if latitude is None:
        return NearRegion(region, None, None)
    centre = region.centre
    north = centre.latitude - latitude
    if longitude is None:
        return NearRegion(region, None, north, "north" if north >= 0 else "south")
    inside = (
        region.latitude.low <= latitude <= region.latitude.high
        and region.longitude.low <= longitude <= region.longitude.high
    )
    miles = miles_between(latitude, longitude, centre.latitude, centre.longitude)
    side = compass(latitude, longitude, centre.latitude, centre.longitude)
    return NearRegion(region, miles, north, side, inside)
