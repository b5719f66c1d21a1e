"""A library in, everything answering needs out: vocabulary, ways to ask, learned weights, guards, words of replies."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from handouts.answer.foreign import Foreign, load_foreign
from handouts.answer.guard import Guard, load_guards
from handouts.answer.learned import Learned, load_learned
from handouts.answer.meaning import load_meaning
from handouts.answer.rank import Ranker, build_ranker
from handouts.answer.shown import Shown, load_shown
from handouts.answer.topics import Topic, load_topics
from handouts.answer.typed import mapping
from handouts.answer.vocabulary import Vocabulary, load_vocabulary
from handouts.answer.words import tokens
from handouts.errors import BadContent
from handouts.model.library import Library
from handouts.yamltext import read_yaml

_NAME = re.compile(r"\{[^{}]*\}")


@dataclass(frozen=True)
class Base:
    """The library and what was built from it; building is the slow part, so one base serves many questions."""

    library: Library
    vocabulary: Vocabulary
    topics: dict[str, Topic]
    learned: Learned
    ranker: Ranker
    guards: tuple[Guard, ...]
    words: dict[str, str]
    shown: dict[str, Shown] = field(default_factory=dict)
    foreign: dict[str, Foreign] = field(default_factory=dict)

    def referral(self, kind: str) -> Guard | None:
        """Return the guard that says whom to ask where a question was learned to be of this kind."""
        return next((guard for guard in self.guards if guard.record.learned == kind), None)

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
    topics = load_topics([root / "topics.yml" for root in roots])
    learn_words(library, topics, vocabulary)
    guards = load_guards(roots[0] / "guards.yml", vocabulary)
    learned = load_learned(roots[0] / "learned.bin")
    meaning = load_meaning(roots[0] / "meaning.bin")
    ranker = build_ranker(library.entries, topics, vocabulary, learned, meaning)
    foreign = load_foreign(roots[0], vocabulary.languages, library.entries)
    words, shown = _replies(roots[0]), load_shown(library)
    return Base(library, vocabulary, topics, learned, ranker, guards, words, shown, foreign)


def learn_words(library: Library, topics: Mapping[str, Topic], vocabulary: Vocabulary) -> None:
    """Teach the vocabulary the words of the entries, so that they count as rightly spelled."""
    for name, entry in library.entries.items():
        topic = topics.get(name)
        answer = _NAME.sub(" ", "\n".join((entry.brief, entry.standard, entry.spoken)))
        for text in (entry.question, answer, *(topic.asked if topic else ())):
            vocabulary.learn(word for word in tokens(text) if word.isalpha())


def _replies(folder: Path) -> dict[str, str]:
    path = folder / "replies.yml"
    table = mapping(read_yaml(path).get("replies"), path, 1, "`replies`")
    return {name: str(text) for name, text in table.items()}
