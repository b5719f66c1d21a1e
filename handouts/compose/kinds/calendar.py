"""The calendar file: the windows of the place and the plan's dated tasks as all-day entries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.prose import plain
from handouts.model.document import Block, Document, Event, Figure, Notice, Para, Text
from handouts.model.records import Plan
from handouts.season.tasks import food_plants


def build(composer: Composer, plan: Plan) -> Document:
    """Compose one entry for each window with dates and each of the plan's tasks that this place can date."""
    setting, library = composer.setting, composer.library
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    events: list[Event] = []
    body: list[Block] = []
    words = library.all_words()
    for season in (setting.season_of(setting.species, year) for year in _years(composer)):
        for window in season.windows:
            if not window.known or window.id not in words.windows:
                continue
            if setting.start is not None and window.high is not None and window.high < setting.start:
                continue
            figure = composer.window(window, setting.species, words.windows[window.id].says)
            text = f"{library.subject(setting.species).names.common}: {figure.shown}"
            body.append(Para((Text(f"{window.label}: "), figure)))
            assert window.low is not None
            assert window.high is not None
            key = f"{setting.species}.{window.id}.{season.year}.{setting.profile.name}"
            events.append(Event(key, window.label, window.low, window.high, _say(text), (figure.claim,)))
    for at, task in enumerate(plan.table):
        if task.when.startswith("{season."):
            continue
        for run in composer.inline(task.when, plan.origin, task.line):
            span = _span(composer, run)
            if isinstance(run, Figure) and span is not None:
                title = plain(composer.inline(task.do, plan.origin, task.line))
                body.append(Para((Text(f"{title} "), run)))
                key = f"{plan.id}.{at}.{span[0].year}.{setting.profile.name}"
                events.append(Event(key, title, *span, _say(title), (run.claim,)))
    told = {claim for event in events for claim in event.claims}
    for entry, para in _sowing(composer, told):
        events.append(entry)
        body.append(para)
    cautions = caution_slot(composer, tuple(body), plan.cautions, length="short", brief="titles")
    notices = [block for block in (cautions.blocks if cautions else ()) if isinstance(block, Notice)]
    care = " ".join(f"{notice.name[:1].upper()}{notice.name[1:]}: {plain(notice.runs)}" for notice in notices)
    if care:
        events = [replace(event, text=f"{event.text} {library.say('cautions')}: {care}") for event in events]
    return finish(
        composer,
        kind="calendar",
        topic=plan.id,
        title=f"Calendar: {plan.title[:1].lower()}{plan.title[1:]}",
        subtitle=shared.where(composer),
        body=tuple(body),
        cautions=cautions,
        brief="titles",
        plan=plan,
        events=tuple(events),
    )


def _sowing(composer: Composer, told: set[str]) -> Iterator[tuple[Event, Para]]:
    """Entries for sowing and planting the species' food plants, where the plan's own tasks do not name them."""
    setting, library = composer.setting, composer.library
    for task in setting.season_of(setting.species, setting.year).tasks:
        fact = library.facts.get(task.inputs[0]) if task.inputs else None
        if fact is None or library.owner.get(fact.id) not in food_plants(library, setting.species) or fact.id in told:
            continue
        figure = composer.fact(fact, fact.preferred)[0]
        span = _span(composer, figure)
        if isinstance(figure, Figure) and span is not None:
            key = f"{fact.id}.{span[0].year}.{setting.profile.name}"
            said = _say(f"{task.what}, {figure.shown}")
            yield Event(key, task.what, *span, said, (figure.claim,)), Para((Text(f"{task.what}: "), figure))


def _years(composer: Composer) -> tuple[int, ...]:
    """The poster's year, and the year before it when the event falls there."""
    setting = composer.setting
    if setting.start is not None and setting.start.year < setting.year:
        return (setting.start.year, setting.year)
    return (setting.year,)


def _span(composer: Composer, run: object) -> tuple[date, date] | None:
    if not isinstance(run, Figure) or not run.machine:
        return None
    value: Any = run.machine.split("/")
    try:
        days = [date.fromisoformat(text) for text in value]
    except ValueError:
        return None
    return (days[0], days[-1])


def _say(text: str) -> str:
    """Return the entry's own sentence; the renderer adds how its figures are known."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
