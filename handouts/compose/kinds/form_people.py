"""The sheets for the door: an event in, the sign-in sheet and the evaluation out. Neither asks more than it needs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from handouts.compose.composer import Composer
from handouts.compose.kinds.forms import Form
from handouts.compose.phrase import NBSP, day_words
from handouts.model.document import Blank, Block, Document, Para, Run, Runs, Slot, Table, Text
from handouts.model.records import Plan

# Lines of a sign-in sheet, and of each open question of the evaluation.
SIGN_IN_LINES, ANSWER_LINES = 18, 3
SCORES = ("1", "2", "3", "4", "5")


def build_sign_in(composer: Composer, plan: Plan) -> Document:
    """Compose the sign-in sheet: first names, names or no names as the club wishes; boxes for the sums."""
    form, club = Form(composer, "sign-in"), composer.library.club
    asks = club.sign_in if club is not None else "first-names"
    own = club.statements.privacy if club is not None else None
    privacy = composer.const(own, "note") if own else (form.text("privacy"),)
    named = {"first-names": ["first-name"], "names": ["name"], "no-names": []}[asks]
    columns = ["line", *named, "adult", "young", "new"]
    rows = form.open_rows(form.rows(SIGN_IN_LINES, 8), len(columns))
    sums = tuple(form.box(name) for name in ("adults", "young", "all"))
    body: list[Block] = [
        *_event_boxes(form, ("workshop", "day", "place")),
        Para((form.text(asks), Text(" "), *privacy), "privacy"),
        Table(form.words.title, form.head(*columns), rows, f"form sign-in {asks}"),
        Slot("sums", sums, (form.text("count"),)),
    ]
    return form.finished(form.words.title, (*_event(composer), form.lead), body, plan)


def build_evaluation(composer: Composer, plan: Plan) -> Document:
    """Compose the evaluation: what people knew and know, what they will do, and open questions.

    Its items bear the numbers that the report takes the tallies by; what every sheet asks besides bears none.
    """
    form = Form(composer, "evaluation")
    asked = _asked(form, plan)
    know = (*asked.know, *(composer.inline(text) for text in form.words.lists["know"]))
    body: list[Block] = [
        *_event_boxes(form, ("workshop", "day")),
        Slot(
            "know",
            (Para(form.figures("circle", low=SCORES[0], high=SCORES[-1]), "small"), _scores(form, know)),
            (form.text("know"),),
        ),
    ]
    for answers, items in asked.plans.items():
        body.append(Slot("plan", (_ticks(form, answers, items),), (form.text("plan"),)))
    questions = dict.fromkeys([*form.words.lists["open"], *asked.open])
    body.append(Slot("open", tuple(Blank(text, ANSWER_LINES) for text in questions), (form.text("open"),)))
    body.append(Para((form.text("proof"),), "small"))
    return form.finished(form.words.title, (*_event(composer), form.lead), body, plan)


# -- the event ---------------------------------------------------------------------------------------------------------


def _event(composer: Composer) -> Runs:
    """Return title, day and place of the event, nothing without one."""
    event = composer.setting.event
    if not event:
        return ()
    day = date.fromisoformat(str(event["date"]))
    runs: list[Run] = [*composer.const(str(event["title"]), "event"), Text(", ")]
    runs.extend(composer.const(f"{day_words(day)},{NBSP}{day.year}", "event"))
    if composer.setting.profile.name:
        runs.extend((Text(", "), *composer.const(composer.setting.profile.name, "name")))
    return (*runs, Text(". "))


def _event_boxes(form: Form, names: Sequence[str]) -> list[Blank]:
    """Return boxes for what is not known of the event."""
    return [] if form.composer.setting.event else [form.box(name) for name in names]


# -- the items of a plan ----------------------------------------------------------------------------------------------


@dataclass
class _Items:
    """What a plan asks: ratings, plans by their answers, open questions."""

    know: list[Runs] = field(default_factory=list)
    plans: dict[tuple[str, ...], list[Runs]] = field(default_factory=dict)
    open: list[str] = field(default_factory=list)


def _asked(form: Form, plan: Plan) -> _Items:
    """Sort a plan's evaluation items by their words: rated before and now, planned, or open."""
    composer, says, found = form.composer, form.words.says, _Items()
    before, likely = says["before-and-now"], says["likely"]
    for number, item in enumerate(plan.talk.evaluation, _first_number(composer, plan)):
        stem, answers = _answers(item, says["or"])
        if item.lower().startswith(before.lower()):
            found.know.append(_numbered(form, plan, number, item[len(before) :].lstrip(" ,:")))
        elif answers:
            text = stem[len(likely) :].strip() if stem.startswith(likely) else stem
            found.plans.setdefault((likely if text != stem else "", *answers), []).append(
                _numbered(form, plan, number, text, capital=text == stem)
            )
        elif item.endswith("?"):
            found.open.append(item)
        else:
            yes_no = _answers(f": {says['yes-no']}?", says["or"])[1]
            found.plans.setdefault(("", *yes_no), []).append(_numbered(form, plan, number, item))
    return found


def _first_number(composer: Composer, plan: Plan) -> int:
    """The number of the plan's first item: items are counted through all topics of the event."""
    topics = list((composer.setting.event or {}).get("topics") or [plan.id])
    before = topics[: topics.index(plan.id)] if plan.id in topics else []
    return 1 + sum(len(composer.library.plan(name).talk.evaluation) for name in before)


def _answers(item: str, joined_by: str) -> tuple[str, tuple[str, ...]]:
    """Split "How likely are you to wait: not, somewhat or very?" into its stem and its answers."""
    stem, colon, tail = item.rpartition(":")
    parts = tuple(re.split(rf",\s*|\s+{re.escape(joined_by)}\s+", tail.strip().rstrip("?")))
    fits = colon and item.endswith("?") and len(parts) > 1 and all(0 < len(part.split()) <= 2 for part in parts)
    return (stem.strip(), parts) if fits else (item, ())


def _numbered(form: Form, plan: Plan, number: int, text: str, *, capital: bool = True) -> Runs:
    words = text[:1].upper() + text[1:] if capital else text
    return (*form.figure(str(number)), Text(". "), *form.composer.inline(words, plan.origin, plan.talk.line))


def _scores(form: Form, items: Sequence[Runs]) -> Table:
    """The table of ratings: a row of numbers to circle for before, and one for now."""
    marks = tuple(_marks(form))
    rows = tuple((item, marks, marks) for item in items)
    return Table(form.words.says["know"], form.head("item", "before", "now"), rows, "form scores")


def _marks(form: Form) -> Iterator[Run]:
    for at, score in enumerate(SCORES):
        if at:
            yield Text(" ")
        yield from form.figure(score)


def _ticks(form: Form, answers: tuple[str, ...], items: Sequence[Runs]) -> Table:
    """The table of plans: a box to tick under each answer."""
    lead, *heads = answers
    head = (f"{lead} …" if lead else form.words.columns["plan"], *heads)
    rows = tuple((item, *[()] * len(heads)) for item in items)
    return Table(form.words.says["tick"], head, rows, "form ticks")
