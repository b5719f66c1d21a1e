"""Rules about the words that reach a reader."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path

from handouts.check.context import Context, Said, line_within
from handouts.compose.prose import NAME
from handouts.model.finding import Finding
from handouts.model.library import Library
from handouts.model.numerals import Figure, typed_figures

_MARKUP = re.compile(r"</?[A-Za-z!][^<>]*>|!?\[[^\]]*\]\([^)]*\)|https?://\S+|www\.\S+|`|^\s*(?:\||>)", re.MULTILINE)
_MODIFIERS = ("low", "high", "bare")
_PLACE = ("place.name", "place.zone", "place.last-freeze", "place.first-freeze")
SENTENCE_WORDS = 25
BRIEF_WORDS, BRIEF_WITH_CAUTION = 60, 90


@lru_cache(maxsize=20_000)
def names_in(text: str) -> tuple[str, ...]:
    """Return the names in braces of a text, with their modifiers."""
    return tuple(NAME.findall(text))


@lru_cache(maxsize=20_000)
def _typed(text: str) -> tuple[Figure, ...]:
    return tuple(typed_figures(text))


def typed_numeral(context: Context) -> Iterator[Finding]:
    """Figures enter by name: no digit, and no number word before a unit, is typed."""
    for said in context.texts():
        for figure in _typed(said.text):
            yield context.finding(
                "typed-figure",
                file=said.file,
                line=said.line(figure.text),
                key=f"{said.owner}: {said.key}",
                found=figure.text,
                expected="the name of a fact in braces",
                remedy="Name a fact, or put a one-off figure in `values:` with its basis.",
            )


def unknown_name(context: Context) -> Iterator[Finding]:
    """Every name in braces stands for a fact, a season window or a place value."""
    library = context.library
    windows = set(library.words.windows) if library.words else set()
    for said in context.texts():
        for name in names_in(said.text):
            path, _, modifier = name.partition("|")
            parts = path.split(".")
            known = (
                path in library.facts
                or path in _PLACE
                or (parts[0] == "season" and parts[-1] in windows and (len(parts) == 2 or parts[1] in library.subjects))
            )
            if not known or (modifier and modifier not in _MODIFIERS):
                yield context.finding(
                    "unknown-name",
                    file=_replaced(library, path) or said.file,
                    line=1 if _replaced(library, path) else said.line("{" + name + "}"),
                    key=f"{said.owner}: {said.key}",
                    found="{" + name + "}",
                    expected="the id of a fact, season.WINDOW or place.VALUE",
                )
            elif modifier and not _has_modifier(library, path, modifier):
                yield context.finding(
                    "unknown-name",
                    file=said.file,
                    line=said.line("{" + name + "}"),
                    key=f"{said.owner}: {said.key}",
                    found="{" + name + "}",
                    expected=f"a value with a {modifier} end" if modifier != "bare" else "a number or a time",
                )
        if said.text.count("{") == said.text.count("}") == len(names_in(said.text)):
            continue
        blank = NAME.sub(lambda match: " " * len(match.group()), said.text)
        for stray in re.finditer(r"[{}]", blank):
            yield context.finding(
                "unknown-name",
                file=said.file,
                line=said.line(said.text[stray.start() : stray.start() + 40]),
                key=f"{said.owner}: {said.key}",
                found=f"a stray {stray.group()}",
            )


def _replaced(library: Library, path: str) -> Path | None:
    """The file of the club's subject that took the place of the one that had the fact, if that is what happened."""
    owner = library.subjects.get(path.partition(".")[0])
    return owner.origin if owner is not None and owner.id in library.replaced else None


def _has_modifier(library: Library, path: str, modifier: str) -> bool:
    """Whether a modifier fits what the name stands for: an end that is there, a number or a time."""
    fact = library.facts.get(path)
    if fact is None:
        return False
    said = fact.preferred
    if said.span is not None:
        low, high = said.span.ends
        return modifier == "bare" or (low if modifier == "low" else high) is not None
    return said.time is not None


@lru_cache(maxsize=20_000)
def _markup(text: str) -> str | None:
    match = _MARKUP.search(text)
    return match.group() if match else None


def markup(context: Context) -> Iterator[Finding]:
    """Prose has no HTML, links, pictures, code or headings of its own making: paragraphs, lists and emphasis only."""
    for said in context.texts():
        found = _markup(said.text)
        if found:
            yield context.finding(
                "markup",
                file=said.file,
                line=said.line(found.split()[0]),
                key=f"{said.owner}: {said.key}",
                found=found,
                expected="plain Markdown without HTML, links, pictures or code",
            )


def memory_reachable(context: Context) -> Iterator[Finding]:
    """No text names a fact whose preferred statement is known from memory, nor one derived from such a fact."""
    facts = context.library.facts
    for said in context.texts():
        for name in names_in(said.text):
            fact = facts.get(name.partition("|")[0])
            if fact is None:
                continue
            todo, seen = [fact.id], set()
            while todo:
                one = todo.pop()
                if one in seen or one not in facts:
                    continue
                seen.add(one)
                if facts[one].preferred.basis.kind == "memory":
                    yield context.finding(
                        "memory-reachable",
                        file=said.file,
                        line=said.line("{" + name),
                        key=f"{said.owner}: {said.key}",
                        found=f"{name} rests on memory ({one})",
                        expected="a fact with a public basis",
                    )
                todo.extend(getattr(facts[one].preferred.basis, "parents", []))


@lru_cache(maxsize=20_000)
def _forbidden(text: str, root: Path) -> tuple[tuple[str, str, str], ...]:
    from handouts.inspect.forbidden import forbidden_in

    return tuple(forbidden_in(text, root))


def forbidden_claim(context: Context) -> Iterator[Finding]:
    """No text claims what is dangerous or not ours to say."""
    for said in context.texts():
        for rule, found, reason in _forbidden(NAME.sub("\u2026", said.text), context.library.root):
            yield context.finding(
                "forbidden-claim",
                file=said.file,
                line=said.line(found.partition("\u2026")[0] or None),
                key=f"{said.owner}: {rule}",
                found=found,
                remedy=reason,
            )


def opening_name(context: Context) -> Iterator[Finding]:
    """A name never opens a sentence, since its phrase starts with a small letter."""
    for said in context.texts():
        if said.key == "when" or said.kind not in ("plan", "faq", "caution") or "{" not in said.text:
            continue
        if re.search(r"(?:^|[.!?]\s+|\n\s*[-*]\s+)\{", said.text):
            yield context.finding(
                "name-opens-sentence",
                level="warning",
                file=said.file,
                line=said.line(),
                key=f"{said.owner}: {said.key}",
                remedy="Put a word before it.",
            )


def entry_length(context: Context) -> Iterator[Finding]:
    """Answers keep their lengths: brief ones fit a comment, no sentence runs on."""
    for entry in context.library.entries.values():
        carries = bool(entry.cautions or context.library.classes_of(entry.subjects))
        most = BRIEF_WITH_CAUTION if carries else BRIEF_WORDS
        words = len(entry.brief.split())
        if words > most:
            yield context.finding(
                "answer-length",
                file=entry.origin,
                line=line_within(entry.origin, entry.brief) if entry.origin else None,
                key=f"{entry.id}: brief",
                found=f"{words} words",
                expected=f"at most {most}",
            )
        for key in ("brief", "standard", "spoken"):
            yield from _long_sentences(context, Said(entry.origin, key, getattr(entry, key), entry.id, "faq"))  # type: ignore[arg-type]


@lru_cache(maxsize=2_000)
def _too_long(text: str) -> tuple[tuple[str, int], ...]:
    """The sentences of a text that run on, each by its first words, with their number of words."""
    sentences = re.split(r"(?<=[.!?])\s+|\n+(?=[-*\d])|\n\n", NAME.sub("figure", text))
    counted = ((" ".join(sentence.split()[:4]), len(sentence.split())) for sentence in sentences)
    return tuple((start, count) for start, count in counted if count > SENTENCE_WORDS)


def _long_sentences(context: Context, said: Said) -> Iterator[Finding]:
    for start, count in _too_long(said.text):
        yield context.finding(
            "answer-length",
            file=said.file,
            line=said.line(start),
            key=f"{said.owner}: {said.key}",
            found=f"a sentence of {count} words",
            expected=f"at most {SENTENCE_WORDS}",
        )


@lru_cache(maxsize=4)
def _grades(names: tuple[str, ...]) -> Callable[[tuple[str, ...]], float | None]:
    """The reading grade of a text's parts, with `names` left out; each text is read once."""
    from handouts.reading import grade_of

    return lru_cache(maxsize=1_000)(lambda parts: grade_of(list(parts), list(names)))


def reading_grade(context: Context) -> Iterator[Finding]:
    """An answer reads at grade 8 or below over its three lengths together."""
    names = tuple(
        name
        for subject in context.library.subjects.values()
        for name in (subject.names.common, subject.names.plural, subject.names.scientific)
        if name and subject.kind in ("species", "plants", "substances")
    )
    grade_of = _grades(names)
    for entry in context.library.entries.values():
        parts = tuple(
            NAME.sub("some days", part)
            for text in (entry.brief, entry.standard, entry.spoken)
            for part in text.split("\n\n")
        )
        grade = grade_of(parts)
        if grade is not None and grade > 8.0:
            yield context.finding(
                "reading-grade",
                file=entry.origin,
                line=entry.line,
                key=entry.id,
                found=f"grade {grade:.1f}",
                expected="8 or below",
            )
