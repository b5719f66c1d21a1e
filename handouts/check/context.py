"""What a rule may look at: the library, today's date, and where a text stands in its file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path

from handouts.model.facts import Fact, Statement
from handouts.model.finding import Finding, Level
from handouts.model.library import Library
from handouts.model.records import Plan

_MARKS = "\"'\u2019[]{},"


@dataclass(frozen=True)
class Said:
    """One text of the content: where it stands and what it says."""

    file: Path
    key: str
    text: str
    owner: str
    kind: str
    start: int = 1

    def line(self, needle: str | None = None) -> int | None:
        """The line on which the text (or `needle` within it) stands, else that of its record, `start`."""
        return line_within(self.file, self.text, needle, self.start) or self.start


class Context:
    """The library, the day the findings are made for, and helpers to point at a line."""

    def __init__(self, library: Library, today: date) -> None:
        self.library = library
        self.today = today

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

    def of_statement(self, rule: str, fact: Fact, statement: Statement, **words: object) -> Finding:
        """Make a finding that points at one statement of a fact."""
        return self.finding(rule, file=statement.origin, line=statement.line, key=fact.id, **words)  # type: ignore[arg-type]

    def kind_of(self, fact: str) -> str:
        """Return the kind of subject a fact belongs to ("species", …), or "" for one of a plan or an answer."""
        owner = self.library.owner.get(fact, "")
        return self.library.subjects[owner].kind if owner in self.library.subjects else ""

    def of_club(self, file: Path | None) -> bool:
        """Whether a record was read from the club's folder."""
        root = self.library.club_root
        return root is not None and file is not None and root in file.parents

    def line_after(self, file: Path | None, line: int, needle: str) -> int:
        """Return the first line from `line` on that holds `needle`, else `line`."""
        for number, text in enumerate(_lines(file) if file else (), 1):
            if number >= line and needle in text:
                return number
        return line

    @cached_property
    def latest(self) -> date:
        """The last day that may have been: today, or the day of most reviews where the computer's clock lags."""
        days = sorted(subject.reviewed for subject in self.library.subjects.values())
        return max(self.today, days[len(days) * 9 // 10]) if days else self.today

    @cached_property
    def said(self) -> tuple[Said, ...]:
        """Every text that reaches a reader: plans and their prose, answers, cautions, labels, notes, conditions."""
        return tuple(_texts(self.library))

    def texts(self) -> Iterator[Said]:
        """Yield every text that reaches a reader."""
        yield from self.said


def _texts(library: Library) -> Iterator[Said]:
    yield from _plan_texts(library)
    yield from _form_texts(library)
    for entry in library.entries.values():
        if entry.origin:
            for key in ("question", "brief", "standard", "spoken"):
                yield Said(entry.origin, key, getattr(entry, key), entry.id, "faq")
    for caution in library.cautions.values():
        if caution.origin:
            for key in ("name", "short", "full"):
                yield Said(caution.origin, key, getattr(caution, key), caution.id, "caution")
    for subject in library.subjects.values():
        if subject.origin and subject.summary:
            yield Said(subject.origin, "summary", subject.summary, subject.id, "subject")
    for fact in library.facts.values():
        if fact.origin:
            yield Said(fact.origin, "label", fact.label, fact.id, "label", fact.line)
            if fact.note:
                yield Said(fact.origin, "note", fact.note, fact.id, "label", fact.line)
            for statement in fact.says:
                for key, text in (("conditions", statement.conditions), ("why", statement.why)):
                    if text:
                        yield Said(fact.origin, key, text, fact.id, "label", statement.line)


def _form_texts(library: Library) -> Iterator[Said]:
    """The words of forms. A fact of "the species" is that of any species which has it; names without a dot are put in
    by the form, and values of a page by the page.
    """
    words = library.words
    kinds = [subject.id for subject in library.subjects.values() if subject.kind == "species"]

    def named(match: re.Match[str]) -> str:
        owner, _, rest = match.group(1).partition(".")
        if not rest or owner == "out":
            return "it"
        held = next((kind for kind in kinds if f"{kind}.{rest}" in library.facts), owner)
        return f"{{{held if owner == 'species' else owner}.{rest}}}"

    for kind, form in (words.forms if words is not None else {}).items():
        if words is None or words.origin is None:
            continue
        single = {"title": form.title, "lead": form.lead, **form.columns, **form.boxes, **form.says}
        many = [(key, text) for key, lines in form.lists.items() for text in lines]
        for key, text in (*single.items(), *many):
            yield Said(words.origin, key, re.sub(r"\{([^{}\s]+)\}", named, text), kind, "form", form.line or 1)


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
            "objectives": plan.talk.objectives,
            "evaluation": plan.talk.evaluation,
        }
        for key, lines in many.items():
            for text in lines:
                yield Said(plan.origin, key, text, plan.id, "plan")
        for task in plan.table:
            yield Said(plan.origin, "do", task.do, plan.id, "plan")
            yield Said(plan.origin, "when", task.when, plan.id, "plan")
            if task.short:
                yield Said(plan.origin, "short", task.short, plan.id, "plan")
        for part in plan.talk.parts:
            for text in (part.title, *part.say, *part.show, *part.do):
                yield Said(plan.origin, "talk", text, plan.id, "plan")
        for material in plan.talk.materials:
            yield Said(plan.origin, "materials", material.item, plan.id, "plan")
        for key, text in _extra_texts(plan):
            yield Said(plan.origin, key, text, plan.id, "plan")
        if plan.prose:
            yield Said(plan.origin.with_suffix(".md"), "prose", plan.prose, plan.id, "plan")


def _extra_texts(plan: Plan) -> Iterator[tuple[str, str]]:
    """The texts of a plan that single kinds of documents are made from, each with its key."""
    for step in plan.bench:
        yield "bench", step.do
        if step.time:
            yield "when", step.time
    if plan.children is not None:
        told = plan.children
        lists = (told.do_this, told.draw, told.count, told.wonder, told.grown_ups)
        for text in (told.title, told.message, *(line for lines in lists for line in lines)):
            yield "children", text
    if plan.video is not None:
        shown = plan.video
        yield "when", shown.pace
        for text in (shown.title, shown.description, shown.comment):
            yield "video", text
        for scene in shown.scenes:
            for text in (scene.title, *scene.say, *scene.screen, *scene.show):
                yield "video", text


def stamp(path: Path) -> int:
    """Return when a file was last written, so that what is remembered of it is forgotten when it changes."""
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _lines(path: Path) -> tuple[str, ...]:
    return _read(path, stamp(path))


@lru_cache(maxsize=2048)
def _read(path: Path, _stamp: int) -> tuple[str, ...]:
    try:
        return tuple(path.read_text(encoding="utf-8", errors="replace").splitlines())
    except OSError:
        return ()


def _words(path: Path) -> tuple[tuple[str, int], ...]:
    """The words of a file without YAML's own marks around them, each with its line."""
    return _split(path, stamp(path))


@lru_cache(maxsize=2048)
def _split(path: Path, at: int) -> tuple[tuple[str, int], ...]:
    lines = enumerate(_read(path, at), 1)
    return tuple((_bare(word), number) for number, text in lines for word in text.split() if _bare(word))


def _bare(word: str) -> str:
    return word.replace("''", "'").strip(_MARKS)


def line_within(path: Path, text: str, needle: str | None = None, start: int = 1) -> int | None:
    """Return the line of a text in its file (folded texts break lines), or of `needle` within that text."""
    own = [bare for word in text.split() if (bare := _bare(word))]
    words = _words(path)
    begins = (i for i, (word, line) in enumerate(words) if own and line >= start and word == own[0])
    at = next((i for i in begins if _run(words, i, own)), None)
    if at is None:
        return line_with(path, needle or text)
    if needle is None:
        return words[at][1]
    before = [bare for word in text[: max(0, text.find(needle))].split() if (bare := _bare(word))]
    ahead = len(before) - (1 if before and not re.search(r"\s$", text[: text.find(needle)]) else 0)
    return words[min(at + max(0, ahead), len(words) - 1)][1]


def _run(words: tuple[tuple[str, int], ...], at: int, own: list[str]) -> bool:
    return [word for word, _ in words[at : at + len(own)]] == own


def line_with(path: Path, needle: str) -> int | None:
    """Return the first line of a file that holds `needle`, or the first words of it (folded texts break lines)."""
    lines = _lines(path)
    for tries in (needle, " ".join(needle.split()[:5]), " ".join(needle.split()[:2])):
        for number, text in enumerate(lines, 1):
            if tries and tries in text:
                return number
    return None


def line_of_item(path: Path | None, item: str, *, under: str = "") -> int | None:
    """Return the line on which `item` stands as a word of its own, after the key `under`, or None."""
    if path is None:
        return None
    word = re.compile(rf"(?<![\w.-]){re.escape(item)}(?![\w.-])", re.IGNORECASE)
    open_key = not under
    for number, text in enumerate(_lines(path), 1):
        open_key = open_key or text.startswith(f"{under}:")
        if open_key and word.search(text):
            return number
    return None


def _short(path: Path | None) -> Path | None:
    if path is None:
        return None
    try:
        return path.resolve().relative_to(Path.cwd())
    except ValueError:
        return path
