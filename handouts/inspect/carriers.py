"""Rules about cautions: whoever is named in a finished file and carries a danger brings its caution along.

The search is written apart from the one that puts the cautions in, so that each finds the other's mistakes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from handouts.inspect.page import BLANK_FORMS, Page, Trouble, squashed
from handouts.inspect.tree import blocks
from handouts.model.facts import Subject
from handouts.model.library import Library

_BINOMIAL = re.compile(r"([A-Z])[a-z]+ ([a-z-]{3,}(?: .+)?)")
_GAP = r"(?:[\s\u00a0\u2009\u202f\u2010\u2011-]+)"
_BRACES = re.compile(r"\{[^{}]*\}")
# A figure that stands for a name in braces: a phrase of some words, a mark, and a name of a relative.
_PHRASE = r"[^\W_]{0,110}?"


@dataclass(frozen=True)
class Names:
    """All names of all subjects as one pattern, and which subjects each spelling belongs to."""

    pattern: re.Pattern[str]
    owners: dict[str, tuple[str, ...]]


def spellings(subject: Subject) -> Iterator[str]:
    """Yield every name a subject is met under: common, plural, scientific, shortened scientific, others."""
    names = subject.names
    for name in (names.common, names.plural, names.scientific, *names.also):
        if not name or len(name.strip()) < 2:
            continue
        yield name.strip()
        if match := _BINOMIAL.fullmatch(name.strip()):
            yield f"{match.group(1)}. {match.group(2)}"


def _key(text: str) -> str:
    """A spelling as it is compared: small letters, no apostrophes, hyphens or stops, one space between words."""
    low = text.lower().replace("'", "").replace("\u2019", "").replace("\u00ad", "").replace(".", "")
    return " ".join(re.split(r"[\s\u2010\u2011-]+", low)).strip()


def _forms(word: str) -> str:
    """The last word of a name with its plurals and possessive."""
    base = re.escape(word).replace("'", "['\u2019]?")
    low = word.lower()
    if low.endswith("y") and low[-2:-1] not in "aeiou":
        return rf"(?:{base}|{re.escape(word[:-1])}ies)(?:['\u2019]s?)?"
    if low.endswith(("f", "fe")):
        return rf"(?:{base}|{re.escape(word.rstrip('e')[:-1])}ves|{base}s)(?:['\u2019]s?)?"
    return rf"{base}(?:es|s)?(?:['\u2019]s?)?"


def _stems(key: str) -> Iterator[str]:
    """The spellings a found text may be a plural or possessive of, nearest first."""
    yield key
    for cut, put in (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f"), ("ves", "fe"), ("ss", "s")):
        if key.endswith(cut):
            yield key[: -len(cut)] + put


@lru_cache(maxsize=8)
def _names(signature: tuple[tuple[str, tuple[str, ...]], ...]) -> Names:
    owners: dict[str, dict[str, None]] = {}
    words: set[str] = set()
    for subject, names in signature:
        for name in names:
            owners.setdefault(_key(name), {})[subject] = None
            words.add(name)
    parts = []
    for name in sorted(words, key=lambda item: (-len(item), item)):
        pieces = re.split(r"[\s-]+", name)
        middle = [re.escape(piece).replace("'", "['\u2019]?") for piece in pieces[:-1]]
        parts.append(_GAP.join((*middle, _forms(pieces[-1]))))
    pattern = re.compile(rf"(?<!\w)(?:{'|'.join(parts)})(?!\w)", re.IGNORECASE) if parts else re.compile(r"(?!)")
    return Names(pattern, {key: tuple(many) for key, many in owners.items()})


def names_of(library: Library) -> Names:
    """Return the names of all subjects, those without a danger too: a longer harmless name hides a shorter one."""
    signature = tuple((subject.id, tuple(spellings(subject))) for subject in library.subjects.values())
    return _names(signature)


def carriers_in(library: Library, text: str) -> dict[str, str]:
    """Return the subjects named in `text` that carry a hazard class, each with the words that name it first."""
    known = names_of(library)
    found: dict[str, str] = {}
    # A word broken at the end of a line is read both ways: with and without its hyphen.
    joined = text.replace("\u00ad", "")
    for said in dict.fromkeys((re.sub(r"-[ \t]*\n[ \t]*", "", joined), joined)):
        for match in known.pattern.finditer(said):
            for subject in _owners(known, match.group()):
                if library.subjects[subject].carries:
                    found.setdefault(subject, " ".join(match.group().split()))
    return found


def _owners(known: Names, words: str) -> tuple[str, ...]:
    for stem in _stems(_key(words)):
        if stem in known.owners:
            return known.owners[stem]
    return ()


@lru_cache(maxsize=512)
def _caution_pattern(text: str) -> re.Pattern[str]:
    parts = [re.escape(squashed(re.sub(r"[*_`]", "", part))) for part in _BRACES.split(text)]
    return re.compile(_PHRASE.join(parts))


def caution_missing(page: Page) -> Iterator[Trouble]:
    """Every hazard class of every subject named in the file has its caution in the file, short or full.

    A blank form need not have those of the names on it, but keeps what kit.json says that it has.
    """
    library = page.library
    # What is only heard (alternative texts) reaches a reader too; what is only heard is no caution for all.
    named = {} if page.kind in BLANK_FORMS else carriers_in(library, f"{page.text}\n{page.spoken}")
    bare = squashed(page.text)
    missing: dict[str, list[str]] = {}
    for subject, words in named.items():
        for hazard in library.subjects[subject].carries:
            missing.setdefault(hazard, []).append(words)
    if page.record is not None:
        for hazard in page.record.cautions:
            missing.setdefault(hazard, ["kit.json"])
    for hazard, carriers in missing.items():
        caution = library.cautions.get(hazard)
        if caution is None:
            yield Trouble(
                f"there is no caution {hazard!r}", "a record of the caution", "Add it to the cautions.", key=hazard
            )
            continue
        if any(_caution_pattern(text).search(bare) for text in (caution.short, caution.full)):
            continue
        yield Trouble(
            f"{', '.join(dict.fromkeys(carriers))} without the caution about {caution.name}",
            f'"{caution.short}" or its full text',
            "Make the file again, or take the name out.",
            key=hazard,
            line=_line_of(page, carriers[0]),
        )


def _line_of(page: Page, words: str) -> int | None:
    """The line of the first block that holds the words."""
    if page.tree is not None:
        for run in blocks(page.tree):
            if words.lower() in " ".join("".join(part.data for part in run).split()).lower():
                return run[0].line
    if page.format == "text":
        at = page.text.lower().find(words.lower())
        return page.text.count("\n", 0, at) + 1 if at >= 0 else None
    return None
