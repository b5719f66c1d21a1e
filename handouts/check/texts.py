"""Rules about the words that reach a reader."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handouts.check.context import Context, Said
from handouts.compose.prose import NAME
from handouts.model.finding import Finding
from handouts.model.numerals import typed_figures

_MODIFIERS = ("low", "high", "bare")
_PLACE = ("place.name", "place.zone", "place.last-freeze", "place.first-freeze")
SENTENCE_WORDS = 25
BRIEF_WORDS, BRIEF_WITH_CAUTION = 60, 90


def names_in(text: str) -> list[str]:
    """Return the names in braces of a text, with their modifiers."""
    return NAME.findall(text)


def typed_numeral(context: Context) -> Iterator[Finding]:
    """Figures enter by name: no digit, and no number word before a unit, is typed."""
    for said in context.texts():
        for figure in typed_figures(said.text):
            line = said.line()
            if said.key == "prose":
                line = said.text.count("\n", 0, figure.at) + 1
            yield context.finding(
                "typed-figure",
                file=said.file,
                line=line or said.line(figure.text),
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
                    file=said.file,
                    line=said.line("{" + name + "}"),
                    key=f"{said.owner}: {said.key}",
                    found="{" + name + "}",
                    expected="the id of a fact, season.WINDOW or place.VALUE",
                )
        for stray in re.findall(r"[{}]", NAME.sub("", said.text)):
            yield context.finding(
                "unknown-name",
                file=said.file,
                line=said.line(stray),
                key=f"{said.owner}: {said.key}",
                found=f"a stray {stray}",
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


def forbidden_claim(context: Context) -> Iterator[Finding]:
    """No text claims what is dangerous or not ours to say."""
    from handouts.inspect.forbidden import forbidden_in

    for said in context.texts():
        for rule, found, reason in forbidden_in(NAME.sub("\u2026", said.text)):
            yield context.finding(
                "forbidden-claim",
                file=said.file,
                line=said.line(),
                key=f"{said.owner}: {rule}",
                found=found,
                remedy=reason,
            )


def opening_name(context: Context) -> Iterator[Finding]:
    """A name never opens a sentence, since its phrase starts with a small letter."""
    for said in context.texts():
        if said.key in ("when", "label"):
            continue
        if re.search(r"(?:^|[.!?]\s+|\n\s*[-*]\s+)\{", said.text) and said.kind in ("plan", "faq", "caution"):
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
                line=entry.line,
                key=f"{entry.id}: brief",
                found=f"{words} words",
                expected=f"at most {most}",
            )
        for key in ("brief", "standard", "spoken"):
            yield from _long_sentences(context, Said(entry.origin, key, getattr(entry, key), entry.id, "faq"))  # type: ignore[arg-type]


def _long_sentences(context: Context, said: Said) -> Iterator[Finding]:
    for sentence in re.split(r"(?<=[.!?])\s+|\n+(?=[-*\d])|\n\n", NAME.sub("figure", said.text)):
        count = len(sentence.split())
        if count > SENTENCE_WORDS:
            yield context.finding(
                "answer-length",
                file=said.file,
                line=said.line(" ".join(sentence.split()[:4])),
                key=f"{said.owner}: {said.key}",
                found=f"a sentence of {count} words",
                expected=f"at most {SENTENCE_WORDS}",
            )


def reading_grade(context: Context) -> Iterator[Finding]:
    """An answer reads at grade 8 or below over its three lengths together."""
    from handouts.reading import grade_of

    names = [
        name
        for subject in context.library.subjects.values()
        for name in (subject.names.common, subject.names.plural, subject.names.scientific)
        if name
    ]
    for entry in context.library.entries.values():
        parts = [
            NAME.sub("some days", part)
            for text in (entry.brief, entry.standard, entry.spoken)
            for part in text.split("\n\n")
        ]
        grade = grade_of(parts, names)
        if grade is not None and grade > 8.0:
            yield context.finding(
                "reading-grade",
                file=entry.origin,
                line=entry.line,
                key=entry.id,
                found=f"grade {grade:.1f}",
                expected="8 or below",
            )
