"""Day length: a latitude and a date come in; minutes between sunrise and sunset, or dawn and dusk, go out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from handouts.errors import BadInput

FULL_DAY = 1440.0
PARALLAX = 0.00244  # degrees the Sun stands lower for an observer on the ground than for the Earth's center
_J2000 = date(2000, 1, 1).toordinal() + 0.5  # noon of that day, as the ordinal of its midnight plus a half


class Event(StrEnum):
    """Which pair of moments bounds the day; studies of day length differ in this, so it is always stored."""

    SUNRISE_SUNSET = "sunrise-sunset"
    CIVIL_TWILIGHT = "civil-twilight"


ALTITUDE = {Event.SUNRISE_SUNSET: -50.0 / 60.0, Event.CIVIL_TWILIGHT: -6.0}
DEFINITION = {
    Event.SUNRISE_SUNSET: "sunrise to sunset: the Sun's center 50 arcminutes below the level horizon",
    Event.CIVIL_TWILIGHT: "civil dawn to civil dusk: the Sun's center 6 degrees below the level horizon",
}


@dataclass(frozen=True)
class Crossing:
    """A day on which the day length passes a bound, or the reason why there is none.

    `hours` is the bound, `minutes` the day length on `day`; `definition` says which day length is meant.
    """

    day: date | None
    hours: float
    minutes: float | None
    event: Event
    definition: str
    why_none: str | None = None


def sun_position(days: float) -> tuple[float, float]:
    """Apparent ecliptic longitude and declination of the Sun, both in degrees.

    `days` counts from 2000-01-01 12:00 (universal time is near enough). Source: J. Meeus, Astronomical
    Algorithms, chapter 25, the method of lower accuracy (0.01 degree).
    """
    longitude, declination, _ = _sun(days)
    return longitude, declination


def _sun(days: float) -> tuple[float, float, float]:
    """Apparent longitude and declination in degrees and the equation of time in minutes."""
    t = days / 36525.0
    mean_longitude = 280.46646 + t * (36000.76983 + t * 0.0003032)
    anomaly = math.radians(357.52911 + t * (35999.05029 - t * 0.0001537))
    center = (
        (1.914602 - t * (0.004817 + t * 0.000014)) * math.sin(anomaly)
        + (0.019993 - t * 0.000101) * math.sin(2 * anomaly)
        + 0.000289 * math.sin(3 * anomaly)
    )
    node = math.radians(125.04 - 1934.136 * t)
    longitude = mean_longitude + center - 0.00569 - 0.00478 * math.sin(node)
    obliquity = math.radians(23.4392911 - 0.0130042 * t + 0.00256 * math.cos(node))
    lam = math.radians(longitude)
    declination = math.degrees(math.asin(math.sin(obliquity) * math.sin(lam)))
    ascension = math.degrees(math.atan2(math.cos(obliquity) * math.sin(lam), math.cos(lam)))
    nutation = -0.00478 * math.sin(node) * math.cos(obliquity)
    lag = mean_longitude - 0.0057183 - ascension + nutation
    return longitude % 360.0, declination, 4.0 * ((lag + 180.0) % 360.0 - 180.0)


def day_length(latitude: float, day: date, event: Event = Event.SUNRISE_SUNSET, longitude: float = 0.0) -> float:
    """Minutes from the morning event to the evening event of `day`; 0.0 in polar night, 1440.0 in polar day.

    Degrees, north and east positive. The Sun's place is taken at each of the two moments. Raises BadInput for
    a latitude outside -90..90 or a longitude outside -180..180.
    """
    _check(latitude, longitude)
    altitude = ALTITUDE[event] + PARALLAX
    noon = day.toordinal() + 0.5 - _J2000 - longitude / 360.0
    for _ in range(2):
        noon = day.toordinal() + 0.5 - _J2000 - (longitude * 4.0 + _sun(noon)[2]) / FULL_DAY
    at_noon = _hour_angle(latitude, _sun(noon)[1], altitude)
    if at_noon in (0.0, 180.0):
        return at_noon / 180.0 * FULL_DAY
    return max(0.0, min(FULL_DAY, sum(_half(latitude, noon, altitude, side) for side in (-1, 1))))


def _half(latitude: float, noon: float, altitude: float, side: int) -> float:
    """Minutes between true noon and the event before (`side` -1) or after (+1) it."""
    time_at_noon = _sun(noon)[2]
    minutes = 360.0
    for _ in range(6):
        _, declination, equation = _sun(noon + side * minutes / FULL_DAY)
        angle = _hour_angle(latitude, declination, altitude)
        minutes = 4.0 * angle - side * (equation - time_at_noon)
    return minutes


def _hour_angle(latitude: float, declination: float, altitude: float) -> float:
    """Degrees the Sun still turns after noon before it stands at `altitude`; 0 = never up, 180 = never down."""
    phi, delta = math.radians(latitude), math.radians(declination)
    top = math.sin(math.radians(altitude)) - math.sin(phi) * math.sin(delta)
    bottom = math.cos(phi) * math.cos(delta)
    if top >= bottom:
        return 0.0
    if top <= -bottom:
        return 180.0
    return math.degrees(math.acos(top / bottom))


def solstice(year: int, month: int) -> date:
    """The date (universal time) of the June (`month` 6) or December (12) solstice of `year`."""
    target = 90.0 if month == 6 else 270.0
    moment = date(year, month, 21).toordinal() - _J2000
    for _ in range(5):
        moment -= ((_sun(moment)[0] - target + 180.0) % 360.0 - 180.0) / 0.9856
    return date.fromordinal(math.floor(moment + _J2000))


def falling(
    latitude: float, hours: float, year: int, event: Event = Event.SUNRISE_SUNSET, longitude: float = 0.0
) -> Crossing:
    """The first day after the summer solstice whose length is below `hours`.

    North (and the equator): after June of `year`. South: after December, in the season year that begins
    1 July of `year`. A day that is never so long, or never so short, gives `day` None and a reason in words.
    """
    south = latitude < 0
    start = solstice(year, 12 if south else 6)
    end = solstice(year + 1, 6) if south else solstice(year, 12)
    return _search((latitude, longitude), hours, event, start, end, falls=True)


def rising(
    latitude: float, hours: float, year: int, event: Event = Event.SUNRISE_SUNSET, longitude: float = 0.0
) -> Crossing:
    """The first day after the winter solstice whose length is `hours` or more.

    North (and the equator): the first half of `year`. South: the second half of `year`, where the season year
    begins.
    """
    south = latitude < 0
    start = solstice(year, 6) if south else solstice(year - 1, 12)
    end = solstice(year, 12 if south else 6)
    return _search((latitude, longitude), hours, event, start, end, falls=False)


def falls_to(
    latitude: float, hours: float, year: int, event: Event = Event.SUNRISE_SUNSET, longitude: float = 0.0
) -> date | None:
    """The day of `falling`, or None when there is none."""
    return falling(latitude, hours, year, event, longitude).day


def rises_to(
    latitude: float, hours: float, year: int, event: Event = Event.SUNRISE_SUNSET, longitude: float = 0.0
) -> date | None:
    """The day of `rising`, or None when there is none."""
    return rising(latitude, hours, year, event, longitude).day


def _search(place: tuple[float, float], hours: float, event: Event, start: date, end: date, *, falls: bool) -> Crossing:
    latitude, longitude = place
    _check(latitude, longitude)
    if not 0.0 < hours < 24.0:
        raise BadInput("a day length to look for must lie between 0 and 24 hours", found=f"{hours:g}")
    bound = hours * 60.0

    def passed(day: date) -> bool:
        return (day_length(latitude, day, event, longitude) < bound) is falls

    def none(why: str) -> Crossing:
        return Crossing(None, hours, None, event, DEFINITION[event], why)

    if passed(start):
        return none("the longest day is already shorter" if falls else "the shortest day is already longer")
    if not passed(end):
        return none("no day is so short" if falls else "no day is so long")
    low, high = start, end  # day length is monotone between solstices, so halving finds the first such day
    while (high - low).days > 1:
        middle = low + timedelta(days=(high - low).days // 2)
        low, high = (low, middle) if passed(middle) else (middle, high)
    return Crossing(high, hours, day_length(latitude, high, event, longitude), event, DEFINITION[event])


def _check(latitude: float, longitude: float) -> None:
    if not -90.0 <= latitude <= 90.0:
        raise BadInput("a latitude must lie between -90 and 90 degrees", found=f"{latitude:g}")
    if not -180.0 <= longitude <= 180.0:
        raise BadInput("a longitude must lie between -180 and 180 degrees", found=f"{longitude:g}")
