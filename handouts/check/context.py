"""What a rule may look at: the library, today's date, and where a text stands in its file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

from handouts.model.facts import Fact
from handouts.model.finding import Finding, Level
from handouts.model.library import Library


@dataclass(frozen=True)
class Said:
    """One text of the content: where it stands and what it says."""

    file: Path
    key: str
    text: str
    owner: str
    kind: str

    def line(self, needle: str | None = None) -> int | None:
        """The line on which the text (or `needle` within it) stands."""
        return line_with(self.file, needle or self.text)


@dataclass
class Context:
    """The library, the day the findings are made for, and helpers to point at a line."""

    library: Library
    today: date

    def finding(
        self,
        rule: str,
        *,
        level: Level = "error",
        file: Path | None = None,
        line: int | None = None,
        key: str | None = None,
        expected: str | None = None,
        found: str | None = None,
        remedy: str | None = None,
    ) -> Finding:
        """Make a finding with a path relative to the working folder where that is shorter."""
        return Finding(level, rule, _short(file), line, key, expected, found, remedy)

    def of_fact(self, rule: str, fact: Fact, **words: object) -> Finding:
        """Make a finding that points at a fact."""
        return self.finding(rule, file=fact.origin, line=fact.line, key=fact.id, **words)  # type: ignore[arg-type]

    def texts(self) -> Iterator[Said]:
        """Yield every text that reaches a reader: plans and their prose, answers, cautions, labels and notes."""
        yield from _plan_texts(self.library)
        for entry in self.library.entries.values():
            if entry.origin:
                for key in ("question", "brief", "standard", "spoken"):
                    yield Said(entry.origin, key, getattr(entry, key), entry.id, "faq")
        for caution in self.library.cautions.values():
            if caution.origin:
                for key in ("name", "short", "full"):
                    yield Said(caution.origin, key, getattr(caution, key), caution.id, "caution")
        for subject in self.library.subjects.values():
            if subject.origin and subject.summary:
                yield Said(subject.origin, "summary", subject.summary, subject.id, "subject")
        for fact in self.library.facts.values():
            if fact.origin:
                yield Said(fact.origin, "label", fact.label, fact.id, "label")
                if fact.note:
                    yield Said(fact.origin, "note", fact.note, fact.id, "label")


def _plan_texts(library: Library) -> Iterator[Said]:
    for plan in library.plans.values():
        if plan.origin is None:
            continue
        single = {"title": plan.title, "audience": plan.audience, "main_message": plan.main_message}
        for key, text in single.items():
            yield Said(plan.origin, key, text, plan.id, "plan")
        many = {
            "do_this": plan.do_this,
            "not_known": plan.not_known,
            "bench": plan.bench,
            "objectives": plan.talk.objectives,
            "evaluation": plan.talk.evaluation,
        }
        for key, lines in many.items():
            for text in lines:
                yield Said(plan.origin, key, text, plan.id, "plan")
        for task in plan.table:
            yield Said(plan.origin, "do", task.do, plan.id, "plan")
            yield Said(plan.origin, "when", task.when, plan.id, "plan")
        for part in plan.talk.parts:
            for text in (part.title, *part.say, *part.show, *part.do):
                yield Said(plan.origin, "talk", text, plan.id, "plan")
        for material in plan.talk.materials:
            yield Said(plan.origin, "materials", material.item, plan.id, "plan")
        if plan.prose:
            yield Said(plan.origin.with_suffix(".md"), "prose", plan.prose, plan.id, "plan")


@lru_cache(maxsize=2048)
def _lines(path: Path) -> tuple[str, ...]:
    try:
        return tuple(path.read_text(encoding="utf-8", errors="replace").splitlines())
    except OSError:
        return ()


def line_with(path: Path, needle: str) -> int | None:
    """Return the first line of a file that holds `needle`, or the first words of it (folded texts break lines)."""
    lines = _lines(path)
    for tries in (needle, " ".join(needle.split()[:5]), " ".join(needle.split()[:2])):
        for number, text in enumerate(lines, 1):
            if tries and tries in text:
                return number
    return None


def _short(path: Path | None) -> Path | None:
    if path is None:
        return None
    try:
        return path.resolve().relative_to(Path.cwd())
    except ValueError:
        return path
