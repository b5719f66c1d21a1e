"""What is known of a place comes in; its profile goes out: values with their basis, and what may not be said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from statistics import mean, stdev

from handouts.place import evidence, zones
from handouts.place.evidence import Evidence, Position
from handouts.place.fields import EIGHT_IN_TEN, Candidate, freeze_fields
from handouts.place.known import FreezeDate, Known
from handouts.place.zips import KM_PER_DEGREE
from handouts.season import frost, frost_estimate, heat, sums
from handouts.season.curve import DAY_TO_DAY_SD_F, daily_from_monthly, expected_heat
from handouts.season.frost import THRESHOLDS, Freeze, Side, count
from handouts.season.profile import Field, Kind, NotKnown, Profile
from handouts.season.sun import DEFINITION, Event, day_length, solstice

HEAT_BASE_F = 50
_SUN_ERROR = 0.5  # minutes, the formula's own bound
_NO_LONGITUDE = 1.5  # minutes by which a day's length shifts half way round the Earth, near the equinox
_HEAT_SPREAD = 0.10  # 1.28 times the 6 to 8 percent measured between years at two stations
_NEAREST = "a station is not the garden: allow ten days either way"


def profile(known: Known, content: Path, years: Sequence[int] = ()) -> Profile:
    """The profile of a place; `content` is the content folder, `years` the season years of the day lengths.

    A zone alone gives winter cold and nothing of the calendar. The better basis wins; others are kept as
    cross-checks in warnings. Raises BadInput for files that cannot be used.
    """
    facts = evidence.gather(known, content)
    fields: dict[str, Field] = {}
    freezes: dict[tuple[Side, int], Freeze] = {}
    for side in Side:
        for line in THRESHOLDS:
            candidates = _candidates(facts, side, line)
            usable = [one for one in candidates if one.freeze.chances]
            if usable:
                # inputs with too few years stay behind as cross-checks
                order = usable + [one for one in candidates if not one.freeze.chances]
                freezes[side, line], made = freeze_fields(order)
                fields.update(made)
    fields.update(_heat(facts))
    fields.update(_coldest(facts, content))
    where = facts.position
    series = facts.series
    return Profile(
        name=known.name,
        zone=known.zone,
        latitude=where.latitude if where else None,
        longitude=where.longitude if where else None,
        region=known.region,
        south=facts.south,
        fields=fields,
        day_lengths=_day_lengths(where, years) if where else {},
        not_known=tuple(_not_known(facts, freezes, fields)),
        freezes=freezes,
        curve=facts.curve,
        rejects=series.rejects if series else (),
        zone_edition=zones.EDITION,
        notes=(*(where.warnings if where else ()), *(series.notes if series else ())),
    )


def _candidates(facts: Evidence, side: Side, line: int) -> list[Candidate]:
    """Every input that speaks of one side and threshold."""
    found = []
    series, station, known = facts.series, facts.normals, facts.known
    if series is not None:
        freeze = frost.from_daily(series, line, side, facts.south)
        kind: Kind = "own-observation" if facts.own else "derived"
        warnings = [f"values set aside: {len(series.rejects)}"] if series.rejects else []
        warnings += [] if facts.own else [_NEAREST]
        period = f"{series.period}, {count(freeze.n)}"
        rank = 5 if freeze.n >= frost.ENOUGH else 3 if freeze.n >= frost.FEW else 0
        basis = "logger" if facts.own else "daily file"
        found.append(Candidate(rank, freeze, kind, basis, period, series.source, tuple(warnings)))
    if station is not None and (side, line) in station.freeze:
        warnings = [_NEAREST, *station.notes]
        found.append(
            Candidate(
                4,
                station.freeze[side, line],
                "published",
                "station normals",
                station.period,
                station.source,
                tuple(warnings),
            )
        )
    stated = known.last_freeze if side is Side.LAST else known.first_freeze
    if stated is not None and stated.threshold == line:
        found.append(_stated(stated, side, facts.south))
    if station is not None and station.tmin is not None and not found:
        found.append(_estimated(facts, side, line))
    return found


def _stated(given: FreezeDate, side: Side, south: bool) -> Candidate:
    freeze = frost.from_stated(given.day, side, given.threshold, given.chance, None, south)
    source = "the date given for this place; its source is not stated"
    return Candidate(2, freeze, "given", "own dates", None, source, given_chance=given.chance)


def _estimated(facts: Evidence, side: Side, line: int) -> Candidate:
    """An estimate from the monthly minima of the normals, where they give no dates."""
    assert facts.normals is not None
    assert facts.normals.tmin is not None
    lows = daily_from_monthly(facts.normals.tmin)
    freeze = frost_estimate.from_curve(lows, [DAY_TO_DAY_SD_F] * 365, line, side, facts.south, spread_assumed=True)
    return Candidate(1, freeze, "derived", "monthly normals", facts.normals.period, facts.normals.source, (_NEAREST,))


def _heat(facts: Evidence) -> dict[str, Field]:
    """Degree-days of a year above 50 °F, from the best input."""
    name = f"degree_days_{HEAT_BASE_F}F_year"
    series, station, curve = facts.series, facts.normals, facts.curve
    totals = sums.by_year(sums.daily_heat(series, HEAT_BASE_F), facts.south) if series is not None else {}
    values = list(totals.values())
    stated = station.heat.get(("ANN", str(HEAT_BASE_F))) if station is not None else None
    if len(values) >= frost.FEW or (values and stated is None):
        assert series is not None
        middle = mean(values)
        warnings = [f"{heat.Method.SINGLE_SINE}: within 3 percent of hourly sums over a year"]
        if len(values) >= frost.FEW:
            reach = 1.2816 * stdev(values)
            low, high, spread = middle - reach, middle + reach, EIGHT_IN_TEN
        else:
            low, high, spread = min(values), max(values), "lowest and highest of the years"
            warnings.append(f"only {count(len(values))}")
        if stated is not None:
            warnings.append(f"cross-check, station normals: {stated:g}")
        kind: Kind = "own-observation" if facts.own else "derived"
        basis = "logger" if facts.own else "daily file"
        period = f"{series.period}, {count(len(values))}"
        made = Field(
            round(middle), round(low), round(high), kind, basis, period, series.source, tuple(warnings), spread
        )
        return {name: made}
    if stated is not None and station is not None:
        return {
            name: Field(
                stated, None, None, "published", "station normals", station.period, station.source,
                ("degree-days as NOAA counts them, from daily means",),
            )
        }  # fmt: skip
    if curve is not None:
        total = sum(expected_heat(curve, HEAT_BASE_F))
        return {
            name: Field(
                round(total), round(total * (1 - _HEAT_SPREAD)), round(total * (1 + _HEAT_SPREAD)), "derived",
                curve.basis, curve.period, curve.source,
                ("from smoothed monthly means with day-to-day swings; within 2 percent at two stations",
                 "the spread between years is assumed"),
                EIGHT_IN_TEN,
            )
        }  # fmt: skip
    return {}


def _coldest(facts: Evidence, content: Path) -> dict[str, Field]:
    """The coldest night: the mean of a station's years, else the band that the zone stands for."""
    series, known = facts.series, facts.known
    nights = list(sums.coldest_nights(series).values()) if series is not None else []
    if len(nights) >= frost.FEW and series is not None:
        middle, reach = mean(nights), 1.2816 * stdev(nights)
        band = zones.band_of(middle, content)
        words = f"the band of {band.name} at this station" if band else "outside the zone scheme"
        warnings = [f"{words}; the zone itself is read off the map"]
        if known.zone is not None and band is not None and known.zone != band.name:
            warnings.append(f"the given zone is {known.zone}")
        kind: Kind = "own-observation" if facts.own else "derived"
        basis = "logger" if facts.own else "daily file"
        period = f"{series.period}, {count(len(nights))}"
        return {
            "coldest_night_F": Field(
                round(middle, 1), round(middle - reach, 1), round(middle + reach, 1), kind, basis, period,
                series.source, tuple(warnings), EIGHT_IN_TEN,
            )
        }  # fmt: skip
    if known.zone is None:
        return {}
    zone = zones.scheme(content)[known.zone]
    return {
        "coldest_night_F": Field(
            None, zone.low, zone.high, "published", "zone", zones.PERIOD, zones.SOURCE,
            ("a zone tells winter cold only: no frost date, no day length, no summer heat",),
            "the mean of each year's coldest night lies in this band",
        )
    }  # fmt: skip


def _day_lengths(where: Position, years: Sequence[int]) -> dict[str, Field]:
    """Day lengths on the 21st of each month and on both solstices of each season year."""
    south = where.latitude < 0
    days: set[date] = set()
    for year in years:
        months = range(1, 13)
        days |= {date(year + 1 if south and month < 7 else year, month, 21) for month in months}
        days |= {solstice(year + 1 if south else year, 6), solstice(year, 12)}
    longitude = where.longitude if where.longitude is not None else 0.0
    reach = where.km / KM_PER_DEGREE
    error = _SUN_ERROR + (_NO_LONGITUDE if where.longitude is None else 0.0)
    event = Event.SUNRISE_SUNSET
    found = {}
    for day in sorted(days):
        around = [
            day_length(min(90.0, max(-90.0, where.latitude + step)), day, event, longitude)
            for step in (-reach, 0.0, reach)
        ]
        found[day.isoformat()] = Field(
            round(around[1], 1),
            round(max(0.0, min(around) - error), 1),
            round(min(1440.0, max(around) + error), 1),
            "derived",
            where.basis,
            None,
            f"computed from the latitude; {DEFINITION[event]}",
            where.warnings,
            "error of the position and of the formula",
        )
    return found


def _not_known(facts: Evidence, freezes: dict[tuple[Side, int], Freeze], fields: dict[str, Field]) -> list[NotKnown]:
    """What may not be said of the place, and why."""
    found = []
    if facts.known.zone is None:
        found.append(NotKnown("hardiness zone", "a zone is read off the map, never worked out from a ZIP or a place"))
    if facts.position is None:
        found.append(NotKnown("day length", "it needs a latitude or a ZIP; a zone has none"))
    for side in Side:
        if (side, 32) not in freezes:
            why = "it needs your own frost dates, a station normals file or a daily file"
            if facts.normals is not None:
                why = f"the normals file gives none at 32 °F; {why}"
            if facts.series is not None:
                held = frost.from_daily(facts.series, 32, side, facts.south)
                dates = ", ".join(day.isoformat() for _, day in held.years if day)
                why = f"{'; '.join(held.notes)}; {side} freezes so far: {dates or 'none'}"
            elif facts.known.zone is not None:
                why = f"a zone tells winter cold only; {why}"
            found.append(NotKnown(f"{side} freeze date", why))
    if f"degree_days_{HEAT_BASE_F}F_year" not in fields:
        found.append(NotKnown("degree-days of a year", "they need a station normals file or a daily file"))
    if facts.curve is None:
        found.append(NotKnown("dates from heat sums", "they need temperatures: monthly normals or a daily file"))
    return found
