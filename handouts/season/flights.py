"""A season being made in; its flights as published for the nearest region, and the stages that follow, are added."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from handouts.model.facts import Fact
from handouts.season.making import WIDE_DAYS, Maker, Stage, counted, day_words, days_after, joined
from handouts.season.regions import (
    FAR_MILES,
    MOST_FLIGHTS,
    Flight,
    NearRegion,
    apart,
    closest,
    first_butterflies,
    nearest,
    numbered,
    seen_from,
    whole_season,
    within_reach,
)

FLIGHT = "flight"
STAGES = (("eggs", "egg"), ("caterpillars", "larva"), ("chrysalides", "pupa.summer"))
SHIFT = "spring-shift.latitude"


@dataclass(frozen=True)
class Start:
    """When the first butterflies of the year fly, widened for distance.

    `where` names the region and the reader's distance from it, `note` also the source's conditions and the widening.
    """

    low: date
    high: date
    where: str
    note: str
    inputs: tuple[str, ...]
    region: str
    basis: str

    @property
    def mid(self) -> date:
        """The middle of the start."""
        return self.low + (self.high - self.low) / 2


@dataclass(frozen=True)
class _Source:
    """One region's times as used here: the widening, the short and the whole note, the inputs and the basis."""

    widen: timedelta
    where: str
    note: str
    inputs: tuple[str, ...]
    basis: str


def add_flights(maker: Maker) -> tuple[Start | None, Start | None]:
    """Add the flights and their stages; return the start of the first flight and that of the whole season, or None.

    The season is told only where its generations are not.
    """
    found = _first(maker)
    if isinstance(found, str):
        _nothing(maker, found)
        return None, None
    near, flight = found
    if flight.all_year:
        _all_year(maker, near, flight)
        return None, None
    library, profile = maker.library, maker.profile
    second = nearest(
        library,
        lambda region: numbered(library, maker.species, region, 2),
        profile.latitude,
        profile.longitude,
        profile.region,
    )
    start = _start(maker, near, flight)
    season = None if second is not None else _season(maker)
    if season is not None and season.low < start.low:
        # a second source that knows of earlier butterflies is not left aside
        who = "another source there" if season.region == near.region.name else f"the season {season.where},"
        start = replace(
            start,
            low=season.low,
            note=f"{start.note}; {who} has butterflies from {day_words(season.low)} on",
            inputs=(*start.inputs, *season.inputs),
            region=joined(start.region, season.region) or start.region,
            basis="derived",
        )
    _first_flight(maker, near, flight, start)
    if second is not None:
        _later_flights(maker, near, second[0])
    return start, season


def _first(maker: Maker) -> tuple[NearRegion, Flight] | str:
    """The nearest region that tells when the first butterflies fly, or why there is none."""
    profile, library = maker.profile, maker.library

    def times(region: str) -> Flight | None:
        return first_butterflies(library, maker.species, region)

    if profile.south:
        return "published flight times are from North America; there are none for the southern half of the Earth"
    if profile.latitude is None and profile.region is None:
        return "needs a latitude, a ZIP or a region"
    found = nearest(library, times, profile.latitude, profile.longitude, profile.region)
    if found is not None:
        return found
    if profile.latitude is None:
        return f"no flight times of the {maker.common} are known for {library.regions[str(profile.region)].name}"
    far = closest(library, times, profile.latitude, profile.longitude)
    if far is None:
        return f"no flight times of the {maker.common} are published for any region"
    return f"the nearest flight times are for {far.region.name}{far.where}: too far to say anything here"


def _nothing(maker: Maker, why: str) -> None:
    for stage in (FLIGHT, *(name for name, _ in STAGES)):
        maker.none(f"{stage}-1", why)


def _all_year(maker: Maker, near: NearRegion, flight: Flight) -> None:
    """Where butterflies fly all year there is no first flight and no stage with a time of its own."""
    said = flight.named(near)
    _nothing(maker, f"butterflies fly all year, {said}")
    ends = flight.ends(maker.year)
    assert ends is not None
    inputs = (flight.fact.id, *flight.fact.preferred.rests_on)
    maker.add("flight-season", flight.starts(maker.year)[0], None, ends[1], flight.kind, inputs, said, near.region.name)


def widening(maker: Maker, near: NearRegion) -> timedelta:
    """How much a region's times are widened at each end for the latitude between its middle and the reader."""
    rule = maker.library.facts.get(SHIFT)
    span = rule.preferred.span if rule is not None else None
    if near.degrees_north is None or span is None or span.ends[1] is None:
        return timedelta(0)
    return timedelta(days=round(abs(near.degrees_north) * span.ends[1]))


def _source(maker: Maker, near: NearRegion, flight: Flight, *, start_only: bool = False) -> _Source:
    """The widening, the notes and the inputs of one region's times; a start moves with spring, an end either way."""
    widen = widening(maker, near)
    note = flight.named(near)
    if near.degrees_north is None:
        note += "; your distance from it is not known"
    elif widen.days:
        side = "toward later" if near.degrees_north < 0 else "toward earlier"
        end = side if start_only else "at each end"
        note += f"; widened by {counted(widen.days)} {end} for the distance in latitude"
    inputs = (flight.fact.id, *flight.fact.preferred.rests_on, *((SHIFT,) if widen.days else ()))
    return _Source(widen, near.words(flight.kind), note, inputs, "derived" if widen.days else flight.kind)


def _start(maker: Maker, near: NearRegion, flight: Flight) -> Start:
    source = _source(maker, near, flight, start_only=True)
    first, last = flight.starts(maker.year)
    north = (near.degrees_north or 0.0) < 0  # the reader lies north of the region, where spring comes later
    return Start(
        first if north else first - source.widen,
        last + source.widen if north else last,
        source.where,
        source.note,
        source.inputs,
        near.region.name,
        source.basis,
    )


def _first_flight(maker: Maker, near: NearRegion, flight: Flight, start: Start) -> None:
    """Add flight 1 from its start to its end; an end that is not published is lent, or stays open and is said to."""
    ends = None if flight.whole else flight.ends(maker.year)
    high, note, inputs, proxy, basis = start.high, start.note, start.inputs, start.region, start.basis
    lent = _lent_length(maker, near) if ends is None else None
    if ends is not None:
        high = ends[1] + widening(maker, near)
    elif lent is not None and (start.high + lent[1] - start.low).days <= WIDE_DAYS:
        other, length, fact = lent
        high = start.high + length
        note += f"; its end is not published there, so it is taken to last as long as in {other}"
        inputs, basis = (*inputs, fact.id, *fact.preferred.rests_on), "derived"
        proxy = joined(proxy, other) or proxy
    else:
        note += "; only its start is known"
    note += _practice(maker, near, flight) + _broods(maker)
    maker.add(f"{FLIGHT}-1", start.low, None, high, basis, inputs, note, proxy)
    _add_stages(maker, "1", start.where)


def _lent_length(maker: Maker, near: NearRegion) -> tuple[str, timedelta, Fact] | None:
    """How long the first flight lasts after it began, in the nearest region that publishes both ends."""
    own = near.region.centre
    found: list[tuple[float, str, timedelta, Fact]] = []
    for region in maker.library.regions.values():
        flight = numbered(maker.library, maker.species, region.id, 1)
        ends = flight.ends(maker.year) if flight is not None and flight.kind == "published" else None
        if flight is None or ends is None:
            continue
        length = ends[1] - flight.starts(maker.year)[1]
        miles = seen_from(region, own.latitude, own.longitude).miles or 0.0
        if length.days > 0 and miles <= FAR_MILES:
            found.append((miles, region.name, length, flight.fact))
    return min(found, key=lambda item: item[:2])[1:] if found else None


def _practice(maker: Maker, near: NearRegion, flight: Flight) -> str:
    """What common practice says nearer to the reader than the published times, as a second voice."""
    profile = maker.profile
    if flight.kind == "common-practice" or profile.latitude is None or near.region.id == profile.region:
        return ""
    practice = nearest(
        maker.library,
        lambda region: first_butterflies(maker.library, maker.species, region),
        profile.latitude,
        profile.longitude,
        kinds=("common-practice",),
    )
    if practice is None or (practice[0].miles or 0.0) >= (near.miles or 0.0):
        return ""
    begin, _ = practice[1].begin
    return f"; common practice nearer to you, in {practice[0].region.name}, says from {begin} on"


def nearest_broods(maker: Maker) -> tuple[NearRegion, Fact] | None:
    """The nearest region with a published number of generations, within reach or wanted by name."""
    profile = maker.profile
    found: list[tuple[float, str, NearRegion, Fact]] = []
    for region in maker.library.regions.values():
        fact = maker.library.facts.get(f"{maker.species}.broods.{region.id}")
        if fact is None or fact.preferred.span is None or fact.preferred.basis.kind != "published":
            continue
        near = seen_from(region, profile.latitude, profile.longitude)
        if region.id == profile.region:
            return near, fact
        if profile.latitude is not None and within_reach(near, profile.latitude):
            found.append((apart(near), region.id, near, fact))
    return min(found, key=lambda item: item[:2])[2:] if found else None


def _broods(maker: Maker) -> str:
    """How many generations a year are published near here, in words."""
    found = nearest_broods(maker)
    if found is None:
        return ""
    near, fact = found
    span = fact.preferred.span
    assert span is not None
    low, high = span.ends
    count = f"{low:g} to {high:g}" if low is not None and high is not None and low != high else f"{low or high:g}"
    bound = {"at least": "at least ", "at most": "up to ", "about": "about "}.get(span.bound, "")
    word = "generation" if count == "1" else "generations"
    said = f" ({fact.preferred.conditions})" if fact.preferred.conditions else ""
    return f"; {bound}{count} {word} a year {near.words('published').removeprefix('as ')}{said}"


def _most_broods(maker: Maker, source: NearRegion) -> float | None:
    """The most generations that are published nearer to the reader than the region a later flight comes from."""
    found = nearest_broods(maker)
    if found is None or found[0].region.id == source.region.id:
        return None
    near, fact = found
    if apart(near) > apart(source):
        return None
    assert fact.preferred.span is not None
    return fact.preferred.span.ends[1]


def _later_flights(maker: Maker, first: NearRegion, near: NearRegion) -> None:
    """Later generations, all from one region, the nearest that reports a second flight, so that they follow each other.

    No flight begins before the generation before it can have grown up, and none beyond the number of generations that
    is published nearer to the reader.
    """
    most = _most_broods(maker, near)
    quickest = _quickest(maker)
    for number in range(2, MOST_FLIGHTS + 1):
        flight = numbered(maker.library, maker.species, near.region.id, number)
        if flight is None or (most is not None and number > most):
            return
        source = _source(maker, near, flight)
        note = source.note
        ends = flight.ends(maker.year) or flight.starts(maker.year)
        low, high = flight.starts(maker.year)[0] - source.widen, ends[1] + source.widen
        before = maker.made[f"{FLIGHT}-{number - 1}"].low
        assert before is not None
        if quickest is not None and low < before + quickest:
            low = before + quickest
            note += "; not before the generation before it can have grown up"
        if low > high:
            return
        if near.region.id != first.region.id:
            note += f"; the first flight is taken from {first.region.name}, which gives no later ones"
        maker.add(f"{FLIGHT}-{number}", low, None, high, source.basis, source.inputs, note, near.region.name)
        _add_stages(maker, str(number), source.where)


def _quickest(maker: Maker) -> timedelta | None:
    """The fewest days from egg to butterfly."""
    stages = [maker.days(quantity) for _, quantity in STAGES]
    return timedelta(days=sum(stage.low for stage in stages if stage)) if all(stages) else None


def _add_stages(maker: Maker, which: str, where: str) -> None:
    """Eggs, caterpillars and chrysalides that follow a flight; leaf-eaters end with the late edge of first freezes.

    `which` is the number of the flight, or "season" for all of them together, an outer bound.
    """
    flight = maker.made[f"{FLIGHT}-{which}"]
    assert flight.low is not None
    assert flight.high is not None
    low, high, inputs, proxy = flight.low, flight.high, flight.inputs, flight.proxy
    taken: list[str] = []
    late = maker.freeze("first", 90)
    of = "an outer bound: the whole season of flight" if which == "season" else f"flight {which}"
    for name, quantity in STAGES:
        stage = maker.days(quantity)
        if stage is None:
            for missing, _ in STAGES[len(taken) :] if which == "1" else ():
                maker.none(f"{missing}-1", f"how long the {name} stage of the {maker.common} lasts is not known")
            return
        inputs = (*inputs, *stage.inputs)
        proxy = joined(stage.relative, proxy)
        taken.append(f"{name} {took(stage)}")
        high = days_after(high, stage.high)
        last = high
        note = f"{of} plus {', '.join(taken)}; {where}"
        if name != "chrysalides" and late is not None and high > late:
            last = late
            note += "; ended by the late edge of the first freezes"
        if last <= low:
            return
        maker.add(f"{name}-{which}", low, None, last, "derived", inputs, note, proxy)
        low = days_after(low, stage.low)


def took(stage: Stage) -> str:
    """Write "4 to 9 days"."""
    days = f"{stage.high:g} days"
    if not stage.low_known:
        return f"up to {days}"
    return f"{stage.low:g} to {days}" if stage.low != stage.high else f"about {days}"


def _season(maker: Maker) -> Start | None:
    """Add the whole stretch of the year in which butterflies fly, where its generations are not told apart."""
    profile, library = maker.profile, maker.library
    found = nearest(
        library,
        lambda region: whole_season(library, maker.species, region),
        profile.latitude,
        profile.longitude,
        profile.region,
    )
    ends = found[1].ends(maker.year) if found is not None else None
    if found is None or ends is None or found[1].all_year:
        return None
    near, flight = found
    source, start = _source(maker, near, flight), _start(maker, near, flight)
    note = f"{source.note}; the generations are not told apart"
    high = ends[1] + source.widen
    maker.add("flight-season", start.low, None, high, source.basis, source.inputs, note, near.region.name)
    _add_stages(maker, "season", source.where)
    return start
