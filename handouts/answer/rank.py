"""An understood question in, the entries ranked out, and how well each reason not to answer fits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import exp
from typing import Any

from handouts.answer.features import CONCEPT, features
from handouts.answer.learned import ASIDE, Learned
from handouts.answer.meaning import Meaning
from handouts.answer.topics import Topic, ways_to_ask
from handouts.answer.understand import Understood, understand
from handouts.answer.vocabulary import Vocabulary
from handouts.model.records import Entry

# an entry nobody practised yet is held to its own ways to ask: what nothing and everything in common are worth
FRESH_NOTHING, FRESH_WHOLE = -2.0, 9.0


@dataclass(frozen=True)
class Scored:
    """One entry's score (a logit), how likely it is among all entries, and what in the question spoke most for it."""

    entry: str
    total: float
    share: float = 0.0
    because: tuple[str, ...] = ()

    def to_json(self) -> dict[str, object]:
        """The score as plain data, rounded."""
        return {
            "entry": self.entry,
            "total": round(self.total, 3),
            "share": round(self.share, 4),
            "because": list(self.because),
        }


@dataclass(frozen=True)
class Ranking:
    """The entries, best first.

    `aside` says how well each reason not to answer fits (logits, without their mark), `known` how much each feature
    counted, `about` what the logits mean: their gate and sharpness.
    """

    entries: tuple[Scored, ...]
    aside: Mapping[str, float]
    known: Mapping[str, float] = field(default_factory=dict)
    about: Mapping[str, Any] = field(default_factory=dict)

    def without(self, names: frozenset[str]) -> Ranking:
        """Return the ranking without some entries, the others' shares taken anew."""
        if not names:
            return self
        kept = [item for item in self.entries if item.entry not in names]
        whole = sum(item.share for item in kept) or 1.0
        return replace(self, entries=tuple(replace(item, share=item.share / whole) for item in kept))

    def first(self, names: tuple[str, ...]) -> Ranking:
        """Return the ranking with some entries put first, in this order."""
        if not names:
            return self
        ahead = [item for name in names for item in self.entries if item.entry == name]
        return replace(self, entries=(*ahead, *(item for item in self.entries if item.entry not in names)))


def ordered(totals: Mapping[str, float], logits: Mapping[str, float], sharp: float) -> Ranking:
    """Return the entries by their totals, best first, each with its share; the reasons not to answer are in `logits`.

    `sharp` is the factor by which the totals tell best how likely each entry is.
    """
    most = max(totals.values(), default=0.0)
    odds = {name: exp(sharp * (total - most)) for name, total in totals.items()}
    whole = sum(odds.values())
    order = sorted(totals, key=lambda name: (-totals[name], name))
    aside = {name.removeprefix(ASIDE): logit for name, logit in logits.items() if name.startswith(ASIDE)}
    return Ranking(tuple(Scored(name, totals[name], odds[name] / whole) for name in order), aside)


@dataclass
class Ranker:
    """What was learned, of words and perhaps of meaning, and the ways to ask for entries that were not there then."""

    entries: tuple[str, ...]
    learned: Learned
    meaning: Meaning | None = None
    fresh: dict[str, list[Mapping[str, float]]] = field(default_factory=dict)

    def rank(self, understood: Understood, weights: list[float], text: str | None = None) -> Ranking:
        """Return the entries, best first; `weights` say how much each word counts.

        With `text`, what it means counts too, where there are embeddings.
        """
        logits, known = self.learned.logits(features(understood, weights))
        about = self.learned.about
        if self.meaning is not None and text:
            about = {**about, **self.meaning.about}
            meant = self.meaning.logits(text)
            logits = {name: logit + about["meaning"] * meant.get(name, 0.0) for name, logit in logits.items()}
        totals = {name: logits[name] if name in logits else self._fresh(name, known) for name in self.entries}
        return replace(ordered(totals, logits, about["sharp"]), known=known, about=about)

    def explained(self, ranking: Ranking, most: int) -> tuple[Scored, ...]:
        """Return the best entries with what spoke for them."""
        columns = frozenset(self.learned.columns)
        return tuple(
            replace(item, because=self.learned.because(item.entry, ranking.known)) if item.entry in columns else item
            for item in ranking.entries[:most]
        )

    def _fresh(self, name: str, known: Mapping[str, float]) -> float:
        """Return the stand-in for a learned logit: how alike the question and the nearest way to ask are."""
        alike = max((_alike(way, known) for way in self.fresh[name]), default=0.0)
        return FRESH_NOTHING + (FRESH_WHOLE - FRESH_NOTHING) * alike


def _alike(way: Mapping[str, float], known: Mapping[str, float]) -> float:
    """Return the cosine of two rows of features of length one."""
    return sum(weight * known[name] for name, weight in way.items() if name in known)


def build_ranker(
    entries: Mapping[str, Entry],
    topics: Mapping[str, Topic],
    vocabulary: Vocabulary,
    learned: Learned,
    meaning: Meaning | None = None,
) -> Ranker:
    """Return the ranker; entries that were not learned keep their own ways to ask."""
    ranker = Ranker(tuple(entries), learned, meaning)
    columns = frozenset(learned.columns)
    for name, entry in entries.items():
        if name not in columns:
            taken = [understand(way, vocabulary) for way in ways_to_ask(entry, topics.get(name))]
            ways = [features(item, [1.0] * len(item.words)) for item in taken]
            if entry.concepts:
                ways.append({CONCEPT + concept: 1.0 for concept in entry.concepts})
            ranker.fresh[name] = [learned.logits(way)[1] for way in ways]
    return ranker
