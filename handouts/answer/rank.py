"""An understood question in, the entries ranked out, each with the parts its score is made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from math import log

from handouts.answer.index import CONCEPT, Index, question_features
from handouts.answer.topics import Line, Topic
from handouts.answer.understand import NEGATED, Understood
from handouts.answer.vocabulary import Vocabulary

# how the three looks at a question are joined (fitted on the tuning half of the test questions)
RULE, PHRASE, CENTER, TEXT = 1.0, 6.0, 5.0, 1.5
HELP, HINDER, HELP_MOST = 0.35, 0.5, 0.7
PART_LINE = 0.25
TOP_PHRASES = 2


@dataclass(frozen=True)
class Scored:
    """One entry's score and its parts; `line` is the rule that was met, `phrase` the nearest way to ask."""

    entry: str
    total: float
    rule: float
    helps: float
    hinders: float
    phrase_score: float
    center: float
    text: float
    line: tuple[str, ...] = ()
    phrase: str = ""
    whole: bool = False

    def to_json(self) -> dict[str, object]:
        """The score as plain data, rounded."""
        parts = ("rule", "helps", "hinders", "phrase_score", "center", "text")
        return {
            "entry": self.entry,
            "total": round(self.total, 3),
            "parts": {name: round(getattr(self, name), 3) for name in parts},
            "line": list(self.line),
            "phrase": self.phrase,
        }


@dataclass
class Ranker:
    """The rules, the index and how telling each concept is among the rules."""

    topics: Mapping[str, Topic]
    index: Index
    vocabulary: Vocabulary
    telling: dict[str, float]

    def rank(self, understood: Understood, weights: list[float]) -> list[Scored]:
        """Return the entries with any score, best first; `weights` say how much each word counts."""
        features, concepts = question_features(understood, self.vocabulary, weights)
        places: dict[str, set[int]] = defaultdict(set)
        for hit in understood.hits:
            places[hit.concept].add(hit.start)
        phrases = self._phrases(features)
        centers = self._centers(features)
        words = [
            word
            for word, weight in zip(understood.words, weights, strict=True)
            if weight >= 0.3 and word not in self.vocabulary.stop
        ]
        texts = self.index.full_text(words)
        most = max(texts.values(), default=0.0)
        scored: list[Scored] = []
        for name in self.index.entries:
            topic = self.topics.get(name, Topic(name))
            if any(concepts.get(item, 0.0) >= 0.5 for item in topic.never):
                continue
            rule, line, whole = self._line(topic, concepts, places)
            used = set(line)
            helps = min(HELP_MOST * max(rule, 1.0), HELP * self._sum(topic.helps, concepts, used))
            hinders = HINDER * self._sum(topic.hinders, concepts, used)
            phrase_score, phrase = phrases.get(name, (0.0, ""))
            center = centers.get(name, 0.0)
            text = texts.get(name, 0.0) / most if most > 0 else 0.0
            total = RULE * (rule + helps - hinders) + PHRASE * phrase_score + CENTER * center + TEXT * text
            if rule > 0 or phrase_score > 0 or text > 0:
                scored.append(
                    Scored(name, total, rule, helps, hinders, phrase_score, center, text, line, phrase, whole)
                )
        return sorted(scored, key=lambda item: (-item.total, item.entry))

    def _line(
        self, topic: Topic, concepts: Mapping[str, float], places: Mapping[str, set[int]]
    ) -> tuple[float, tuple[str, ...], bool]:
        """Return the best line of a topic: its worth, the concepts that met it, whether all its groups were met.

        One word cannot meet two groups ("jar" is also a cage).
        """
        best: tuple[float, tuple[str, ...], bool] = (0.0, (), False)
        for line in topic.when:
            worth, names, met = self._worth(line, concepts)
            whole = met == len(line) and len(set().union(*(places[name] for name in names))) >= met
            worth = worth if whole else worth * PART_LINE
            if worth > best[0]:
                best = (worth, names, whole)
        return best

    def _worth(self, line: Line, concepts: Mapping[str, float]) -> tuple[float, tuple[str, ...], int]:
        worth, met = 0.0, 0
        names: list[str] = []
        for group in line:
            name = max(group, key=lambda item: concepts.get(item, 0.0) * self.telling.get(item, 1.0))
            weight = concepts.get(name, 0.0)
            if weight < 0.15:
                continue
            met += 1
            names.append(name)
            worth += weight * self.telling.get(name, 1.0)
        return worth, tuple(names), met

    def _sum(self, names: tuple[str, ...], concepts: Mapping[str, float], used: set[str]) -> float:
        return sum(concepts.get(name, 0.0) * self.telling.get(name, 1.0) for name in names if name not in used)

    def _phrases(self, features: Mapping[str, float]) -> dict[str, tuple[float, str]]:
        """Return for each entry how near its nearest phrases are (0 to 1) and the nearest one's text."""
        index = self.index
        shared: dict[int, float] = defaultdict(float)
        whole = 0.0
        for feature, weight in features.items():
            rarity = index.weigh(feature)
            whole += weight * rarity
            for number in index.by_feature.get(feature, ()):
                shared[number] += weight * rarity
        best: dict[str, list[tuple[float, str]]] = defaultdict(list)
        for number, mass in shared.items():
            phrase = index.phrases[number]
            near = (mass / phrase.mass) ** 0.5 * (mass / whole) ** 0.5 * mass / (mass + 2.0)
            best[phrase.entry].append((near, phrase.text))
        result: dict[str, tuple[float, str]] = {}
        for name, found in best.items():
            found.sort(reverse=True)
            top = found[:TOP_PHRASES]
            result[name] = (0.7 * top[0][0] + 0.3 * sum(item[0] for item in top) / TOP_PHRASES, top[0][1])
        return result

    def _centers(self, features: Mapping[str, float]) -> dict[str, float]:
        weights = {feature: weight * self.index.weigh(feature) for feature, weight in features.items()}
        length = sum(weight * weight for weight in weights.values()) ** 0.5
        if not length:
            return {}
        return {
            name: sum(weight * center[feature] for feature, weight in weights.items() if feature in center) / length
            for name, center in self.index.centers.items()
        }


def build_ranker(topics: Mapping[str, Topic], index: Index, vocabulary: Vocabulary) -> Ranker:
    """Join rules and index; a concept tells the more, the fewer topics need it."""
    needing: dict[str, set[str]] = defaultdict(set)
    for name in index.entries:
        topic = topics.get(name)
        if topic is not None:
            for line in topic.when:
                for group in line:
                    for concept in group:
                        needing[concept.removeprefix(NEGATED)].add(name)
    count = max(1, len(index.entries))
    telling = {concept: log(1 + count / len(names)) for concept, names in needing.items()}
    for concept in vocabulary.concepts:
        telling.setdefault(concept, index.rarity.get(CONCEPT + concept, 2.0) * 0.7)
    telling.update({NEGATED + concept: worth for concept, worth in list(telling.items())})
    return Ranker(topics, index, vocabulary, telling)
