"""An event and what was counted at it in, a row for the yearly report and a one-page summary out.

Only sums are read: there is no field for a person's name, and none is kept.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator, model_validator

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.phrase import NBSP, day_words, number
from handouts.compose.setting import Setting
from handouts.editions.words import EditionWords
from handouts.errors import BadInput
from handouts.files import MIB, read_text
from handouts.load.records import read_record
from handouts.model.document import Block, Claim, Document, Items, Para, Run, Runs, Slot, Styled, Table, Text
from handouts.model.event import EventFile
from handouts.model.facts import Day
from handouts.model.library import Library
from handouts.model.located import Located

FILE = "after.yml"
COLUMNS = (
    "date", "event", "place", "topics", "hours", "travel", "preparation", "total_hours", "contacts", "groups",
    "responses", "before_mean", "now_mean", "plan_yes", "plan_maybe", "plan_no",
)  # fmt: skip
SCORES = 5
REPORTS_LIMIT = 16 * MIB
Hours = Annotated[float, Field(ge=0, le=1000)]
Count = Annotated[int, Field(ge=0, le=100_000)]
# Talk notes ask "not, somewhat or very"; other sheets ask "yes, maybe or no".
_INTENTS = {"yes": "yes", "maybe": "maybe", "no": "no", "very": "yes", "somewhat": "maybe", "not": "no"}


class Tally(Located):
    """The answers to one item of the evaluation sheet: how many gave each score before and now, or what they plan.

    `item` is its number among the evaluation items of the event's talks, or its words.
    """

    item: str = Field(min_length=1, max_length=300)
    before: list[Count] | None = None
    now: list[Count] | None = None
    intents: dict[str, Count] | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Tally:
        scores = [row for row in (self.before, self.now) if row is not None]
        if bool(scores) == (self.intents is not None):
            raise ValueError("a tally holds either before and now, or intents")
        if scores and len(scores) != 2:
            raise ValueError("a tally of scores holds both before and now")
        for row in scores:
            if len(row) != SCORES:
                raise ValueError(f"before and now hold {SCORES} counts, for the scores 1 to {SCORES}; found {len(row)}")
        for name in self.intents or {}:
            if name not in _INTENTS:
                raise ValueError(f"{name!r} is no answer; expected yes, maybe, no (or very, somewhat, not)")
        return self

    @property
    def plans(self) -> dict[str, int]:
        """How many plan to, may, and do not."""
        found = dict.fromkeys(("yes", "maybe", "no"), 0)
        for name, count in (self.intents or {}).items():
            found[_INTENTS[name]] += count
        return found

    @property
    def answers(self) -> int:
        """How many answered, before or now, whichever are more."""
        if self.intents is not None:
            return sum(self.intents.values())
        return max(sum(self.before or []), sum(self.now or []))


class After(Located):
    """What was counted: hours, people, groups of people, and the tallies of the evaluation."""

    date: Day | None = None
    hours: Hours | None = None
    travel: Hours | None = None
    preparation: Hours | None = None
    contacts: Count | None = None
    groups: dict[str, Count] = {}
    tallies: list[Tally] = []

    @field_validator("groups")
    @classmethod
    def _agrees(cls, groups: dict[str, int], given: ValidationInfo) -> dict[str, int]:
        contacts, people = given.data.get("contacts"), sum(groups.values())
        if contacts is not None and people > contacts:
            raise ValueError(f"they add up to {people}, more than the {contacts} contacts")
        return groups


@dataclass(frozen=True)
class Report:
    """One event and what came of it."""

    event: EventFile
    place: str
    after: After

    @property
    def total(self) -> float:
        """All volunteer hours."""
        return sum(hours or 0.0 for hours in (self.after.hours, self.after.travel, self.after.preparation))

    @property
    def responses(self) -> int:
        """Evaluation sheets handed in: the most answers to one item."""
        return max((tally.answers for tally in self.after.tallies), default=0)

    def row(self) -> dict[str, str]:
        """The row of the report, a text for each column."""
        after, scored = self.after, [tally for tally in self.after.tallies if tally.before is not None]
        plans = [tally.plans for tally in after.tallies if tally.intents is not None]
        means = {
            "before": mean([tally.before or [] for tally in scored]),
            "now": mean([tally.now or [] for tally in scored]),
        }
        return {
            "date": self.event.date.isoformat(),
            "event": self.event.title,
            "place": self.place,
            "topics": " ".join(self.event.topics),
            "hours": _cell(after.hours),
            "travel": _cell(after.travel),
            "preparation": _cell(after.preparation),
            "total_hours": _cell(self.total),
            "contacts": _cell(after.contacts),
            "groups": "; ".join(f"{name} {count}" for name, count in after.groups.items()),
            "responses": _cell(self.responses if after.tallies else None),
            "before_mean": _mean_cell(means["before"]),
            "now_mean": _mean_cell(means["now"]),
            **{
                f"plan_{name}": _cell(sum(plan[name] for plan in plans) if plans else None)
                for name in ("yes", "maybe", "no")
            },
        }


def _cell(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _mean_cell(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def mean(rows: Sequence[Sequence[int]]) -> float | None:
    """Return the mean score of some counts for the scores 1, 2, …; None when nobody answered."""
    people = sum(sum(row) for row in rows)
    return sum(score * count for row in rows for score, count in enumerate(row, 1)) / people if people else None


# -- reading -----------------------------------------------------------------------------------------------------------


def read_after(path: Path, event: EventFile) -> After:
    """Read what was counted. Raises BadInput or BadContent with file and line; a file of another day is refused."""
    after = read_record(After, path, "report file")
    if after.date is not None and after.date != event.date:
        raise BadInput(
            "the report file is of another event",
            file=path,
            found=str(after.date),
            expected=str(event.date),
            remedy="Correct its date, or name another file with --tallies.",
        )
    return after


def named_items(library: Library, event: EventFile, after: After) -> After:
    """Return what was counted with items given by number named in words. Raises BadInput for a number that is none."""
    items = [line for topic in event.topics for line in library.plan(topic).talk.evaluation]
    tallies, seen = [], set()
    for tally in after.tallies:
        text = tally.item
        if text.isdecimal():
            if not 1 <= int(text) <= len(items):
                raise BadInput(
                    f"there is no evaluation item {text}",
                    file=tally.origin,
                    line=tally.line,
                    expected=f"1 to {len(items)}, as in the talk notes, or the item's words",
                )
            text = items[int(text) - 1]
        if text in seen:
            raise BadInput("an evaluation item is tallied twice", file=tally.origin, line=tally.line, found=text)
        seen.add(text)
        tallies.append(tally.model_copy(update={"item": text}))
    return after.model_copy(update={"tallies": tallies})


# -- the row -----------------------------------------------------------------------------------------------------------


def as_csv(row: dict[str, str], *, head: bool = True) -> str:
    """Return the row as CSV, with its head when wanted; no cell can be taken for a formula."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    if head:
        writer.writeheader()
    writer.writerow(
        {key: f"'{value}" if value.startswith(("=", "+", "-", "@")) else value for key, value in row.items()}
    )
    return text.getvalue()


def appended(path: Path, row: dict[str, str]) -> bytes:
    """Return a file of reports with one more row; what stands in it stays as it is.

    Raises BadInput for other columns, and for an event that is in it already, with the line.
    """
    if not path.exists():
        return as_csv(row).encode()
    text = read_text(path, REPORTS_LIMIT, "file of reports")
    if not text.strip():
        return as_csv(row).encode()
    try:
        reader = csv.reader(io.StringIO(text), strict=True)
        head = next(reader)
        if tuple(head) != COLUMNS:
            raise BadInput(
                "the file of reports has other columns",
                file=path,
                line=1,
                found=",".join(head),
                expected=",".join(COLUMNS),
                remedy="Name another file; a new one gets the right columns.",
            )
        new = next(csv.reader(io.StringIO(as_csv(row, head=False))))
        for cells in reader:
            if cells[:2] == new[:2]:
                raise BadInput(
                    "the event is reported already",
                    file=path,
                    line=reader.line_num,
                    found=", ".join(cells[:2]),
                    remedy="Correct that row in a spreadsheet, or take it out first.",
                )
    except csv.Error as error:
        raise BadInput("the file of reports is no CSV", file=path, found=str(error)) from None
    return (text + ("" if text.endswith("\n") else "\n") + as_csv(row, head=False)).encode()


# -- the page ----------------------------------------------------------------------------------------------------------


def summary(setting: Setting, words: EditionWords, report: Report) -> Document:
    """Compose the one-page summary: hours and people, who came, what people say they know and plan."""
    page = _Page(Composer(setting), words)
    after, event = report.after, report.event
    body: list[Block] = [Para(page.say("report-lead"), "lead"), page.counts(report)]
    scored = [tally for tally in after.tallies if tally.before is not None]
    if scored:
        body.append(page.learned(scored))
    planned = [tally for tally in after.tallies if tally.intents is not None]
    if planned:
        body.append(page.planned(planned))
    cautions = caution_slot(page.composer, tuple(body), [], length="short")
    when = f"{day_words(event.date)},{NBSP}{event.date.year}"
    subtitle = page.composer.const(f"{event.title}. {when}, {report.place}.", "event")
    made = finish(
        page.composer,
        kind="report",
        topic="report",
        title=words.label("report-title"),
        subtitle=subtitle,
        body=tuple(body),
        cautions=cautions,
        with_tail=False,
    )
    line = (Text(f"{setting.library.say('edition')} {made.edition}"),)
    club = setting.library.club
    named: Runs = (Text("; "), *page.composer.const(club.name, "name")) if club else ()
    return replace(made, edition_line=(*line, *named), constants=tuple(page.composer.constants))


class _Page:
    def __init__(self, composer: Composer, words: EditionWords) -> None:
        self.composer = composer
        self.words = words

    def say(self, key: str) -> Runs:
        return self.composer.inline(self.words.sentence(key), self.words.origin)

    def figure(self, name: str, value: float, label: str, shown: str | None = None) -> Runs:
        """A count or a mean; that the club counted it is said once on the page."""
        basis = "derived" if name.endswith(("-mean", ".total")) else "own-observation"
        unit = "1" if isinstance(value, int) else None
        return (
            self.composer.figure(Claim(name, shown or number(value), value, unit, basis, label=label), marked=False),
        )

    def counts(self, report: Report) -> Slot:
        """Hours, people and evaluation sheets, a line each with what makes them up."""
        after, label = report.after, self.words.label
        hours = [("hours", after.hours), ("travel", after.travel), ("preparation", after.preparation)]
        parts: list[tuple[str, str, float]] = [
            (f"report.{name}", label(f"report-{name}"), value) for name, value in hours if value is not None
        ]
        groups = [(f"report.group-{at}", name, count) for at, (name, count) in enumerate(after.groups.items(), 1)]
        lines: list[Runs] = []
        if parts:
            lines.append(self._line("total", report.total, parts if len(parts) > 1 else []))
        if after.contacts is not None or groups:
            people = after.contacts if after.contacts is not None else sum(after.groups.values())
            lines.append(self._line("contacts", people, groups))
        if after.tallies:
            lines.append(self._line("responses", report.responses, []))
        return Slot("report", (Items(tuple(lines), role="plainlist"),), (Text(label("report-counts")),))

    def _line(self, name: str, value: float, parts: Sequence[tuple[str, str, float]]) -> Runs:
        label = self.words.label(f"report-{name}")
        runs: list[Run] = [Styled("strong", (Text(f"{label}: "), *self.figure(f"report.{name}", value, label)))]
        for at, (part, words, count) in enumerate(parts):
            runs.append(Text(" (" if at == 0 else ", "))
            runs.extend((*self.figure(part, count, words), Text(" "), *self.composer.const(words, "name")))
        return (*runs, Text(")." if parts else "."))

    def learned(self, tallies: Sequence[Tally]) -> Slot:
        label = self.words.label
        head = tuple(label(f"report-{name}") for name in ("item", "before", "now", "change", "answers"))
        rows = []
        for at, tally in enumerate(tallies, 1):
            before, now = mean([tally.before or []]), mean([tally.now or []])
            change = None if before is None or now is None else now - before
            cells: list[Runs] = [self._item(tally)]
            for name, value in (("before", before), ("now", now), ("change", change)):
                cells.append(self._mean(f"report.item-{at}.{name}-mean", value, name == "change", tally.item))
            cells.append(self.figure(f"report.item-{at}.answers", tally.answers, tally.item))
            rows.append(tuple(cells))
        title = label("report-learned")
        scale = Para(self.say("report-scale"), "small")
        return Slot("report", (Table(title, head, tuple(rows), "plain"), scale), (Text(title),))

    def _mean(self, name: str, value: float | None, signed: bool, label: str) -> Runs:
        if value is None:
            return (Text(self.words.label("report-none")),)
        rounded = round(value, 1)
        sign = "+" if signed and rounded > 0 else ""
        return self.figure(name, rounded, label, f"{sign}{rounded:.1f}".replace("-", "\u2212"))

    def planned(self, tallies: Sequence[Tally]) -> Slot:
        label = self.words.label
        head = tuple(label(f"report-{name}") for name in ("item", "yes", "maybe", "no"))
        rows = []
        for at, tally in enumerate(tallies, 1):
            cells: list[Runs] = [self._item(tally)]
            for name, count in tally.plans.items():
                cells.append(self.figure(f"report.plan-{at}.{name}", count, tally.item))
            rows.append(tuple(cells))
        title = label("report-plans")
        return Slot("report", (Table(title, head, tuple(rows), "plain"),), (Text(title),))

    def _item(self, tally: Tally) -> Runs:
        """The item's words; that a score was asked for before and now stands over the table."""
        text = re.sub(r"^before and now[:,]?\s+", "", tally.item, flags=re.IGNORECASE)
        return self.composer.const(text[:1].upper() + text[1:], "name")


def to_json(report: Report) -> dict[str, Any]:
    """Return the row and the tallies as plain data."""
    tallies = [
        {
            "item": tally.item,
            "answers": tally.answers,
            "before_mean": mean([tally.before]) if tally.before is not None else None,
            "now_mean": mean([tally.now]) if tally.now is not None else None,
            "intents": tally.plans if tally.intents is not None else None,
        }
        for tally in report.after.tallies
    ]
    return {"row": report.row(), "tallies": tallies}
