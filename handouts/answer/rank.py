"""An understood question in, the entries ranked out, each with the parts its score is made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import log

from handouts.answer.index import CONCEPT, Asked, Index, center_features, question_features
from handouts.answer.topics import Line, Topic
from handouts.answer.understand import NEGATED, Understood
from handouts.answer.vocabulary import Vocabulary

# how the looks at a question are joined (fitted on the ways to ask, the tuning half of the test questions and the
# practice questions; rules written by hand fit best what they were written for, so they count less than the words)
RULE, AIDED, HINDERED, PHRASE, CENTER, TEXT = 0.35, 1.0, 0.1, 1.0, 15.0, 5.0
HELP, HINDER, HELP_MOST = 0.18, 0.5, 0.5
# a line met in part counts for little; a concept weaker than LEAST does not count
PART_LINE, LEAST, SHUNNED = 0.5, 0.15, 0.5
# phrases that share less of what the question says are passed over
SHARED_LEAST = 0.12
UNKNOWN_TELLING, UNUSED_SHARE = 2.0, 0.7
# a word of the text counts for the full-text search from this weight on
TEXT_WEIGHT = 0.3
# a full-text score of this much counts whole; a question of which the base holds little scores less everywhere
FULL_TEXT = 18.0


@dataclass(frozen=True)
class Scored:
    """One entry's score and its parts; `line` is the rule that was met, `phrase` the nearest way to ask."""

    entry: str
    total: float
    rule: float = 0.0
    helps: float = 0.0
    hinders: float = 0.0
    phrase_score: float = 0.0
    center: float = 0.0
    text: float = 0.0
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


@dataclass(frozen=True)
class _Met:
    worth: float
    names: tuple[str, ...]
    whole: bool


@dataclass
class Ranker:
    """The rules, the index and how telling each concept is among the rules; all of it reachable from a concept."""

    index: Index
    vocabulary: Vocabulary
    telling: dict[str, float]
    lines: list[tuple[str, Line]] = field(default_factory=list)
    by_concept: dict[str, list[tuple[int, int]]] = field(default_factory=lambda: defaultdict(list))
    helped: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    hindered: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    shunned: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))

    def add(self, topic: Topic) -> None:
        """Take in the rule of an entry."""
        for line in topic.when:
            number = len(self.lines)
            self.lines.append((topic.id, line))
            for group, names in enumerate(line):
                for name in names:
                    self.by_concept[name].append((number, group))
        for table, names in ((self.helped, topic.helps), (self.hindered, topic.hinders), (self.shunned, topic.never)):
            for name in names:
                table[name].append(topic.id)

    def rank(self, understood: Understood, weights: list[float]) -> list[Scored]:
        """Return the entries with any score, best first; `weights` say how much each word counts."""
        asked = question_features(understood, self.vocabulary, weights)
        concepts = asked.concepts
        worths = {name: weight * self.telling.get(name, 1.0) for name, weight in concepts.items() if weight >= LEAST}
        places: dict[str, set[int]] = defaultdict(set)
        for hit in understood.hits:
            places[hit.concept].add(hit.start)
        rules = self._rules(worths, places)
        helps, hinders = self._side(self.helped, worths), self._side(self.hindered, worths)
        shunned = {entry for name, weight in concepts.items() if weight >= SHUNNED for entry in self.shunned[name]}
        phrases, centers = self._phrases(asked.features), self._centers(asked)
        texts = self._texts(understood, weights)
        scored: list[Scored] = []
        for name in {*rules, *phrases, *texts} - shunned:
            met = rules.get(name, _Met(0.0, (), False))
            used = set(met.names)
            help_ = min(
                HELP_MOST * max(met.worth, 1.0),
                HELP * sum(worth for concept, worth in helps.get(name, ()) if concept not in used),
            )
            hinder = HINDER * sum(worth for concept, worth in hinders.get(name, ()) if concept not in used)
            near, phrase = phrases.get(name, (0.0, ""))
            center, text = centers.get(name, 0.0), texts.get(name, 0.0)
            total = RULE * met.worth + AIDED * help_ - HINDERED * hinder + PHRASE * near + CENTER * center + TEXT * text
            scored.append(
                Scored(name, total, met.worth, help_, hinder, near, center, text, met.names, phrase, met.whole)
            )
        return sorted(scored, key=lambda item: (-item.total, item.entry))

    def _rules(self, worths: Mapping[str, float], places: Mapping[str, set[int]]) -> dict[str, _Met]:
        """Return the best line of each entry: its worth, the concepts that met it, whether all its groups were met."""
        groups: dict[int, dict[int, tuple[float, str]]] = defaultdict(dict)
        for name, worth in worths.items():
            for number, group in self.by_concept.get(name, ()):
                if worth > groups[number].get(group, (0.0, ""))[0]:
                    groups[number][group] = (worth, name)
        best: dict[str, _Met] = {}
        for number, found in groups.items():
            entry, line = self.lines[number]
            names = tuple(name for _, name in found.values())
            whole = len(found) == len(line) and _apart(names, places)
            worth = sum(value for value, _ in found.values()) * (1.0 if whole else PART_LINE)
            if entry not in best or worth > best[entry].worth:
                best[entry] = _Met(worth, names, whole)
        return best

    @staticmethod
    def _side(table: Mapping[str, list[str]], worths: Mapping[str, float]) -> dict[str, list[tuple[str, float]]]:
        found: dict[str, list[tuple[str, float]]] = defaultdict(list)
        for name, worth in worths.items():
            for entry in table.get(name, ()):
                found[entry].append((name, worth))
        return found

    def _texts(self, understood: Understood, weights: list[float]) -> dict[str, float]:
        pairs = zip(understood.words, weights, strict=True)
        words = [word for word, weight in pairs if weight >= TEXT_WEIGHT and word not in self.vocabulary.stop]
        texts = self.index.full_text(words)
        most = max(texts.values(), default=0.0)
        return {name: score / max(most, FULL_TEXT) for name, score in texts.items()}

    def _phrases(self, features: Mapping[str, float]) -> dict[str, tuple[float, str]]:
        """Return for each entry how near its nearest phrases are (0 to 1) and the nearest one's text."""
        index = self.index
        shared: dict[int, float] = defaultdict(float)
        whole = 0.0
        for feature, weight in features.items():
            mass = weight * index.weigh(feature)
            whole += mass
            for number in index.by_feature.get(feature, ()):
                shared[number] += mass
        floor = SHARED_LEAST * whole
        best: dict[str, tuple[float, int, float]] = {}
        for number, mass in shared.items():
            if mass < floor:
                continue
            phrase = index.phrases[number]
            near = mass * mass / ((phrase.mass * whole) ** 0.5 * (mass + 2.0))
            first, which, second = best.get(phrase.entry, (0.0, number, 0.0))
            if near > first:
                best[phrase.entry] = (near, number, first)
            elif near > second:
                best[phrase.entry] = (first, which, near)
        return {
            name: (0.85 * first + 0.15 * second, index.phrases[number].text)
            for name, (first, number, second) in best.items()
        }

    def _centers(self, asked: Asked) -> dict[str, float]:
        """Return for each entry how alike the question and all its phrases together are (a cosine, 0 to 1)."""
        rarity, centers = self.index.center_rarity, self.index.centers
        features = center_features(asked.features, asked.stems)
        weights = {feature: weight * rarity[feature] for feature, weight in features.items() if feature in rarity}
        length = sum(weight * weight for weight in weights.values()) ** 0.5
        found: dict[str, float] = defaultdict(float)
        for feature, weight in weights.items():
            for name, share in centers[feature]:
                found[name] += weight * share / length
        return found


def _apart(names: Iterable[str], places: Mapping[str, set[int]]) -> bool:
    """Whether the concepts stand at as many places as there are: one word cannot meet two groups."""
    found = list(names)
    return len(found) < 2 or len(set().union(*(places[name] for name in found))) >= len(found)


def build_ranker(topics: Mapping[str, Topic], index: Index, vocabulary: Vocabulary) -> Ranker:
    """Join rules and index; a concept tells the more, the fewer topics need it."""
    needing: dict[str, set[str]] = defaultdict(set)
    ranker = Ranker(index, vocabulary, {})
    for name in index.entries:
        topic = topics.get(name)
        if topic is None:
            continue
        ranker.add(topic)
        for line in topic.when:
            for concept in (concept for group in line for concept in group):
                needing[concept.removeprefix(NEGATED)].add(name)
    count = max(1, len(index.entries))
    telling = {concept: log(1 + count / len(names)) for concept, names in needing.items()}
    for concept in vocabulary.concepts:
        telling.setdefault(concept, index.rarity.get(CONCEPT + concept, UNKNOWN_TELLING) * UNUSED_SHARE)
    telling.update({NEGATED + concept: worth for concept, worth in list(telling.items())})
    ranker.telling = telling
    return ranker
