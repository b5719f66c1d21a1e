"""An understood question in, how much each of its words counts out: asking clauses whole, the story less."""

from __future__ import annotations

import re

from handouts.answer.index import CONCEPT, Index
from handouts.answer.understand import NEGATED, Understood
from handouts.answer.vocabulary import Vocabulary

STORY, GREETING = 0.6, 0.1
# another part of the text says what "they" and "it" are, not what is asked here
OTHER_SUBJECT, OTHER_WORD = 0.35, 0.1
SUBJECT_KINDS = frozenset({"stage", "species", "plant", "substance", "creature", "place"})
# "how many days after that" asks of what was said before
SEQUEL_WORD = 0.5
_SEQUEL = re.compile(r"\b(?:after|once|when|because of) (?:that|this)\b|\bafterwards?\b", re.I)
# an asking clause that says less than this ("Now what?") leans on its story
THIN, LEAN = 6.0, 0.9


def weigh_words(
    understood: Understood, index: Index, vocabulary: Vocabulary, only: frozenset[int] | None = None
) -> list[float]:
    """Return a weight for each word; `only` names the clauses that are the question, the rest is its surroundings."""
    clauses = understood.clauses
    asking = [number for number, clause in enumerate(clauses) if clause.asks]
    chosen = only if only is not None else frozenset(asking or range(len(clauses)))
    told = sum(clause_mass(understood, index, number) for number in chosen)
    other = SEQUEL_WORD if any(_SEQUEL.search(clauses[number].text) for number in chosen) else OTHER_WORD
    story = STORY + (LEAN - STORY) * max(0.0, 1 - told / THIN)
    weights = [0.0] * len(understood.words)
    for number, clause in enumerate(clauses):
        if number in chosen:
            weight = 1.0
        elif clause.greets:
            weight = GREETING
        elif only is not None and (clause.asks or not _told_for(number, only, asking)):
            weight = other
        else:
            weight = story
        for spot in range(clause.start, clause.end):
            weights[spot] = weight
    if only is not None:
        for hit in understood.hits:
            kind = vocabulary.concepts[hit.concept.removeprefix(NEGATED)].kind
            for spot in range(hit.start, hit.end):
                if kind in SUBJECT_KINDS and 0 < weights[spot] < 1:
                    weights[spot] = max(weights[spot], OTHER_SUBJECT)
    return weights


def _told_for(number: int, only: frozenset[int], asking: list[int]) -> bool:
    """Whether a told clause belongs to a part: no other part's question stands between them."""
    first, last = min(only), max(only)
    low, high = (number, first) if number < first else (last, number)
    return not any(low < other < high for other in asking if other not in only)


def clause_mass(understood: Understood, index: Index, number: int) -> float:
    """Return how much a clause says: the rarity of its concepts, each once."""
    clause = understood.clauses[number]
    seen = {hit.concept for hit in understood.hits if clause.start <= hit.start < clause.end}
    return sum(index.weigh(CONCEPT + name) for name in seen if CONCEPT + name in index.rarity)
