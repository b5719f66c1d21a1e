"""A species, a place profile and a year in, the dated windows of its season out, each with basis and inputs.

What is published for the nearest region carries the flights; day length, frost dates and heat refine the rest.
No window rests on a memory value; a window that the place does not allow has no dates and says why.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from handouts.errors import BadInput
from handouts.model.library import Library
from handouts.model.season import Season
from handouts.model.times import Offset
from handouts.season import diapause
from handouts.season.flights import Start, add_flights, took
from handouts.season.making import Maker, day_span, day_words, days_after, joined, stretch_words
from handouts.season.opening import add_hosts_ready, add_opening
from handouts.season.profile import Profile
from handouts.season.tasks import tasks_of

WINTER = ("diapause-turn", "overwinter-from", "to-cold-by", "to-warmth", "spring-opening", "stop-waiting")
BRING_OUT, MOVE_IN = "winter-rules.bring-out", "winter-rules.move-in"
BEFORE_FLIGHT, KEEP_UNTIL = "bringing-out.before-first-flight", "bringing-out.keep-until"


def season(library: Library, species: str, profile: Profile, year: int) -> Season:
    """Return all windows of `species` at a place in the calendar `year` (southern: the season year from July).

    A species that does not pass the winter as a chrysalis has no winter windows; these are marked absent. Raises
    BadContent for an unknown species and BadInput for an unknown region of the place.
    """
    if profile.region is not None and profile.region not in library.regions:
        raise BadInput(
            "the place's region is not known", found=profile.region, expected=", ".join(sorted(library.regions))
        )
    maker = Maker(library, species, profile, year)
    start, flying = add_flights(maker)
    stage = library.facts.get(f"{species}.winter-stage")
    term = (stage.preferred.term or "") if stage is not None else ""
    if term.startswith(("chrysalis", "pupa")):
        add_turn(maker)
        add_to_cold(maker)
        add_to_warmth(maker, start)
        add_opening(maker, start)
        add_stop_waiting(maker)
        add_hosts_ready(maker, start)
        add_last_release(maker)
        _note_wintering(maker)
    else:
        why = f"the {maker.common} does not pass the winter as a chrysalis"
        if not term:
            why = f"how the {maker.common} passes the winter is not known"
        for name in WINTER:
            maker.none(name, why, absent=bool(term))
        add_hosts_ready(maker, start)
        add_last_flight_release(maker, flying)
    windows = tuple(maker.made.values())
    return Season(species, profile.name or "", year, windows, tasks_of(library, species, windows, profile, year))


def add_turn(maker: Maker) -> None:
    """Add when day length turns caterpillars to winter rest, and from when new chrysalides are treated so."""
    turn_name, from_name = "diapause-turn", "overwinter-from"
    latitude, subject = maker.profile.latitude, maker.subject
    if latitude is None:
        for name in (turn_name, from_name):
            maker.none(name, "needs a latitude: day length cannot be known from a zone")
        return
    donor = maker.species
    if not diapause.populations(maker.library, donor):
        donor = subject.stand_ins.get("critical-day-length", donor)
    turn = diapause.turn(maker.library, donor, latitude, maker.year)
    if isinstance(turn, str):
        for name in (turn_name, from_name):
            maker.none(name, turn)
        return
    relative = maker.library.subject(donor).names.common if donor != maker.species else None
    maker.add(
        turn_name, turn.low, turn.mid, turn.high, "proxy" if relative else "derived", turn.inputs, turn.note, relative
    )
    larva = maker.days("larva")
    if larva is None:
        maker.none(from_name, "how long the caterpillar stage lasts is not known")
        return
    # The days are read by caterpillars, at what age is not known: on average one at the turn has half its life ahead.
    lags = (larva.low / 2, (larva.low + larva.high) / 4, larva.high / 2)
    low, mid, high = (days_after(day, lag) for day, lag in zip((turn.low, turn.mid, turn.high), lags, strict=True))
    note = f"the turn plus half the caterpillar's life ({took(larva)}); {turn.note}"
    proxy = joined(relative, larva.relative)
    maker.add(from_name, low, mid, high, "derived", (*turn.inputs, *larva.inputs), note, proxy)


def _rule(maker: Maker, rule: str, side: str) -> tuple[date, date] | None:
    """A stretch counted from this place's median freeze, or None."""
    day, fact = maker.freeze(side), maker.library.facts.get(rule)
    if day is None or fact is None or fact.preferred.time is None:
        return None
    first, last = fact.preferred.time.ends
    if not isinstance(first, Offset) or not isinstance(last, Offset):
        return None
    return day + first.days, day + last.days


def add_to_cold(maker: Maker) -> None:
    """Add when chrysalides stand in their winter place, counted from the first freeze."""
    name = "to-cold-by"
    days, day = _rule(maker, MOVE_IN, "first"), maker.freeze("first")
    if days is None or day is None:
        maker.none(name, "needs this place's first freeze date")
        return
    note = f"counted from the median first freeze, {day_words(day)}"
    maker.add(name, days[0], None, days[1], "derived", (MOVE_IN, "place.first-freeze"), note)


def add_to_warmth(maker: Maker, start: Start | None) -> None:
    """Add when chrysalides come back to warmth: after the last freeze and about two weeks before the first flight.

    The later day of the two rules counts at each edge: too early means frost and bare plants, too late costs nothing.
    """
    name = "to-warmth"
    days, day = _rule(maker, BRING_OUT, "last"), maker.freeze("last")
    lead_fact = maker.library.facts.get(BEFORE_FLIGHT)
    ends = day_span(lead_fact.preferred) if lead_fact is not None else None
    lead = timedelta(days=round(ends[1])) if ends is not None else None
    if days is None or day is None:
        why = "needs this place's last freeze date"
        if start is not None and lead is not None:
            by_flight = stretch_words(start.low - lead, start.high - lead)
            why += f"; two weeks before the first flight would be {by_flight}, but only once hard freezes are over"
        maker.none(name, why)
        return
    note = f"from the median last freeze on, {day_words(day)}: {stretch_words(*days)}"
    inputs: tuple[str, ...] = (BRING_OUT, "place.last-freeze")
    low, high, proxy = days[0], days[1], None
    if start is not None and lead is not None:
        early, late = start.low - lead, start.high - lead
        note += f"; about two weeks before the first flight {start.where}: {stretch_words(early, late)}"
        low, high = max(low, early), max(high, late)
        note += (
            "; the freeze rule is the later one"
            if (low, high) == days
            else "; the later day of the two counts, so that frosts are over and host plants are up"
        )
        inputs = (*inputs, BEFORE_FLIGHT, *start.inputs)
        proxy = None if (low, high) == days else start.region
    maker.add(name, low, None, high, "derived", inputs, note, proxy)


def add_stop_waiting(maker: Maker) -> None:
    """Add when to stop waiting this year: the slowest openings measured, counted from the move to warmth."""
    name = "stop-waiting"
    warmth = maker.made["to-warmth"]
    quick, slow = maker.days("warm-to-opening.at-22c"), maker.days("warm-to-opening.at-18c")
    if quick is None or slow is None:
        maker.none(name, f"how long wintered chrysalides of the {maker.common} take to open in warmth is not known")
        return
    if not warmth.known or warmth.mid is None or warmth.high is None:
        maker.none(name, "needs this place's last freeze date")
        return
    low, high = days_after(warmth.mid, quick.high), days_after(warmth.high, slow.high)
    note = f"the slowest openings measured, {quick.high:g} to {slow.high:g} days, counted from the move to warmth"
    keep = maker.library.facts.get(KEEP_UNTIL)
    if keep is not None and keep.preferred.time is not None:
        note += f"; common practice is {keep.preferred.time.ends[0]}"
    note += "; one that is still firm and heavy may wait for another spring"
    inputs = (*quick.inputs, *slow.inputs, *warmth.inputs)
    maker.add(name, low, None, high, "derived", inputs, note, joined(quick.relative, warmth.proxy))


def add_last_release(maker: Maker) -> None:
    """Add the last release whose eggs can still become full-grown caterpillars before the first freeze."""
    name = "last-release"
    first, egg, larva = maker.freeze("first"), maker.days("egg"), maker.days("larva")
    if first is None:
        maker.none(name, "needs this place's first freeze date")
        return
    if egg is None or larva is None:
        maker.none(name, f"how long eggs and caterpillars of the {maker.common} take is not known")
        return
    low, high = days_after(first, -(egg.high + larva.high)), days_after(first, -(egg.low + larva.low))
    note = f"so that eggs can become full-grown caterpillars before the median first freeze, {day_words(first)}"
    mid = None
    if not (egg.low_known and larva.low_known):
        mid = low
        note += "; the shortest time is not known, so count on the longest"
    inputs = (*egg.inputs, *larva.inputs, "place.first-freeze")
    maker.add(name, low, mid, high, "derived", inputs, note, joined(egg.relative, larva.relative))


def add_last_flight_release(maker: Maker, flying: Start | None) -> None:
    """Add the last release of a butterfly that leaves: while wild ones still fly and before the first freeze."""
    name = "last-release"
    early, middle, season = maker.freeze("first", 10), maker.freeze("first"), maker.made.get("flight-season")
    if early is None or middle is None:
        maker.none(name, "needs this place's first freeze date")
        return
    note = f"butterflies that leave for the winter need mild days: first freezes come from {day_words(early)} on"
    inputs: tuple[str, ...] = ("place.first-freeze",)
    low, high, proxy = early, middle, None
    if flying is not None and season is not None and season.high is not None:
        high = min(high, season.high)
        low = min(low, high)
        note += f"; wild ones fly until {day_words(season.high)} at the latest, {flying.where}"
        inputs, proxy = (*inputs, *season.inputs), flying.region
    maker.add(name, low, None, high, "derived", inputs, note, proxy)


def _note_wintering(maker: Maker) -> None:
    """Say on windows of chrysalides that late ones wait for spring."""
    begin = maker.made["overwinter-from"]
    if begin.mid is None:
        return
    for name in [name for name in maker.made if name.startswith("chrysalides-")]:
        window = maker.made[name]
        if window.high is not None and window.high >= begin.mid:
            note = f"{window.note}; those formed from about {day_words(begin.mid)} on are likely to wait for spring"
            maker.made[name] = replace(window, note=note)
