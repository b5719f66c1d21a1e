"""A ranking in, how likely the first entry is right out, or that the question is for others, or not ours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log
from typing import Any

from handouts.answer.features import Bearings
from handouts.answer.learned import ASIDE, OUTSIDE
from handouts.answer.rank import Ranking

# what a question may be; "wrong" is one to be answered whose answer is not the first entry
OUTCOMES = ("right", "wrong", "refer", "outside")
# the one reason not to answer that refers to nobody
OTHER_FIELD = OUTSIDE.removeprefix(ASIDE)


@dataclass(frozen=True)
class Chances:
    """How likely each outcome is (0 to 1, together 1), and how much a slip would hurt here (0 to 1)."""

    right: float
    wrong: float
    refer: float
    outside: float
    care: float = 0.0


def signs(ranking: Ranking, words: int, far: Bearings) -> list[float]:
    """Return what tells whether the first entry is right: how far it lies ahead, and of the reasons not to answer.

    `words` is how many words the question has, `far` its bearings.
    """
    first = max(ranking.entries[0].share, 1e-9)
    second = ranking.entries[1].share if len(ranking.entries) > 1 else 0.0
    best = ranking.entries[0].total
    outside = ranking.aside[OTHER_FIELD]
    refer = max(logit for name, logit in ranking.aside.items() if name != OTHER_FIELD)
    ahead = [log(first), first, first - second]
    return [*ahead, outside - best, refer - best, outside, refer, best, log(max(1, words)), *far]


def chances(ranking: Ranking, words: int, far: Bearings, about: Mapping[str, Any]) -> Chances:
    """Return the chances of a question (see `signs`); `about` is what was learned beside the weights."""
    found = signs(ranking, words, far)
    gate: Mapping[str, list[float]] = about["gate"]
    logits = [
        gate[name][0] + sum(part * sign for part, sign in zip(gate[name][1:], found, strict=True)) for name in OUTCOMES
    ]
    most = max(logits)
    odds = [exp(logit - most) for logit in logits]
    right, wrong, refer, outside = (value / sum(odds) for value in odds)
    care: Mapping[str, float] = about["care"]
    usual: float = about["care-usual"]
    heed = sum(item.share * care.get(item.entry, usual) for item in ranking.entries)
    return Chances(right, wrong, refer, outside, min(1.0, heed + refer))


def kind_of_referral(ranking: Ranking) -> str:
    """Return the reason for a referral that fits best."""
    kinds = {name: logit for name, logit in ranking.aside.items() if name != OTHER_FIELD}
    return max(sorted(kinds), key=lambda name: kinds[name])
