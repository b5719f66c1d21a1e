"""Entries and topics in, two indexes out: full text in memory (SQLite FTS5), phrases as sets of concepts and stems."""

from __future__ import annotations

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import log
from typing import Any

from handouts.answer.topics import Topic
from handouts.answer.understand import MENDED, Understood
from handouts.answer.vocabulary import Vocabulary
from handouts.answer.words import tokens
from handouts.model.records import Entry

# weights of the columns question, asked, answer in BM25
COLUMN_WEIGHTS = (3.0, 4.0, 1.0)
MOST_TERMS = 48
_NAME = re.compile(r"\{[^{}]*\}")
# marks of features: a concept; a stem as it stands; two features that stand together
CONCEPT, PLAIN, PAIR = "@", "=", "&"
PLAIN_WEIGHT, PAIR_LEAST = 0.6, 0.3


@dataclass(frozen=True)
class Phrase:
    """One way to ask for an entry, as features with their weight in all."""

    entry: str
    text: str
    features: frozenset[str]
    mass: float


@dataclass(frozen=True)
class _Read:
    phrases: list[Phrase]
    rarity: dict[str, float]
    counts: dict[str, dict[str, float]]


@dataclass
class Index:
    """What is searched: the full text, the phrases by feature, and how rare each feature is."""

    base: sqlite3.Connection
    entries: tuple[str, ...]
    phrases: tuple[Phrase, ...]
    rarity: dict[str, float]
    unseen: float
    by_feature: dict[str, tuple[int, ...]] = field(default_factory=dict)
    centers: dict[str, tuple[tuple[str, float], ...]] = field(default_factory=dict)
    center_rarity: dict[str, float] = field(default_factory=dict)

    def __getstate__(self) -> dict[str, Any]:
        """The index as plain data: the full text as the bytes of its database."""
        return {**self.__dict__, "base": self.base.serialize()}

    def __setstate__(self, state: dict[str, Any]) -> None:
        base = sqlite3.connect(":memory:", check_same_thread=False)
        base.deserialize(state["base"])
        self.__dict__.update(state)
        self.base = base

    def full_text(self, words: Iterable[str]) -> dict[str, float]:
        """Return a positive BM25 score for each entry that shares a word."""
        terms = list(dict.fromkeys(word for word in words if word.isalnum()))[:MOST_TERMS]
        if not terms:
            return {}
        query = " OR ".join(f'"{term}"' for term in terms)
        rows = self.base.execute(
            "SELECT entry, bm25(entries, 0, ?, ?, ?) FROM entries WHERE entries MATCH ?", (*COLUMN_WEIGHTS, query)
        )
        return {entry: -score for entry, score in rows}

    def weigh(self, feature: str) -> float:
        """Return how telling a feature is; one that no phrase holds tells most."""
        return self.rarity.get(feature, self.unseen)


def build_index(entries: Mapping[str, Entry], topics: Mapping[str, Topic], vocabulary: Vocabulary) -> Index:
    """Index the entries; teaches the vocabulary the words of their texts."""
    base = sqlite3.connect(":memory:", check_same_thread=False)
    base.execute(
        "CREATE VIRTUAL TABLE entries USING fts5(entry UNINDEXED, question, asked, answer, tokenize='porter unicode61')"
    )
    asked: dict[str, list[str]] = {}
    for name, entry in entries.items():
        topic = topics.get(name)
        own = [entry.question, *entry.asked_as]
        asked[name] = list(dict.fromkeys([*own, *(topic.asked if topic else ())]))
        answer = _NAME.sub(" ", "\n".join((entry.brief, entry.standard, entry.spoken)))
        base.execute("INSERT INTO entries VALUES (?, ?, ?, ?)", (name, entry.question, "\n".join(asked[name]), answer))
        right = (entry.question, answer, *(topic.asked if topic else ()))
        vocabulary.learn(word for text in right for word in tokens(text) if word.isalpha())
    base.commit()
    read = _phrases(asked, vocabulary)
    phrases, rarity, unseen = read.phrases, read.rarity, rareness(0, max(1, len(asked)))
    by_feature: dict[str, list[int]] = defaultdict(list)
    for number, phrase in enumerate(phrases):
        for feature in phrase.features:
            by_feature[feature].append(number)
    index = Index(base, tuple(entries), tuple(phrases), rarity, unseen)
    index.by_feature = {feature: tuple(numbers) for feature, numbers in by_feature.items()}
    index.centers, index.center_rarity = _centers(read.counts)
    return index


def phrase_features(text: str, vocabulary: Vocabulary) -> tuple[frozenset[str], frozenset[str]]:
    """Return the concepts and the stems outside any concept of a phrase of the base, and apart all its stems."""
    correct = vocabulary.speller.correct
    plain = [correct(word) or word for word in vocabulary.expand(tokens(text))]
    stems = [vocabulary.stem(word) for word in plain]
    found: set[str] = set()
    covered: set[int] = set()
    for match in vocabulary.matches(plain):
        covered.update(range(match.start, match.end))
        for concept in match.concepts:
            found.add(CONCEPT + concept)
            found.update(CONCEPT + other for other in vocabulary.lineage(concept))
    telling = [spot for spot, word in enumerate(stems) if plain[spot] not in vocabulary.stop and len(word) > 1]
    found.update(stems[spot] for spot in telling if spot not in covered)
    return frozenset(found), frozenset(stems[spot] for spot in telling)


def center_features(features: Mapping[str, float], stems: Mapping[str, float]) -> dict[str, float]:
    """Return the features an entry's center is made of: single ones, all stems, and every two that stand together."""
    found = dict(features)
    for stem, weight in stems.items():
        found[PLAIN + stem] = PLAIN_WEIGHT * weight
    names = sorted(name for name, weight in features.items() if weight >= PAIR_LEAST)
    for number, first in enumerate(names):
        weight = features[first]
        for second in names[number + 1 :]:
            other = features[second]
            found[first + PAIR + second] = weight if weight < other else other
    return found


@dataclass(frozen=True)
class Asked:
    """The weighted features of a question, its concepts alone (with "!" for the negated), and all its stems."""

    features: dict[str, float]
    concepts: dict[str, float]
    stems: dict[str, float]


def question_features(understood: Understood, vocabulary: Vocabulary, weights: list[float]) -> Asked:
    """Return the features of a question; `weights` say how much each word counts."""
    concepts: dict[str, float] = {}
    covered: set[int] = set()
    for hit in understood.hits:
        covered.update(range(hit.start, hit.end))
        weight = hit.weight * max(weights[hit.start : hit.end], default=0.0)
        if weight > concepts.get(hit.concept, 0.0):
            concepts[hit.concept] = weight
    features = {CONCEPT + name: weight for name, weight in concepts.items() if not name.startswith("!")}
    stems: dict[str, float] = {}
    for spot, word in enumerate(understood.stems):
        plain = understood.words[spot]
        if plain in vocabulary.stop or len(word) < 2 or plain.isdigit():
            continue
        weight = weights[spot] * (MENDED if spot in understood.strange else 1.0)
        stems[word] = max(stems.get(word, 0.0), weight)
        if spot not in covered:
            features[word] = max(features.get(word, 0.0), weight)
    return Asked(features, concepts, stems)


def _phrases(asked: Mapping[str, list[str]], vocabulary: Vocabulary) -> _Read:
    raw: list[tuple[str, str, frozenset[str], frozenset[str]]] = []
    holders: dict[str, set[str]] = defaultdict(set)
    for name, texts in asked.items():
        for text in texts:
            features, stems = phrase_features(text, vocabulary)
            if features:
                raw.append((name, text, features, stems))
                for feature in features:
                    holders[feature].add(name)
    count = max(1, len(asked))
    rarity = {feature: rareness(len(names), count) for feature, names in holders.items()}
    phrases = [Phrase(name, text, features, sum(rarity[item] for item in features)) for name, text, features, _ in raw]
    counts: dict[str, dict[str, float]] = {name: defaultdict(float) for name in asked}
    for name, _, features, stems in raw:
        table = counts[name]
        for feature, weight in center_features(dict.fromkeys(features, 1.0), dict.fromkeys(stems, 1.0)).items():
            table[feature] += weight
    return _Read(phrases, rarity, counts)


def rareness(holders: int, count: int) -> float:
    """Return how telling a feature is that `holders` of `count` entries have."""
    return log((count + 1) / (holders + 0.5))


def _centers(
    counts: Mapping[str, Mapping[str, float]],
) -> tuple[dict[str, tuple[tuple[str, float], ...]], dict[str, float]]:
    """Return for each feature the entries it is typical of and how much, and how rare it is among the entries.

    All phrases of an entry together are one vector, scaled to length one.
    """
    holders: dict[str, int] = defaultdict(int)
    for table in counts.values():
        for feature in table:
            holders[feature] += 1
    rarity = {feature: rareness(number, max(1, len(counts))) for feature, number in holders.items()}
    centers: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for name, table in counts.items():
        weights = {
            feature: (1 + log(count) if count > 1 else count) * rarity[feature] for feature, count in table.items()
        }
        length = sum(weight * weight for weight in weights.values()) ** 0.5 or 1.0
        for feature, weight in weights.items():
            centers[feature].append((name, weight / length))
    return {feature: tuple(found) for feature, found in centers.items()}, rarity
