"""An understood question in, how much each of its words counts out: asking clauses whole, the story less."""

from __future__ import annotations

import re

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
THIN, LEAN = 2.5, 0.9


def weigh_words(understood: Understood, vocabulary: Vocabulary, part: range | None = None) -> list[float]:
    """Return a weight for each word; `part` names the clauses that are the question (None: all of them)."""
    clauses = understood.clauses
    within = part if part is not None else range(len(clauses))
    chosen = [number for number in within if clauses[number].asks] or list(within)
    told = sum(said_in(understood, number) for number in chosen)
    other = SEQUEL_WORD if any(_SEQUEL.search(clauses[number].text) for number in chosen) else OTHER_WORD
    story = STORY + (LEAN - STORY) * max(0.0, 1 - told / THIN)
    weights = [0.0] * len(understood.words)
    for number, clause in enumerate(clauses):
        if number in chosen:
            weight = 1.0
        elif clause.greets:
            weight = GREETING
        else:
            weight = story if number in within else other
        for spot in range(clause.start, clause.end):
            weights[spot] = weight
    if part is not None:
        for hit in understood.hits:
            kind = vocabulary.concepts[hit.concept.removeprefix(NEGATED)].kind
            for spot in range(hit.start, hit.end):
                if kind in SUBJECT_KINDS and 0 < weights[spot] < 1:
                    weights[spot] = max(weights[spot], OTHER_SUBJECT)
    return weights


def said_in(understood: Understood, number: int) -> int:
    """Return how much a clause says: at how many places it names something of the vocabulary."""
    clause = understood.clauses[number]
    return len({hit.start for hit in understood.hits if clause.start <= hit.start < clause.end})
