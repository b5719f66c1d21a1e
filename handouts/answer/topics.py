"""The topics file in, further ways to ask for each entry out, and which entries begin with an outlook."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from handouts.answer.typed import mapping, typed
from handouts.model.located import Located
from handouts.model.records import Entry
from handouts.yamltext import read_yaml


class TopicRecord(Located):
    """One topic as it stands in the file."""

    asked: str = ""
    outlook: Literal["yes", "no"] = "no"


@dataclass(frozen=True)
class Topic:
    """How people ask for an entry.

    `outlook`: where the question gives the day a chrysalis formed, the answer begins with what may be expected of it.
    """

    id: str
    asked: tuple[str, ...] = ()
    outlook: bool = False


def ways_to_ask(entry: Entry, topic: Topic | None) -> list[str]:
    """Return the question an entry is filed under and all the ways to ask for it that stand in the content."""
    return list(dict.fromkeys([entry.question, *entry.asked_as, *(topic.asked if topic else ())]))


def load_topics(paths: list[Path]) -> dict[str, Topic]:
    """Read the topics of each file there is; a later file may replace a topic. Raises BadContent."""
    topics: dict[str, Topic] = {}
    for path in paths:
        if not path.is_file():
            continue
        data = read_yaml(path)
        for name, value in data.items():
            record = typed(TopicRecord, mapping(value, path, data.lines[name], name), path)
            asked = tuple(text.strip() for text in record.asked.splitlines() if text.strip())
            topics[name] = Topic(name, asked, record.outlook == "yes")
    return topics
