"""An understood question in, what may tell its answer out: concepts, stems and every two stems that stand together."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from handouts.answer.understand import NEGATED, Understood
from handouts.answer.vocabulary import Vocabulary

# marks a concept among the features; a figure counts as a figure, whichever it is
CONCEPT, FIGURE = "@", "#"
# what only this field speaks of
HOME_KINDS = frozenset({"stage", "species", "sign"})


class Bearings(NamedTuple):
    """How far from home a question is (each 0 to 1).

    `strange`: the share of its telling words that nobody used among the practice questions. `at_home`: 1 where anything
    in it belongs to this field alone. `foreign`: how surely it speaks of another field.
    """

    strange: float
    at_home: float
    foreign: float


def bearings(
    understood: Understood, weights: Sequence[float], known: Collection[str], vocabulary: Vocabulary
) -> Bearings:
    """Return how far from home a question is; `known` are the features that were learned."""
    whole = strange = 0.0
    for word, stem, weight in zip(understood.words, understood.stems, weights, strict=True):
        if word not in vocabulary.stop and not word[:1].isdigit():
            whole += weight
            strange += 0.0 if stem in known else weight
    kinds = vocabulary.concepts
    own = [hit for hit in understood.hits if not hit.concept.startswith(NEGATED)]
    at_home = any(kinds[hit.concept].kind in HOME_KINDS for hit in own) or bool(
        vocabulary.ours.intersection(understood.stems)
    )
    foreign = max((hit.weight for hit in own if vocabulary.foreign(hit.concept)), default=0.0)
    return Bearings(strange / whole if whole else 0.0, float(at_home), min(1.0, foreign))


def features(understood: Understood, weights: Sequence[float]) -> dict[str, float]:
    """Return the features of a question and how much each counts (0 to 1).

    `weights` say how much each word counts. A concept also counts by how surely it was found; one that is denied stands
    with "!" before its name.
    """
    found: dict[str, float] = {}
    for hit in understood.hits:
        weight = hit.weight * max(weights[hit.start : hit.end], default=0.0)
        name = CONCEPT + hit.concept
        if weight > found.get(name, 0.0):
            found[name] = weight
    last, before = "", 0.0
    for stem, weight in zip(understood.stems, weights, strict=True):
        name = FIGURE if stem[:1].isdigit() else stem
        if weight > found.get(name, 0.0):
            found[name] = weight
        pair, both = f"{last} {name}", min(weight, before)
        if last and both > found.get(pair, 0.0):
            found[pair] = both
        last, before = name, weight
    return found
