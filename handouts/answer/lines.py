"""A line of a guard ("egg + hatch|open") in, groups of concepts out: each group is met by any of its concepts."""

from __future__ import annotations

from pathlib import Path

from handouts.answer.understand import NEGATED
from handouts.answer.vocabulary import Vocabulary
from handouts.errors import BadContent

KIND = "*"
Group = tuple[str, ...]
Line = tuple[Group, ...]


def parse_line(text: str) -> Line:
    """Read "egg + hatch|open" as groups of alternatives."""
    return tuple(tuple(name.strip() for name in group.split("|") if name.strip()) for group in text.split("+"))


def spread(line: Line, vocabulary: Vocabulary) -> Line:
    """Replace "*plant" in a line by all concepts of that kind."""
    return tuple(tuple(name for item in group for name in _of_kind(item, vocabulary)) for group in line)


def _of_kind(item: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    if not item.startswith(KIND):
        return (item,)
    return tuple(concept.id for concept in vocabulary.concepts.values() if concept.kind == item[1:]) or (item,)


def check_names(names: list[str], vocabulary: Vocabulary, path: Path, line: int | None) -> None:
    """Raise BadContent when a concept is not known."""
    for name in names:
        if name.removeprefix(NEGATED) not in vocabulary.concepts:
            raise BadContent(f"there is no concept {name!r}", file=path, line=line, remedy="See concepts.yml.")
