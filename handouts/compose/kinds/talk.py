"""The speaker's notes: objectives, a minute plan that fills the slot, say, show and do, materials, questions."""

from __future__ import annotations

import math

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.model.document import Block, Const, Document, Heading, Items, Para, Run, Runs, Slot, Table, Text
from handouts.model.records import Material, Part, Plan

DEFAULT_MINUTES = 30
DEFAULT_PEOPLE = 12
TABLE_OF = 6
# Of the time for the parts, so much more is for questions and for the sheet at the end.
QUESTIONS, EVALUATION = 1 / 8, 1 / 16
# What people do takes so many minutes at least; in a shorter part it is done when there is time.
DO_MINUTES = 3


def minutes_of(shares: list[float], slot: int) -> list[int]:
    """Split `slot` minutes by shares into whole minutes, one at least, that sum to it (largest remainders first).

    Raises ValueError when there are more shares than minutes.
    """
    if slot < len(shares):
        raise ValueError(f"{len(shares)} parts do not fit {slot} minutes")
    total = sum(shares)
    exact = [slot * share / total for share in shares]
    whole = [max(1, math.floor(value)) for value in exact]
    order = sorted(range(len(exact)), key=lambda i: (whole[i] - exact[i], i))
    at = 0
    while sum(whole) < slot:
        whole[order[at % len(order)]] += 1
        at += 1
    while sum(whole) > slot:
        whole[max(range(len(whole)), key=lambda i: whole[i])] -= 1
    return whole


def fitting(parts: list[Part], slot: int) -> list[Part]:
    """Return the parts that have a minute each in `slot` minutes, beside one for questions and one for the sheet.

    Where there are too many, those with the smallest shares are left out, the later ones first.
    """
    room = max(1, slot - 2)
    ranked = sorted(range(len(parts)), key=lambda at: (-parts[at].share, at))
    kept = set(ranked[:room])
    return [part for at, part in enumerate(parts) if at in kept]


def needed(material: Material, people: int) -> int:
    """Return how many of a thing `people` need (a pair is two, a table six people)."""
    groups = {"person": people, "pair": math.ceil(people / 2), "table": math.ceil(people / TABLE_OF), "talk": 1}
    return material.each * groups[material.per]


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the talk notes of a plan for the event's slot and number of people."""
    library, event = composer.library, composer.setting.event or {}
    slot, people = int(event.get("minutes") or DEFAULT_MINUTES), int(event.get("people") or DEFAULT_PEOPLE)
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    talk = plan.talk
    objectives = tuple(composer.inline(line, plan.origin, talk.line) for line in talk.objectives)
    body: list[Block] = [
        shared.main_message(composer, plan),
        Slot("objectives", (Items(objectives),), (Text(library.say("objectives")),)),
    ]
    parts = fitting(talk.parts, slot)
    whole = sum(part.share for part in parts)
    minutes = minutes_of([*(part.share for part in parts), whole * QUESTIONS, whole * EVALUATION], slot)
    titles = [composer.inline(part.title, plan.origin, part.line) for part in parts]
    titles.extend(((Text(library.say("questions")),), (Text(library.say("evaluation")),)))
    rows: list[tuple[Runs, ...]] = []
    start = 0
    for title, length in zip(titles, minutes, strict=True):
        rows.append((title, _event(composer, f"{start}\u2013{start + length}"), _event(composer, str(length))))
        start += length
    plan_of_minutes: list[Block] = [
        Table(library.say("minutes"), ("Part", "From\u2013to", "Minutes"), tuple(rows), "minutes")
    ]
    if left := [part for part in talk.parts if part not in parts]:
        plan_of_minutes.append(_left_out(composer, plan, left))
    body.append(Slot("minutes", tuple(plan_of_minutes), (Text(library.say("minutes")),)))
    bring = tuple(
        (
            *_event(composer, str(needed(item, people))),
            Text(" \u00d7 "),
            *composer.inline(item.item, plan.origin, item.line),
        )
        for item in talk.materials
    )
    if bring:
        head: Runs = (Text(f"{library.say('materials')} for "), *_event(composer, str(people)), Text(" people"))
        body.append(Slot("materials", (Items(bring, role="plainlist"),), head))
    start = 0
    for part, length in zip(parts, minutes, strict=False):
        body.append(_part(composer, plan, part, f"{start}\u2013{start + length}", length))
        start += length
    place = shared.place_plan(composer, plan)
    if place is not None:
        body.append(place)
    if plan.faq:
        body.append(_questions(composer, plan))
    asks = tuple(composer.inline(line, plan.origin, talk.line) for line in talk.evaluation)
    body.append(Slot("evaluation", (Items(asks),), (Text(library.say("evaluation")),)))
    body.append(shared.not_known(composer, plan))
    cautions = caution_slot(composer, tuple(body), plan.cautions)
    subtitle: Runs = (
        *_event(composer, str(slot)),
        Text(" minutes, "),
        *_event(composer, str(people)),
        Text(" people. "),
        *shared.where(composer),
    )
    return finish(
        composer,
        kind="talk-notes",
        topic=plan.id,
        title=f"Talk notes: {plan.title[:1].lower()}{plan.title[1:]}",
        subtitle=subtitle,
        body=tuple(body),
        cautions=cautions,
        brief="titles",
        plan=plan,
    )


def _event(composer: Composer, text: str) -> tuple[Run, ...]:
    composer.constants[text] = None
    return (Const("event", text),)


def _left_out(composer: Composer, plan: Plan, parts: list[Part]) -> Para:
    """Name the parts for which a slot is too short."""
    runs: list[Run] = [Text(f"{composer.library.say('left-out')} ")]
    for at, part in enumerate(parts):
        runs.append(Text("; " if at else ""))
        runs.extend(composer.inline(part.title, plan.origin, part.line))
    return Para(tuple(run for run in runs if run != Text("")), "small")


def _part(composer: Composer, plan: Plan, part: Part, minutes: str, length: int) -> Slot:
    """Return one part of the talk; `minutes` says from when to when, `length` how many they are."""
    library = composer.library
    blocks: list[Block] = []
    for role, lines in (("say", part.say), ("show", part.show), ("do", part.do)):
        if lines:
            name = "do-if-time" if role == "do" and length < DO_MINUTES else role
            blocks.append(Heading(3, (Text(library.say(name)),)))
            blocks.append(Items(tuple(composer.inline(text, plan.origin, part.line) for text in lines), role=role))
    head: Runs = (
        *composer.inline(part.title, plan.origin, part.line),
        Text(" \u2013 "),
        *_event(composer, minutes),
        Text("\u00a0min"),
    )
    return Slot("part", tuple(blocks), head)


def _questions(composer: Composer, plan: Plan) -> Slot:
    library = composer.library
    blocks: list[Block] = []
    for name in plan.faq:
        entry = library.entry(name, plan.origin, plan.line)
        composer.subjects.update(dict.fromkeys(entry.subjects))
        blocks.append(Heading(3, composer.inline(entry.question, entry.origin, 1)))
        blocks.append(Para(composer.inline(entry.brief, entry.origin, 1)))
    return Slot("questions", tuple(blocks), (Text(library.say("expected-questions")),))
