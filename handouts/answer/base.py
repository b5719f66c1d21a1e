"""A library in, everything answering needs out: vocabulary, topics, index, rules, guards, the words of replies."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from handouts.answer.foreign import Foreign, load_foreign
from handouts.answer.guard import Guard, load_guards
from handouts.answer.index import Index, build_index
from handouts.answer.rank import Ranker, build_ranker
from handouts.answer.shown import Shown, load_shown
from handouts.answer.topics import Topic, load_topics
from handouts.answer.typed import mapping
from handouts.answer.vocabulary import Vocabulary, load_vocabulary
from handouts.errors import BadContent
from handouts.model.library import Library
from handouts.model.records import Entry
from handouts.yamltext import read_yaml


@dataclass(frozen=True)
class Base:
    """The library and what was built from it; building is the slow part, so one base serves many questions."""

    library: Library
    vocabulary: Vocabulary
    topics: dict[str, Topic]
    index: Index
    ranker: Ranker
    guards: tuple[Guard, ...]
    words: dict[str, str]
    shown: dict[str, Shown] = field(default_factory=dict)
    foreign: dict[str, Foreign] = field(default_factory=dict)

    def say(self, name: str) -> str:
        """Return one of the sentences around an answer. Raises BadContent when the file lacks it."""
        if name not in self.words:
            raise BadContent(f"the replies lack {name!r}", file=self.library.root / "words" / "replies.yml")
        return self.words[name]


def load_base(library: Library) -> Base:
    """Build the base. A club's `words` folder may add concepts and topics. Raises BadContent or BadInput."""
    roots = [library.root / "words"]
    if library.club_root is not None:
        roots.append(library.club_root / "words")
    vocabulary = load_vocabulary(roots)
    topics = load_topics([root / "topics.yml" for root in roots], vocabulary)
    for name, entry in library.entries.items():
        if name not in topics:
            topics[name] = own_topic(name, entry, vocabulary)
    guards = load_guards(roots[0] / "guards.yml", vocabulary)
    index = build_index(library.entries, topics, vocabulary)
    ranker = build_ranker(topics, index, vocabulary)
    foreign = load_foreign(roots[0], vocabulary.languages, library.entries)
    words, shown = _replies(roots[0]), load_shown(library)
    return Base(library, vocabulary, topics, index, ranker, guards, words, shown, foreign)


def own_topic(name: str, entry: Entry, vocabulary: Vocabulary) -> Topic:
    """Return the rule of an entry that has none in the topics file: all the concepts it names together."""
    known = tuple(concept for concept in entry.concepts if concept in vocabulary.concepts)
    return Topic(name, (tuple((concept,) for concept in known),) if known else ())


def _replies(folder: Path) -> dict[str, str]:
    path = folder / "replies.yml"
    table = mapping(read_yaml(path).get("replies"), path, 1, "`replies`")
    return {name: str(text) for name, text in table.items()}
