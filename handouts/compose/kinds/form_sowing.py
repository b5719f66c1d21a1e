"""The food plants of a species and the place's freezes in; the sowing plan out: what to sow when, and boxes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from handouts import units
from handouts.compose.composer import Composer
from handouts.compose.kinds.forms import Form
from handouts.compose.phrase import day_words
from handouts.model.document import Block, Claim, Document, Figure, Items, Para, Runs, Slot, Table, Text
from handouts.model.facts import Fact
from handouts.model.records import Plan
from handouts.model.times import Offset
from handouts.season.making import USABLE
from handouts.season.sowing import last_useful, repeated
from handouts.season.tasks import food_plants, sowing

COLUMNS = 5
# Lines of a sheet, with those left open for what the reader adds.
LINES, OPEN_LINES = 17, 2
# A first freeze stands so long after the last one in the order of lines; only the order hangs on it.
_FALL = timedelta(days=150)
# A year has no more sowings of one plant than this; so many lines they get even on a crowded sheet.
MOST_SOWINGS, LEAST_SOWINGS = 26, 2


@dataclass(frozen=True)
class _Line:
    """One thing to do: its place in the order (from the last freeze), what, and when."""

    at: timedelta
    what: Runs
    when: Runs


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the sowing plan of a species' good food plants; without freeze dates in weeks, with boxes for them."""
    form, species = Form(composer, "sowing-plan"), composer.setting.species
    plants = _plants(composer, species)
    composer.subjects.update(dict.fromkeys([species, *plants]))
    frosts = composer.setting.frosts
    dated = frosts.last is not None and frosts.first is not None
    once = [line for plant in plants for line in _once(form, plant)]
    again = [plant for plant in plants if f"{plant}.sow-again-every" in composer.library.facts]
    room = max(LEAST_SOWINGS, (form.rows(LINES) - len(once) - OPEN_LINES) // max(1, len(again)))
    more = [line for plant in again for line in _again(form, plant, room)]
    lines = sorted((*once, *more), key=lambda line: line.at)
    rows: list[tuple[Runs, ...]] = [(line.what, line.when, *[()] * (COLUMNS - 2)) for line in lines]
    spare = max(round(OPEN_LINES * composer.setting.strip), form.rows(LINES) - len(rows))
    rows.extend([((form.text("own"),), *[()] * (COLUMNS - 1))] * spare)
    body: list[Block] = [] if dated else [form.box("last"), form.box("first")]
    body.extend((form.box("caterpillars"), form.box("plants")))
    body.append(Slot("counted", (Para(form.say("dated" if dated else "weeks")),), form.for_place("counted")))
    body.append(Slot("many", (Items(tuple(_many(form, plants)), role="many"),), (form.text("many"),)))
    body.append(Table(form.words.title, tuple(form.words.columns.values()), tuple(rows), "form sowing"))
    timeless = [composer.library.subject(plant).names.common for plant in plants if not sowing(composer.library, plant)]
    if timeless:
        body.append(Para(form.say("no-time", plants=", ".join(timeless)), "small"))
    return form.finished(form.species_title(), (form.lead,), body, plan)


def _plants(composer: Composer, species: str) -> list[str]:
    """The good food plants, without those that carry a danger and of which no sowing time is on record."""
    library = composer.library
    return [
        name for name in food_plants(library, species) if sowing(library, name) or not library.subject(name).carries
    ]


def _many(form: Form, plants: list[str]) -> Iterator[Runs]:
    """How many caterpillars one plant feeds, for each plant with a figure, and to grow twice as many."""
    library = form.composer.library
    for plant in plants:
        fact = library.facts.get(f"{plant}.caterpillars-per-plant")
        if fact is not None and fact.preferred.basis.kind in USABLE:
            yield form.say("feeds", plant=library.subject(plant).names.common, number=f"{{{fact.id}}}")
    yield form.say("twice")


def _once(form: Form, plant: str) -> Iterator[_Line]:
    """The lines of one plant: each time that is counted from a freeze."""
    composer = form.composer
    for fact in sowing(composer.library, plant):
        what = fact.label.removeprefix("when to ")
        when = composer.fact(fact, fact.preferred)
        yield _Line(_order(composer, fact), (Text(what[:1].upper() + what[1:]),), when)


def _order(composer: Composer, fact: Fact) -> timedelta:
    """When a time begins, from the last freeze."""
    assert fact.preferred.time is not None
    point, frosts = fact.preferred.time.ends[0], composer.setting.frosts
    assert isinstance(point, Offset)
    if point.of == "last freeze":
        return point.days
    summer = frosts.first - frosts.last if frosts.first is not None and frosts.last is not None else _FALL
    return point.days + summer


def _again(form: Form, plant: str, most: int) -> Iterator[_Line]:
    """The later sowings of a plant that is sown again and again: days where the freezes are known, else the gap.

    Of more than `most` the last line stands for the rest.
    """
    composer, facts = form.composer, form.composer.library.facts
    gap, first = facts.get(f"{plant}.sow-again-every"), facts.get(f"{plant}.sow-outdoors")
    if gap is None or first is None or gap.preferred.span is None or gap.preferred.basis.kind not in USABLE:
        return
    low, high = (units.convert(end or 0.0, gap.preferred.span.unit, "d") for end in gap.preferred.span.ends)
    common = composer.library.subject(plant).names.common
    what = form.say("again", plant=common[:1].upper() + common[1:])
    begin, every = _order(composer, first), timedelta(days=round((low + high) / 2.0))
    frosts = composer.setting.frosts
    # so close before the fall sowing another would be one too many
    end = last_useful(frosts.first, _fall(facts.get(f"{plant}.fall-sowing"), every / 2), None)
    if frosts.last is None or end is None:
        yield _Line(begin + every, what, form.say("every", gap=f"{{{gap.id}}}"))
        return
    later = repeated(begin, every, end - frosts.last, MOST_SOWINGS)[1:]
    shown = later if len(later) <= most else later[: most - 1]
    for at, days in enumerate(shown, 2):
        yield _Line(days, what, (_dated(composer, f"{plant}.sowing-{at}", frosts.last + days, (first, gap)),))
    if len(shown) < len(later):
        last = _dated(composer, f"{plant}.sowing-last", frosts.last + later[-1], (first, gap))
        rest = (*form.say("until", gap=f"{{{gap.id}}}"), Text(" "), last)
        yield _Line(later[len(shown)], what, rest)


def _fall(fact: Fact | None, before: timedelta) -> timedelta | None:
    """A time `before` the fall sowing begins, from the first freeze; None where no fall sowing is known."""
    point = fact.preferred.time.ends[0] if fact is not None and fact.preferred.time is not None else None
    return point.days - before if isinstance(point, Offset) else None


def _dated(composer: Composer, name: str, day: date, facts: tuple[Fact, ...]) -> Figure:
    parents = (*(fact.id for fact in facts), "place.last-freeze", "place.first-freeze")
    references = tuple(name for fact in facts for name in fact.preferred.rests_on)
    claim = Claim(
        f"sowing.{name}",
        f"about {day_words(day)}",
        day.isoformat(),
        None,
        "derived",
        references,
        parents,
        label=f"{facts[0].label}, again",
        detail="the middle of the usual gap",
    )
    marks = tuple(dict.fromkeys(("derived", *(fact.preferred.basis.kind for fact in facts))))
    return replace(composer.figure(claim, day.isoformat(), "time"), marks=marks)
