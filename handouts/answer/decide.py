"""A question in, what to do with each part out: answer with an entry, refer to people, or abstain and say why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import exp
from typing import Literal

from handouts.answer.base import Base
from handouts.answer.clean import Language
from handouts.answer.focus import clause_mass, weigh_words
from handouts.answer.guard import Guard, Verdict, judge
from handouts.answer.rank import Scored
from handouts.answer.understand import NEGATED, Understood, understand

Does = Literal["answer", "refer", "abstain"]
Reason = Literal["", "not-covered", "other-field", "unsure", "which", "empty", "language", "referred"]

# how sure: a curve over the first entry's total and its lead (as a share of the total), fitted on the ways to ask that
# the entries' authors wrote down, on the tuning half of the test questions and on the practice questions
BASE, PER_TOTAL, PER_LEAD, LEAD_MOST = -3.4, 0.38, 6.0, 0.6
HALF_RIVAL = 0.7
THRESHOLD = 0.55
# where a slip could hurt; of the questions practised on it costs two right answers and spares one wrong one
THRESHOLD_IN_DOUBT = 0.7
# two questions with two different answers bear each other out: each part may be a little less sure
PART_THRESHOLD = 0.4
# a question that names nothing of this field must be as sure as this
SURE_ALONE = 0.98
# totals below NEAR_LEAST are noise and not even offered; two entries that lie this close both fit
NEAR_LEAST, NEAR_MOST = 2.8, 3
CLOSE = 0.04
# words of other fields against words of this one
FOREIGN_LEAST, PLAINLY = 0.4, 0.95
# what a foreign word is worth in the asking words and in the story: another creature is what the text is about wherever
# it stands; a potato bed or an oven in a story is not; another use of our words ("painted lady" the song) is plain
FOREIGN_WORTH = {"near": (1.0, 1.0), "aside": (1.0, 0.3), "foreign": (2.0, 0.6)}
# a foreign word that is also one of ours counts this much
SHARED = 0.5
STRONG_KINDS, WEAK_KINDS = ("species", "plant"), ("stage", "sign", "trait", "container", "substance")
# what shows that a question is about this field at all: things by kind, and what only happens here
OURS_KINDS = frozenset({"stage", "species", "plant", "sign"})
OURS_EVENTS = frozenset(
    {
        *("hatch", "pupate", "not-opened", "molt", "wander", "release", "lay-eggs", "dormant", "warm-up", "half-out"),
        *("offer-stick", "help-out", "cannot-fly", "bt", "bti", "girdle", "oe", "migrate", "tag", "first-flight"),
        *(
            "listed",
            "sleeve",
            "flea-product",
            "raise",
            "frass",
            "parasitoid",
            "droppings",
            "generations",
            "not-eating",
            "instar",
            "wet-droppings",
            "wing",
            "about-to",
        ),
    }
)
WEAK_PLANTS = frozenset(
    {"garden-crop", "herb", "lettuce-food", "nectar-flower", "native-plant", "tree-host", "host-plant", "citrus"}
)
# "worm" and "baby" are said of much else, "caterpillar" less so
STRONG, WEAK, PLAIN_CATERPILLAR = 1.5, 0.35, 0.8
WEAK_MOST, STORY_SUBJECT = 0.7, 0.9
SURE_CONCEPTS = frozenset(
    {"chrysalis", "prepupa", "oe", "horns", "girdle", "bt", "bti", "flea-product", "rash", "sting", "burn"}
)
# a text of two questions: how long at most, how much each part must say and reach, how much a second place may lose
SHORT_TEXT, CLAUSES_MOST, PART_MASS = 45, 4, 0.4
PART_LEAST, PART_SHARE, PAIR_SHARE, PART_ALONE = 3.5, 0.72, 0.85, 0.8
# beside a referral another part is answered only when it says enough and is this sure
ASIDE_MASS, ASIDE_SURE = 3.0, 0.85


@dataclass(frozen=True)
class Decision:
    """What to do with one question. `ranked` holds the best entries with their score parts."""

    text: str
    does: Does
    entry: str | None
    score: float
    reason: Reason
    near: tuple[str, ...] = ()
    guard: Guard | None = None
    names: tuple[str, ...] = ()
    ranked: tuple[Scored, ...] = ()
    language: Language | None = None
    mass: float = 0.0


def decide(text: str, base: Base) -> tuple[Understood, tuple[Decision, ...]]:
    """Decide a text: one decision, or one for each part when it plainly asks more than one thing."""
    understood = understand(text, base.vocabulary)
    if understood.language is not None:
        ways = base.foreign.get(understood.language.id)
        near = ways.near(understood.text) if ways is not None else ()
        return understood, (replace(_abstain(understood, "language", language=understood.language), near=near),)
    if understood.empty:
        return understood, (_abstain(understood, "empty"),)
    whole = decide_part(understood, base)
    parts = _parts(understood, base, whole)
    return understood, parts or (whole,)


def decide_part(understood: Understood, base: Base, only: frozenset[int] | None = None) -> Decision:
    """Decide one part; `only` names its clauses (None: the whole text)."""
    weights = weigh_words(understood, base.index, base.vocabulary, only)
    text = understood.text if only is None else " ".join(understood.clauses[number].text for number in sorted(only))
    verdict = judge(base.guards, understood, _seen_by_guards(understood, only), base.vocabulary)
    ranked = [item for item in base.ranker.rank(understood, weights) if item.entry not in verdict.forbidden]
    ranked = _pin(ranked, verdict)
    top = tuple(ranked[:5])
    near = _near(ranked)
    score = sureness(base, ranked)
    if verdict.refer is not None:
        see = tuple(name for name in verdict.refer.record.see if name in base.library.entries)
        return Decision(text, "refer", None, score, "referred", see[:NEAR_MOST], verdict.refer, verdict.names, top)
    if verdict.refuse or foreignness(understood, base, weights) > 0:
        return Decision(text, "abstain", None, min(score, 0.2), "other-field", (), None, verdict.names, top)
    if not ranked or score < (THRESHOLD_IN_DOUBT if verdict.doubt else THRESHOLD):
        reason: Reason = "unsure" if near else "not-covered"
        return Decision(text, "abstain", None, score, reason, near, None, verdict.names, top)
    first = ranked[0]
    if score < SURE_ALONE and not base.topics[first.entry].alone and not speaks_of_ours(understood, base):
        return Decision(text, "abstain", None, min(score, 0.3), "not-covered", near, None, verdict.names, top)
    if lead(ranked) < CLOSE and not verdict.pinned and not _related(base, first.entry, ranked[1].entry):
        return Decision(text, "abstain", None, score, "which", near[:2], None, verdict.names, top)
    others = tuple(name for name in near if name != first.entry)
    return Decision(text, "answer", first.entry, score, "", others, None, verdict.names, top)


def lead(ranked: Sequence[Scored], rival: int = 1) -> float:
    """Return how far the first entry lies before another, as a share of its total (0 to LEAD_MOST)."""
    if len(ranked) <= rival:
        return LEAD_MOST
    first = ranked[0].total
    return max(0.0, min(LEAD_MOST, (first - ranked[rival].total) / first)) if first > 0 else 0.0


def sureness(base: Base, ranked: Sequence[Scored]) -> float:
    """Return how sure the first entry is, between nought and one.

    A second entry to which the first one's reader is sent anyway is half a rival: most of the lead before the third
    counts.
    """
    if not ranked:
        return 0.0
    ahead = lead(ranked)
    if len(ranked) > 1 and _related(base, ranked[0].entry, ranked[1].entry):
        ahead = max(ahead, HALF_RIVAL * lead(ranked, 2))
    return 1.0 / (1.0 + exp(-(BASE + PER_TOTAL * ranked[0].total + PER_LEAD * ahead)))


def _related(base: Base, first: str, second: str) -> bool:
    """Whether one of two entries sends its reader to the other: then the first is said and the other offered."""
    entries = base.library.entries
    return second in entries[first].related or first in entries[second].related


# a moth, a flower or a lettuce may be anybody's
NOT_OURS = (WEAK_PLANTS - {"host-plant"}) | {"moth"}


def speaks_of_ours(understood: Understood, base: Base) -> bool:
    """Whether anything in the text, the story too, belongs to this field."""
    if base.vocabulary.ours.intersection(understood.stems):
        return True
    concepts = base.vocabulary.concepts
    for hit in understood.hits:
        name = hit.concept.removeprefix(NEGATED)
        ours = concepts[name].kind in OURS_KINDS and name not in NOT_OURS
        if name in OURS_EVENTS or ours:
            return True
    return False


def foreignness(understood: Understood, base: Base, weights: list[float]) -> float:
    """Return how much more a question speaks of other fields than of this one; nought or less when it does not.

    Where the asking words name nothing of this field ("What do I feed them?") the story counts as much as they do.
    """
    plain = _sides(understood, base, weights)
    if plain.strong > 0 or not any(clause.asks for clause in understood.clauses):
        return plain.excess
    lifted = [max(weight, STORY_SUBJECT) if weight > 0.2 else weight for weight in weights]
    return _sides(understood, base, lifted).excess


@dataclass(frozen=True)
class _Sides:
    other: float
    strong: float
    weak: float

    @property
    def excess(self) -> float:
        return self.other - self.strong - min(self.weak, WEAK_MOST) if self.other >= FOREIGN_LEAST else 0.0


def _sides(understood: Understood, base: Base, weights: list[float]) -> _Sides:
    other: dict[str, float] = {}
    ours: dict[str, float] = {}
    own = (hit for hit in understood.hits if not hit.concept.startswith(NEGATED))
    shared = {hit.start for hit in own if not base.vocabulary.foreign(hit.concept)}
    cocoons = {hit.start for hit in understood.hits if hit.concept == "cocoon-word"}
    for hit in understood.hits:
        if hit.concept.startswith(NEGATED):
            continue
        weight = hit.weight * max(weights[hit.start : hit.end], default=0.0)
        if base.vocabulary.foreign(hit.concept):
            asked, told = FOREIGN_WORTH[base.vocabulary.concepts[hit.concept].kind]
            # a word said twice counts once; one that also means a thing of this field ("cooking" in the sun) by half
            key = f"{hit.concept}@{understood.stems[hit.start]}"
            worth = weight * (asked if weight >= PLAINLY else told) * (SHARED if hit.start in shared else 1.0)
            other[key] = max(other.get(key, 0.0), worth)
        else:
            worth = _worth(hit.concept, base.vocabulary.concepts[hit.concept].kind)
            # moths make cocoons: the word alone does not say that it is ours
            worth = min(worth, WEAK) if hit.concept == "chrysalis" and hit.start in cocoons else worth
            if hit.concept == "caterpillar" and understood.stems[hit.start] in base.vocabulary.ours:
                worth = PLAIN_CATERPILLAR
            # a word counts once, not again as each broader thing it is
            key = f"{hit.start}" if worth > WEAK else f"~{hit.concept}"
            ours[key] = max(ours.get(key, 0.0), worth * weight)
    strong = sum(value for key, value in ours.items() if not key.startswith("~"))
    return _Sides(sum(other.values()), strong, sum(value for key, value in ours.items() if key.startswith("~")))


def _worth(concept: str, kind: str) -> float:
    if concept in SURE_CONCEPTS:
        return STRONG
    if kind in STRONG_KINDS and concept not in WEAK_PLANTS:
        return STRONG
    return WEAK if kind in (*WEAK_KINDS, *STRONG_KINDS) else 0.0


def _seen_by_guards(understood: Understood, only: frozenset[int] | None) -> list[float]:
    """Guards see the whole story, but not the other questions when the text has parts."""
    weights = [1.0] * len(understood.words)
    if only is not None:
        for number, clause in enumerate(understood.clauses):
            if clause.asks and number not in only:
                weights[clause.start : clause.end] = [0.0] * (clause.end - clause.start)
    return weights


def _pin(ranked: list[Scored], verdict: Verdict) -> list[Scored]:
    pinned = [item for name in verdict.pinned for item in ranked if item.entry == name]
    return pinned + [item for item in ranked if item not in pinned]


def _near(ranked: Iterable[Scored]) -> tuple[str, ...]:
    return tuple(item.entry for item in ranked if item.total >= NEAR_LEAST)[:NEAR_MOST]


def _abstain(understood: Understood, reason: Reason, language: Language | None = None) -> Decision:
    return Decision(understood.text, "abstain", None, 0.0, reason, language=language)


def _parts(understood: Understood, base: Base, whole: Decision) -> tuple[Decision, ...]:
    """Return two decisions when the text plainly asks two things; else nothing.

    Every way to cut the asking clauses into a first and a second part is tried; the cut whose two parts lead to two
    different places with the least loss wins.
    """
    asking = [number for number, clause in enumerate(understood.clauses) if clause.asks]
    if not 2 <= len(asking) <= CLAUSES_MOST or len(understood.words) > SHORT_TEXT:
        return ()
    likely = frozenset(item.entry for item in whole.ranked)
    best: tuple[float, tuple[Decision, ...]] = (0.0, ())
    for cut in range(1, len(asking)):
        groups = (frozenset(asking[:cut]), frozenset(asking[cut:]))
        if any(sum(clause_mass(understood, base.index, n) for n in group) < PART_MASS for group in groups):
            continue
        first, second = (
            replace(
                decide_part(understood, base, group),
                mass=sum(clause_mass(understood, base.index, number) for number in group),
            )
            for group in groups
        )
        pair, kept = _pair(base, first, second, likely)
        if kept > best[0]:
            best = (kept, pair)
    return best[1]


def _pair(base: Base, first: Decision, second: Decision, likely: frozenset[str]) -> tuple[tuple[Decision, ...], float]:
    """Return the two parts with two different entries, and the totals kept; nothing when one of them has none.

    `likely` are the entries the whole text leads to: one that is not among them must be nearly sure by its part alone.
    """
    if "refer" in (first.does, second.does):
        other = second if first.does == "refer" else first
        referred = first if first.does == "refer" else second
        merged = other.does == "refer" or (referred.guard is not None and other.entry in referred.guard.record.see)
        if other.does != "answer" or merged or other.score < ASIDE_SURE or other.mass < ASIDE_MASS:
            return (), 0.0
        return (first, second), 99.0
    options: list[tuple[float, Scored, Scored]] = []
    for one in first.ranked[:3]:
        for two in second.ranked[:3]:
            if one.entry == two.entry or min(one.total, two.total) < PART_LEAST:
                continue
            # each is held against the part's best but the other's entry, which is no rival here
            fits = one.total >= PART_SHARE * _best_but(first, two) and two.total >= PART_SHARE * _best_but(second, one)
            fits = fits and all(
                item.entry in likely or sureness(base, part.ranked) >= PART_ALONE
                for part, item in ((first, one), (second, two))
            )
            if fits:
                options.append((one.total + two.total, one, two))
    if not options or "other-field" in (first.reason, second.reason):
        return (), 0.0
    total, one, two = max(options, key=lambda item: item[0])
    if total < PAIR_SHARE * sum(part.ranked[0].total for part in (first, second)):
        return (), 0.0
    pair = (_answered(base, first, one, two), _answered(base, second, two, one))
    return (pair, total) if any(part.does == "answer" for part in pair) else ((), 0.0)


def _best_but(part: Decision, other: Scored) -> float:
    return max((item.total for item in part.ranked if item.entry != other.entry), default=0.0)


def _answered(base: Base, part: Decision, item: Scored, other: Scored) -> Decision:
    """Return the part answered with `item`, or unsure: the other part's entry is no rival, all others are."""
    rivals = [item, *(one for one in part.ranked if one.entry not in (item.entry, other.entry))]
    score = sureness(base, rivals)
    near = tuple(name for name in part.near if name != item.entry)
    if score < PART_THRESHOLD:
        return replace(part, does="abstain", entry=None, score=score, reason="unsure", near=part.near)
    return replace(part, does="answer", entry=item.entry, score=score, reason="", near=near)
