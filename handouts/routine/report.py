"""The log of questions in, a report out: most asked, not answered, misleading entries, what to make next."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handouts.answer.base import Base
from handouts.errors import BadInput
from handouts.routine.log import FOLDER, Logged, log_folder, read_log

MOST, EXAMPLES = 10, 3
# an entry misleads when a person changed or skipped at least so many of its drafts, and this share of those looked at
MISLED_LEAST, MISLED_SHARE = 2, 0.3
EXAMPLE_LENGTH = 120


@dataclass
class Gap:
    """Questions without an answer that lie nearest the same entry (None: near none), with a few of their words."""

    near: str | None
    count: int = 0
    reasons: Counter[str] = field(default_factory=Counter)
    examples: list[str] = field(default_factory=list)

    def add(self, row: Logged) -> None:
        """Count a question."""
        self.count += 1
        self.reasons[row.reason or "skipped"] += 1
        if len(self.examples) < EXAMPLES and row.text not in self.examples:
            self.examples.append(row.text)


@dataclass
class Report:
    """The counts of a log. An entry counts once a question, also where it was only one of several parts."""

    questions: int = 0
    answered: int = 0
    first: str = ""
    last: str = ""
    asked: Counter[str] = field(default_factory=Counter)
    gaps: dict[str | None, Gap] = field(default_factory=dict)
    reviewed: Counter[str] = field(default_factory=Counter)
    skipped: Counter[str] = field(default_factory=Counter)
    edited: Counter[str] = field(default_factory=Counter)
    replaced: Counter[str] = field(default_factory=Counter)

    def add(self, row: Logged) -> None:
        """Count one row of the log."""
        self.questions += 1
        self.first = min(self.first or row.date, row.date)
        self.last = max(self.last, row.date)
        self.answered += row.answered
        self.asked.update(set(row.entries))
        if not row.answered:
            near = next(iter((*row.near, *row.drafted)), None)
            self.gaps.setdefault(near, Gap(near)).add(row)
        if not row.decision:
            return
        for name in set(row.drafted):
            self.reviewed[name] += 1
            if row.decision == "skip":
                self.skipped[name] += 1
            elif name not in row.entries:
                self.replaced[name] += 1
            elif row.edited:
                self.edited[name] += 1

    def misleading(self) -> list[str]:
        """Return the entries whose drafts a person often changed, replaced or skipped, worst first."""
        bad = self.skipped + self.edited + self.replaced
        found = [
            name for name, count in bad.items() if count >= MISLED_LEAST and count >= MISLED_SHARE * self.reviewed[name]
        ]
        return sorted(found, key=lambda name: (-bad[name], -bad[name] / self.reviewed[name], name))


def make_report(club: Path | None, base: Base) -> Report:
    """Read the club's log. Raises BadInput when there is none."""
    folder = log_folder(club)
    if folder is None:
        raise BadInput(
            "there is no log of questions",
            file=club / FOLDER if club else None,
            expected=f"a club's folder that holds the folder {FOLDER}",
            remedy=f"Make the folder {FOLDER} beside club.yml; from then on questions are noted there.",
        )
    report = Report()
    for row in read_log(folder):
        report.add(row)
    return report


def _ranked(counts: Counter[str]) -> list[tuple[str, int]]:
    return sorted(counts.items(), key=lambda item: (-item[1], item[0]))


def wanted(report: Report, base: Base) -> list[dict[str, Any]]:
    """Return what the next video or handout should cover: the most asked entries that neither shows yet.

    An entry counts for what was answered with it and for the questions that came near it and had no answer.
    """
    weights = report.asked + Counter({gap.near: gap.count for gap in report.gaps.values() if gap.near})
    handed = {name for plan in base.library.plans.values() for name in plan.faq}
    found = []
    for name, count in _ranked(weights):
        entry = base.library.entries.get(name)
        if entry is None:
            continue
        lacks = [kind for kind, has in (("video", name in base.shown), ("handout", name in handed)) if not has]
        if lacks:
            found.append({"entry": name, "question": entry.question, "count": count, "lacks": lacks})
    return found[:MOST]


def as_json(report: Report, base: Base) -> dict[str, Any]:
    """Return the report as plain data."""
    titles = {name: entry.question for name, entry in base.library.entries.items()}
    gaps = sorted(report.gaps.values(), key=lambda gap: (-gap.count, gap.near or ""))
    return {
        "questions": report.questions,
        "answered": report.answered,
        "first": report.first or None,
        "last": report.last or None,
        "asked_most": [
            {"entry": name, "question": titles.get(name), "count": count}
            for name, count in _ranked(report.asked)[:MOST]
        ],
        "no_answer": [
            {
                "near": gap.near,
                "question": titles.get(gap.near or ""),
                "count": gap.count,
                "reasons": dict(sorted(gap.reasons.items())),
                "examples": gap.examples,
            }
            for gap in gaps[:MOST]
        ],
        "misleading": [
            {
                "entry": name,
                "question": titles.get(name),
                "drafts": report.reviewed[name],
                "edited": report.edited[name],
                "replaced": report.replaced[name],
                "skipped": report.skipped[name],
            }
            for name in report.misleading()[:MOST]
        ],
        "make_next": wanted(report, base),
    }


def page(report: Report, base: Base) -> str:
    """Return the report as a page of text."""
    data = as_json(report, base)
    if not report.questions:
        return "No question is noted yet."
    share = round(100 * report.answered / report.questions)
    span = report.first if report.first == report.last else f"{report.first} to {report.last}"
    lines = [f"{report.questions} questions ({span}), {report.answered} answered ({share} %)"]
    lines += _part("Asked most", [f"  {item['count']:4}  {_title(item)}" for item in data["asked_most"]])
    gaps: list[str] = []
    for gap in data["no_answer"]:
        reasons = ", ".join(f"{name} {count}" for name, count in gap["reasons"].items())
        gaps.append(f"  {gap['count']:4}  {_title(gap) if gap['near'] else 'near no entry'} ({reasons})")
        gaps.extend(f"          - {text[:EXAMPLE_LENGTH]}" for text in gap["examples"])
    lines += _part("Had no answer (by the entry they came nearest)", gaps)
    misled = []
    for item in data["misleading"]:
        done = ", ".join(f"{item[what]} {what}" for what in ("edited", "replaced", "skipped"))
        misled.append(f"        {_title(item)}: of {item['drafts']} drafts {done}")
    lines += _part("Entries that mislead (drafts that a person changed, replaced or skipped)", misled)
    wishes = [f"  {item['count']:4}  {_title(item)}: no {', no '.join(item['lacks'])}" for item in data["make_next"]]
    lines += _part("Make next (much asked, and nothing of yours shows it)", wishes)
    return "\n".join(lines)


def _title(item: dict[str, Any]) -> str:
    name = item["entry"] if "entry" in item else item["near"]
    return f"{item['question']} [{name}]" if item["question"] else str(name)


def _part(head: str, lines: list[str]) -> list[str]:
    return ["", head, *(lines or ["        none"])]
