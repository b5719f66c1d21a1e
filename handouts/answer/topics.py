"""The topics file in, rules out: which concepts an answer needs, likes and shuns, and how people ask for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from handouts.answer.typed import mapping, typed
from handouts.answer.understand import NEGATED
from handouts.answer.vocabulary import Vocabulary, listed
from handouts.errors import BadContent
from handouts.model.located import Located
from handouts.yamltext import read_yaml

KIND = "*"
Group = tuple[str, ...]
Line = tuple[Group, ...]


class TopicRecord(Located):
    """One topic as it stands in the file."""

    when: list[str] = []
    helps: str = ""
    hinders: str = ""
    never: str = ""
    asked: str = ""
    alone: Literal["yes", "no"] = "no"
    outlook: Literal["yes", "no"] = "no"


@dataclass(frozen=True)
class Topic:
    """The rule of one entry: any line of `when` is enough; each group of a line is met by any concept in it.

    `alone`: the entry may be the answer to a question that names nothing of the field (frost dates). `outlook`: where
    the question gives the day a chrysalis formed, the answer begins with what may be expected of it.
    """

    id: str
    when: tuple[Line, ...] = ()
    helps: Group = ()
    hinders: Group = ()
    never: Group = ()
    asked: tuple[str, ...] = field(default=())
    alone: bool = False
    outlook: bool = False


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


def load_topics(paths: list[Path], vocabulary: Vocabulary) -> dict[str, Topic]:
    """Read the topics of each file there is; a later file may replace a topic. Raises BadContent."""
    topics: dict[str, Topic] = {}
    for path in paths:
        if not path.is_file():
            continue
        data = read_yaml(path)
        for name, value in data.items():
            record = typed(TopicRecord, mapping(value, path, data.lines[name], name), path)
            topics[name] = _topic(name, record, vocabulary, path, data.lines[name])
    return topics


def _topic(name: str, record: TopicRecord, vocabulary: Vocabulary, path: Path, line: int) -> Topic:
    when = tuple(parse_line(text) for text in record.when)
    helps, hinders, never = (tuple(listed(text)) for text in (record.helps, record.hinders, record.never))
    used = [concept for rule in when for group in rule for concept in group]
    check_names([*used, *helps, *hinders, *never], vocabulary, path, line)
    asked = tuple(text.strip() for text in record.asked.splitlines() if text.strip())
    return Topic(name, when, helps, hinders, never, asked, record.alone == "yes", record.outlook == "yes")
