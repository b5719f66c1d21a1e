"""Entries and topics in, two indexes out: full text in memory (SQLite FTS5), phrases as sets of concepts and stems."""

from __future__ import annotations

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import log

from handouts.answer.topics import Topic
from handouts.answer.understand import MENDED, Understood
from handouts.answer.vocabulary import Vocabulary
from handouts.answer.words import tokens
from handouts.model.records import Entry

# weights of the columns question, asked, answer in BM25
COLUMN_WEIGHTS = (3.0, 4.0, 1.0)
MOST_TERMS = 48
_NAME = re.compile(r"\{[^{}]*\}")
CONCEPT = "@"


@dataclass(frozen=True)
class Phrase:
    """One way to ask for an entry, as features with their weight in all."""

    entry: str
    text: str
    features: frozenset[str]
    mass: float


@dataclass
class Index:
    """What is searched: the full text, the phrases by feature, and how rare each feature is."""

    base: sqlite3.Connection
    entries: tuple[str, ...]
    phrases: tuple[Phrase, ...]
    rarity: dict[str, float]
    unseen: float
    by_feature: dict[str, tuple[int, ...]] = field(default_factory=dict)
    centers: dict[str, dict[str, float]] = field(default_factory=dict)

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
    phrases, rarity, unseen = _phrases(asked, vocabulary)
    by_feature: dict[str, list[int]] = defaultdict(list)
    for number, phrase in enumerate(phrases):
        for feature in phrase.features:
            by_feature[feature].append(number)
    index = Index(base, tuple(entries), tuple(phrases), rarity, unseen)
    index.by_feature = {feature: tuple(numbers) for feature, numbers in by_feature.items()}
    index.centers = _centers(phrases, rarity)
    return index


def phrase_features(text: str, vocabulary: Vocabulary) -> frozenset[str]:
    """Return the concepts and the stems outside any concept of a phrase of the base."""
    correct = vocabulary.speller.correct
    plain = [correct(word) or word for word in vocabulary.expand(tokens(text))]
    stems = [vocabulary.stem(word) for word in plain]
    found: set[str] = set()
    covered: set[int] = set()
    for match in vocabulary.matches(plain):
        covered.update(range(match.start, match.end))
        for concept in match.concepts:
            found.add(CONCEPT + concept)
    for spot, word in enumerate(stems):
        if spot not in covered and plain[spot] not in vocabulary.stop and len(word) > 1:
            found.add(word)
    return frozenset(found)


def question_features(
    understood: Understood, vocabulary: Vocabulary, weights: list[float]
) -> tuple[dict[str, float], dict[str, float]]:
    """Return the weighted features of a question and, apart, its concepts alone (with "!" for the negated)."""
    concepts: dict[str, float] = {}
    covered: set[int] = set()
    for hit in understood.hits:
        covered.update(range(hit.start, hit.end))
        weight = hit.weight * max(weights[hit.start : hit.end], default=0.0)
        if weight > concepts.get(hit.concept, 0.0):
            concepts[hit.concept] = weight
    features = {CONCEPT + name: weight for name, weight in concepts.items() if not name.startswith("!")}
    for spot, word in enumerate(understood.stems):
        plain = understood.words[spot]
        if spot in covered or plain in vocabulary.stop or len(word) < 2 or plain.isdigit():
            continue
        weight = weights[spot] * (MENDED if spot in understood.strange else 1.0)
        features[word] = max(features.get(word, 0.0), weight)
    return features, concepts


def _phrases(asked: Mapping[str, list[str]], vocabulary: Vocabulary) -> tuple[list[Phrase], dict[str, float], float]:
    raw: list[tuple[str, str, frozenset[str]]] = []
    holders: dict[str, set[str]] = defaultdict(set)
    for name, texts in asked.items():
        for text in texts:
            features = phrase_features(text, vocabulary)
            if features:
                raw.append((name, text, features))
                for feature in features:
                    holders[feature].add(name)
    count = max(1, len(asked))
    rarity = {feature: log((count + 1) / (len(names) + 0.5)) for feature, names in holders.items()}
    phrases = [Phrase(name, text, features, sum(rarity[item] for item in features)) for name, text, features in raw]
    return phrases, rarity, log((count + 1) / 0.5)


def _centers(phrases: Iterable[Phrase], rarity: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """Return for each entry how telling each feature is over all its phrases, scaled to length one."""
    counts: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for phrase in phrases:
        for feature in phrase.features:
            counts[phrase.entry][feature] += 1.0
    centers: dict[str, dict[str, float]] = {}
    for name, table in counts.items():
        weights = {feature: (1 + log(count)) * rarity[feature] for feature, count in table.items()}
        length = sum(weight * weight for weight in weights.values()) ** 0.5 or 1.0
        centers[name] = {feature: weight / length for feature, weight in weights.items()}
    return centers
