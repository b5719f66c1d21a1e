"""A number of caterpillars, a plant and a place in; plants, sowing dates and the week a failed sowing is felt out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from handouts import units
from handouts.errors import BadInput
from handouts.model.facts import Fact, Subject
from handouts.model.season import Window
from handouts.model.times import Offset
from handouts.season.sowing import last_useful, repeated
from handouts.shelf.outlook import Ground

SAFETY = 2  # twice what the rule of thumb asks for
MOST_SOWINGS = 12
SOWINGS_IN_WEEKS = 5  # shown when no date of the place is known
WEEK = timedelta(weeks=1)
_BACKED = ("published", "derived", "proxy", "common-practice", "own-observation")
_FOOD = ("good", "fair")


@dataclass(frozen=True)
class Span:
    """Low and high days of a stage of growing, and the facts behind it."""

    low: float
    high: float
    facts: tuple[str, ...]


@dataclass(frozen=True)
class Sowing:
    """One sowing: its days, or weeks from the last freeze where no date is known; what follows from them.

    `felt` is the first day of the week in which its failure is felt, `until` the day the next one (or the same sown
    again) is ready; `feeds` the feeding windows that fall between.
    """

    kind: str
    sow: tuple[date, date] | None
    weeks: tuple[float, float] | None
    up: tuple[date, date] | None = None
    ready: tuple[date, date] | None = None
    ready_weeks: tuple[float, float] | None = None
    felt: date | None = None
    until: date | None = None
    feeds: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The sowing with the field names of the manual."""
        return {
            "kind": self.kind,
            "sow": _pair(self.sow),
            "weeks_from_last_freeze": list(self.weeks) if self.weeks else None,
            "up": _pair(self.up),
            "ready": _pair(self.ready),
            "ready_weeks_from_last_freeze": list(self.ready_weeks) if self.ready_weeks else None,
            "felt_week": self.felt.isoformat() if self.felt else None,
            "felt_until": self.until.isoformat() if self.until else None,
            "feeds": list(self.feeds),
        }


@dataclass(frozen=True)
class FoodPlan:
    """The plan for one plant. `need` is what the rule of thumb asks for, `plants` that doubled for safety."""

    plant: str
    species: str
    caterpillars: int
    per_plant: tuple[float, float]
    per_fact: str | None
    need: tuple[float, float]
    plants: int
    row_feet: float | None
    sowings: tuple[Sowing, ...]
    facts: dict[str, tuple[str, ...]]
    more: bool
    not_known: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """The plan with the field names of the manual."""
        return {
            "plant": self.plant,
            "caterpillars_per_plant": list(self.per_plant),
            "per_plant_fact": self.per_fact,
            "need": [round(end, 2) for end in self.need],
            "plants": self.plants,
            "row_feet": self.row_feet,
            "sowings": [sowing.to_json() for sowing in self.sowings],
            "facts": {name: list(ids) for name, ids in self.facts.items()},
            "not_known": list(self.not_known),
        }


def plants_for(caterpillars: int, per_plant: float) -> int:
    """Return the plants to grow: twice what `per_plant` caterpillars to a plant asks for, at least one.

    Rounded down, which still covers the plain need as soon as half a plant is asked for; so twice the caterpillars
    never get less than twice the plants, except where a single plant feeds them all twice over.
    """
    return max(1, math.floor(SAFETY * caterpillars / per_plant + 1e-9))


def plan(
    ground: Ground, plant: Subject, species: str, caterpillars: int, year: int, per_plant: float | None = None
) -> FoodPlan:
    """Return the plan for one plant in a season year. Raises BadInput when the plant is no food or has no figure."""
    _is_food(ground, plant, species)
    per, fact = _per_plant(ground, plant, per_plant)
    need = (caterpillars / per[1], caterpillars / per[0])
    count = plants_for(caterpillars, per[0])
    sowings, facts, more = _sowings(ground, plant, species, year)
    missing = [name for name in ("emergence", "first-cutting", "sow-outdoors") if name not in facts]
    spacing = ground.library.facts.get(f"{plant.id}.spacing")
    feet = None
    if spacing is not None and spacing.preferred.span is not None and spacing.preferred.basis.kind in _BACKED:
        facts["spacing"] = (spacing.id,)
        apart = spacing.preferred.span.ends[1] or 0.0
        feet = round(count * units.convert(apart, spacing.preferred.span.unit, "[ft_i]"), 1)
    return FoodPlan(
        plant.id, species, caterpillars, per, fact, need, count, feet, tuple(sowings), facts, more, tuple(missing)
    )


def default_plants(ground: Ground, species: str) -> list[Subject]:
    """Return the good food plants of a species that have a figure for caterpillars per plant."""
    library = ground.library
    found = []
    for subject in library.subjects.values():
        food = library.facts.get(f"{subject.id}.food-for.{species}")
        good = food is not None and food.preferred.term == "good"
        if subject.kind == "plants" and good and f"{subject.id}.caterpillars-per-plant" in library.facts:
            found.append(subject)
    # the steadiest first: plants that are not sown again and again
    return sorted(found, key=lambda one: (f"{one.id}.sow-again-every" in library.facts, one.id))


def _is_food(ground: Ground, plant: Subject, species: str) -> None:
    library = ground.library
    animal = library.subject(species).names.common
    if plant.kind != "plants":
        raise BadInput(f"{plant.id} is no plant", found=plant.kind, expected="the id of a plant")
    food, eaten = (library.facts.get(f"{plant.id}.{kind}.{species}") for kind in ("food-for", "eaten-by"))
    if food is not None and (food.preferred.term or "") not in _FOOD:
        raise BadInput(
            f"{plant.names.common} is no food for {animal} caterpillars",
            found=food.preferred.term,
            expected="good or fair",
        )
    if food is None and (eaten is None or eaten.preferred.flag is not True):
        raise BadInput(
            f"nothing on record says that {animal} caterpillars eat {plant.names.common}",
            expected="a plant with a food-for or eaten-by fact",
        )


def _per_plant(ground: Ground, plant: Subject, given: float | None) -> tuple[tuple[float, float], str | None]:
    if given is not None:
        return (given, given), None
    fact = ground.library.facts.get(f"{plant.id}.caterpillars-per-plant")
    span = fact.preferred.span if fact is not None else None
    if fact is None or span is None or span.ends[0] is None or span.ends[1] is None:
        raise BadInput(
            f"no figure says how many caterpillars one {plant.names.common} plant feeds",
            expected="--per-plant NUMBER from your own experience",
        )
    return (span.ends[0], span.ends[1]), fact.id


def _stage(ground: Ground, plant: str, quantity: str) -> Span | None:
    """Low and high days of a quantity; one with several conditions spans them all."""
    facts = [
        fact
        for name, fact in ground.library.facts.items()
        if (name == f"{plant}.{quantity}" or name.startswith(f"{plant}.{quantity}."))
        and fact.preferred.span is not None
        and fact.preferred.basis.kind in _BACKED
    ]
    ends = [
        units.convert(end, fact.preferred.span.unit, "d")
        for fact in facts
        if fact.preferred.span is not None
        for end in fact.preferred.span.ends
        if end is not None and units.same_dimension(fact.preferred.span.unit, "d")
    ]
    return Span(min(ends), max(ends), tuple(fact.id for fact in facts)) if ends else None


def _time(ground: Ground, plant: str, quantity: str) -> tuple[Fact, Offset, Offset] | None:
    fact = ground.library.facts.get(f"{plant}.{quantity}")
    if fact is None or fact.preferred.time is None or fact.preferred.basis.kind not in _BACKED:
        return None
    first, last = fact.preferred.time.ends
    return (fact, first, last) if isinstance(first, Offset) and isinstance(last, Offset) else None


def _sowings(
    ground: Ground, plant: Subject, species: str, year: int
) -> tuple[list[Sowing], dict[str, tuple[str, ...]], bool]:
    """The sowings of a year, the facts they rest on by quantity, and whether they go on beyond those listed."""
    times = {
        name: _time(ground, plant.id, name) for name in ("sow-indoors", "sow-outdoors", "plant-out", "fall-sowing")
    }
    stages = {name: _stage(ground, plant.id, name) for name in ("emergence", "first-cutting", "sow-again-every")}
    facts: dict[str, tuple[str, ...]] = {name: (found[0].id,) for name, found in times.items() if found is not None}
    facts |= {name: span.facts for name, span in stages.items() if span is not None}
    last = ground.profile.freeze_day("last", year)
    first = ground.profile.freeze_day("first", year)
    rows: list[Sowing] = []
    for kind in ("sow-indoors", "sow-outdoors"):
        found = times[kind]
        if found is not None and found[1].of == "last freeze":
            rows.append(_sowing(kind, last, found[1].days, found[2].days))
    again, cutting, fall = stages["sow-again-every"], stages["first-cutting"], times["fall-sowing"]
    more = False
    if again is not None and rows and rows[-1].kind == "sow-outdoors":
        begin = rows.pop()
        end = _last_useful(first, cutting, fall)
        more = end is None
        rows.extend(_succession(begin, again, last, end))
    elif fall is not None and first is not None:
        rows.append(Sowing("fall-sowing", (first + fall[1].days, first + fall[2].days), None))
    grown = [_grown(row, stages["emergence"], cutting) for row in rows]
    feeding = _feeding(ground, species, year)
    return [_felt(row, grown, stages["emergence"], cutting, feeding) for row in grown], facts, more


def _sowing(kind: str, last: date | None, early: timedelta, late: timedelta) -> Sowing:
    weeks = (early / WEEK, late / WEEK)
    return Sowing(kind, (last + early, last + late) if last is not None else None, weeks)


def _last_useful(first: date | None, cutting: Span | None, fall: tuple[Fact, Offset, Offset] | None) -> date | None:
    """The last day a sowing still comes to something before the first freeze; None when that is not known."""
    to_cut = timedelta(days=round(cutting.high)) if cutting is not None else None
    return last_useful(first, fall[2].days if fall is not None else None, to_cut)


def _succession(begin: Sowing, again: Span, last: date | None, end: date | None) -> list[Sowing]:
    """Sow again and again from the first sowing on, at the middle of the usual gap."""
    assert begin.weeks is not None
    step = timedelta(days=round((again.low + again.high) / 2.0))
    dated = last is not None and end is not None
    until = end - last if last is not None and end is not None else None
    days = repeated(timedelta(weeks=begin.weeks[0]), step, until, MOST_SOWINGS if dated else SOWINGS_IN_WEEKS)
    return [_sowing("sow-outdoors", last, at, at) for at in days] or [begin]


def _grown(row: Sowing, emergence: Span | None, cutting: Span | None) -> Sowing:
    """Add when it is up and when it can be cut."""
    up = ready = ready_weeks = None
    if row.sow is not None:
        up = _plus(row.sow, emergence) if emergence is not None else None
        ready = _plus(row.sow, cutting) if cutting is not None else None
    if row.weeks is not None and cutting is not None:
        ready_weeks = (row.weeks[0] + cutting.low / 7.0, row.weeks[1] + cutting.high / 7.0)
    return replace(row, up=up, ready=ready, ready_weeks=ready_weeks)


def _plus(days: tuple[date, date], span: Span) -> tuple[date, date]:
    return days[0] + timedelta(days=round(span.low)), days[1] + timedelta(days=round(span.high))


def _feeding(ground: Ground, species: str, year: int) -> list[Window]:
    found = (ground.known(species, year, f"caterpillars-{number}") for number in range(1, 5))
    return [window for window in found if window is not None]


def _felt(
    row: Sowing, rows: Sequence[Sowing], emergence: Span | None, cutting: Span | None, feeding: Sequence[Window]
) -> Sowing:
    """Add the week in which its failure is felt: from when it should be ready until another is."""
    if row.sow is None or row.ready is None:
        return row
    begin = row.ready[0]
    after = [other.ready[0] for other in rows if other.ready is not None and other.ready[0] > begin]
    if emergence is not None and cutting is not None:
        # bare ground is certain once the slowest seed should be up; sown again that day, it is ready this much later
        after.append(row.sow[1] + timedelta(days=round(emergence.high + cutting.low)))
    until = min(after) if after else None
    fed = [
        window
        for window in feeding
        if window.low is not None
        and window.high is not None
        and window.high >= begin
        and (until is None or window.low < until)
    ]
    if feeding and not fed:
        return replace(row, until=until)
    felt = begin if not fed else max(begin, min(window.low for window in fed if window.low is not None))
    return replace(row, felt=felt, until=until, feeds=tuple(window.id for window in fed))


def _pair(days: tuple[date, date] | None) -> list[str] | None:
    return [day.isoformat() for day in days] if days is not None else None
