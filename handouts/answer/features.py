"""An understood question in, what may tell its answer out: its concepts, its stems and every two that stand together."""

from __future__ import annotations

from collections.abc import Sequence

from handouts.answer.understand import Understood

# marks a concept among the features; a figure counts as a figure, whichever it is
CONCEPT, FIGURE = "@", "#"


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
