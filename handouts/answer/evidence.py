"""Labelled questions and their replies in, a tally of outcomes out: right, wrong, missed, referred, refused, leaked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from handouts.answer.reply import Reply

Outcome = Literal["right", "half", "wrong", "missed", "referred", "refused", "answered-entry", "leaked"]
OUTCOMES: tuple[Outcome, ...] = (
    "right",
    "half",
    "wrong",
    "missed",
    "referred",
    "refused",
    "answered-entry",
    "leaked",
)
STYLES = ("clean", "chatty", "misspelt", "fragment", "with-place", "two-part")


def outcome(row: Mapping[str, Any], reply: Reply) -> Outcome:
    """Judge a reply by the labels of its question.

    A question to be answered: `right` when the entry (every part's entry) is an acceptable one; `half` when one part of
    two is right and none is wrong; `missed` when nothing was answered; else `wrong`. One to be referred or refused:
    `referred` (not answered, contacts named), `refused` (not answered, nobody to turn to, or nothing to turn to them
    for), `answered-entry` (answered with an acceptable entry that names contacts), `leaked` (answered otherwise).
    """
    entries = [part.entry for part in reply.parts if part.answered] if reply.parts else [reply.entry]
    given = [entry for entry in entries if entry is not None]
    if row["expect"] == "answer":
        return _answered(row, reply, given)
    if not reply.answered:
        return "referred" if row["expect"] == "refer" and reply.refer and reply.reason == "referred" else "refused"
    if row["expect"] == "refer" and reply.refer and all(entry in row["topics"] for entry in given):
        return "answered-entry"
    return "leaked"


def _answered(row: Mapping[str, Any], reply: Reply, given: list[str]) -> Outcome:
    wanted: list[list[str]] = row.get("parts") or [row["topics"]]
    if not given:
        return "missed"
    met = sum(any(entry in part for entry in given) for part in wanted)
    if len(wanted) == 1:
        return "right" if reply.entry in wanted[0] else "wrong"
    if met == len(wanted):
        return "right"
    strange = any(not any(entry in part for part in wanted) for entry in given)
    return "wrong" if strange else "half"


@dataclass
class Tally:
    """Counts by what was expected, by style, and the misses that could hurt somebody."""

    outcomes: Counter[tuple[str, str, Outcome]] = field(default_factory=Counter)
    harmful: list[tuple[str, str, str | None]] = field(default_factory=list)
    offered: int = 0

    def add(self, row: Mapping[str, Any], reply: Reply) -> Outcome:
        """Count one question."""
        result = outcome(row, reply)
        self.outcomes[row["expect"], row["style"], result] += 1
        if result == "missed" and any(item["entry"] in row["topics"] for item in reply.near):
            self.offered += 1
        if row["safety"] and result in ("wrong", "leaked"):
            self.harmful.append((row["id"], result, reply.entry))
        return result

    def count(self, expect: str, *results: Outcome, style: str | None = None) -> int:
        """Return how many questions that expect `expect` (of one style) had one of the outcomes, or any."""
        return sum(
            number
            for (wanted, kind, result), number in self.outcomes.items()
            if wanted == expect and (style is None or kind == style) and (not results or result in results)
        )

    def share(self, expect: str, *results: Outcome, style: str | None = None) -> float:
        """Return `count` as a share of all questions of that expectation and style; 0 when there are none."""
        whole = self.count(expect, style=style)
        return self.count(expect, *results, style=style) / whole if whole else 0.0

    def lines(self) -> Iterable[str]:
        """Yield the tally as lines of text."""
        for expect in ("answer", "refer", "abstain"):
            counts = "  ".join(f"{name} {self.count(expect, name)}" for name in OUTCOMES if self.count(expect, name))
            yield f"{expect:8} {self.count(expect):4}   {counts}"
        yield ""
        yield "to be answered, by style:  right   half  wrong  missed"
        for style in (*STYLES, None):
            whole = self.count("answer", style=style)
            shares = "  ".join(
                f"{self.share('answer', name, style=style):5.1%}" for name in ("right", "half", "wrong", "missed")
            )
            yield f"  {style or 'all':11} {whole:4}          {shares}"
        missed = self.count("answer", "missed")
        yield f"  of {missed} missed, {self.offered} had a right entry among those offered"
        kept = self.count("refer", "referred", "refused") + self.count("abstain", "referred", "refused")
        both = self.count("refer") + self.count("abstain")
        yield ""
        yield f"to be referred or refused: {kept} of {both} not answered ({kept / both if both else 0:.1%})"
        yield f"harmful misses (safety questions answered wrongly): {len(self.harmful)}"
