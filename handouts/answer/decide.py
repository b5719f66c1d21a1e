"""A question in, what to do with each part out: answer with an entry, refer to people, or abstain and say why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from handouts.answer.base import Base
from handouts.answer.clean import Language
from handouts.answer.features import bearings
from handouts.answer.focus import said_in, weigh_words
from handouts.answer.gate import Chances, chances, kind_of_referral
from handouts.answer.guard import Guard, judge
from handouts.answer.rank import Ranking
from handouts.answer.understand import Understood, understand

Does = Literal["answer", "refer", "abstain"]
Reason = Literal["", "not-covered", "other-field", "unsure", "which", "empty", "language", "referred"]

# how likely the first entry must be right; more where a slip would hurt, as much as `care` says, and where
# nothing in the text belongs to this field alone. Chosen on questions of writers that were left out when the weights
# were learned.
THRESHOLD, PER_CARE, AWAY = 0.5, 0.35, 0.35
# a text with fewer telling words than this ("it hurts", "parsley?") hardly asks: its answer must be nearly certain
TELLING_LEAST, THRESHOLD_OF_A_CRY = 2, 0.93
# a guard that is not firm gives way to an answer as likely as this
GIVES_WAY = 0.9
# what a guard pins is answered unless the question is likelier of another field than this
PINNED_OUTSIDE = 0.5
# an entry less likely than this among all entries is not even offered; two this close both fit
NEAR_LEAST, NEAR_MOST = 0.03, 3
CLOSE = 0.04
# a text of two questions: how long at most, and at how many places each part must name something
WORDS_MOST, CLAUSES_MOST, PART_SAID = 100, 9, 1
# what speaks for two questions: how sure the less sure part is, that both ask, how likely both answers and how likely
# the first one is in the text as a whole (among its best TWO_AMONG); fitted on two-part and single practice questions.
# Where both ask, a part that is at least PART_LEAST sure may be one of the two.
TWO_BASE, TWO_LEAST, TWO_ASKED, TWO_SHARES, TWO_WHOLE = -6.8, 4.65, 2.2, 8.3, -6.9
TWO_AMONG, PART_LEAST = 5, 0.5


@dataclass(frozen=True)
class Decision:
    """What to do with one question. `ranking` holds the entries, `score` is how likely the first is right."""

    text: str
    does: Does
    entry: str | None
    score: float
    reason: Reason
    near: tuple[str, ...] = ()
    guard: Guard | None = None
    names: tuple[str, ...] = ()
    ranking: Ranking | None = field(default=None, compare=False)
    language: Language | None = None
    seen: Chances | None = field(default=None, compare=False)


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


def decide_part(understood: Understood, base: Base, part: range | None = None) -> Decision:
    """Decide one part; `part` names its clauses (None: the whole text)."""
    weights = weigh_words(understood, base.vocabulary, part)
    text = understood.text if part is None else " ".join(understood.clauses[number].text for number in part)
    verdict = judge(base.guards, understood, _seen_by_guards(understood, part), base.vocabulary)
    ranking = base.ranker.rank(understood, weights, text if part is None else None).without(verdict.forbidden)
    if not ranking.entries:
        return Decision(text, "abstain", None, 0.0, "not-covered")
    far = bearings(understood, weights, base.learned.rows, base.vocabulary)
    seen = chances(ranking, len(understood.words), far, ranking.about)
    pinned = [name for guard in verdict.pin if _stands(guard, seen) for name in guard.record.entries]
    ranking = ranking.first(tuple(dict.fromkeys(pinned)))
    near = _near(ranking)
    found = Decision(text, "abstain", None, seen.right, "unsure", near, None, verdict.names, ranking, seen=seen)
    refer, refuse = _standing(verdict.refer, seen), _standing(verdict.refuse, seen)
    if refer is not None:
        return _referred(found, refer, base)
    if refuse is not None:
        return replace(found, reason="other-field", near=())
    if pinned and seen.outside < PINNED_OUTSIDE:
        return _answered(found, ranking, base, pinned=True)
    cry = _telling(understood, base) < TELLING_LEAST
    least = THRESHOLD + max(PER_CARE * seen.care, AWAY * (1.0 - far.at_home))
    if seen.right >= (THRESHOLD_OF_A_CRY if cry else least):
        return _answered(found, ranking, base, pinned=False)
    return _not_answered(found, ranking, base, seen, cry)


def _not_answered(found: Decision, ranking: Ranking, base: Base, seen: Chances, cry: bool) -> Decision:
    """Return why nothing is answered: other people are to be asked, another field, or not sure enough."""
    if seen.outside >= max(seen.refer, seen.wrong + seen.right):
        return replace(found, reason="not-covered" if cry else "other-field", near=())
    guard = base.referral(kind_of_referral(ranking))
    if not cry and guard is not None and seen.refer > max(seen.outside, seen.right):
        return _referred(found, guard, base)
    return found if found.near else replace(found, reason="not-covered")


def _telling(understood: Understood, base: Base) -> int:
    """Return how many different words of a text say what it is about."""
    stop, pairs = base.vocabulary.stop, zip(understood.words, understood.stems, strict=True)
    return len({stem for word, stem in pairs if word not in stop and not word.isdigit()})


def _standing(guards: Sequence[Guard], seen: Chances) -> Guard | None:
    """Return the first guard that stands: all that are firm, the others unless an answer is nearly sure."""
    return next((guard for guard in guards if _stands(guard, seen)), None)


def _stands(guard: Guard, seen: Chances) -> bool:
    return guard.firm or seen.right < GIVES_WAY


def _answered(found: Decision, ranking: Ranking, base: Base, pinned: bool) -> Decision:
    first = ranking.entries[0]
    if not pinned and len(ranking.entries) > 1:
        second = ranking.entries[1]
        if first.share - second.share < CLOSE and not _related(base, first.entry, second.entry):
            return replace(found, reason="which", near=found.near[:2])
    return _with(found, first.entry)


def _with(found: Decision, entry: str) -> Decision:
    """Return the decision to answer with an entry; what else was near is offered."""
    others = tuple(name for name in found.near if name != entry)
    return replace(found, does="answer", entry=entry, reason="", near=others)


def _referred(found: Decision, guard: Guard, base: Base) -> Decision:
    see = tuple(name for name in guard.record.see if name in base.library.entries)
    return replace(found, does="refer", reason="referred", near=see[:NEAR_MOST], guard=guard)


def _related(base: Base, first: str, second: str) -> bool:
    """Whether one of two entries sends its reader to the other: then the first is said and the other offered."""
    entries = base.library.entries
    return second in entries[first].related or first in entries[second].related


def _seen_by_guards(understood: Understood, part: range | None) -> list[float]:
    """Guards see the whole story, but not the other questions when the text has parts."""
    weights = [1.0] * len(understood.words)
    if part is not None:
        for number, clause in enumerate(understood.clauses):
            if clause.asks and number not in part:
                weights[clause.start : clause.end] = [0.0] * (clause.end - clause.start)
    return weights


def _near(ranking: Ranking) -> tuple[str, ...]:
    return tuple(item.entry for item in ranking.entries[:NEAR_MOST] if item.share >= NEAR_LEAST)


def _abstain(understood: Understood, reason: Reason, language: Language | None = None) -> Decision:
    return Decision(understood.text, "abstain", None, 0.0, reason, language=language)


# -- several questions -------------------------------------------------------------------------------------------------


def _parts(understood: Understood, base: Base, whole: Decision) -> tuple[Decision, ...]:
    """Return two decisions when the text plainly asks two things; else nothing.

    Every cut between two clauses is tried; the one whose two parts lead most surely to two different answers wins.
    """
    clauses = understood.clauses
    if whole.does == "refer" or not 2 <= len(clauses) <= CLAUSES_MOST or len(understood.words) > WORDS_MOST:
        return ()
    best: tuple[float, tuple[Decision, ...]] = (0.0, ())
    for cut in range(1, len(clauses)):
        parts = (range(cut), range(cut, len(clauses)))
        asked = [any(clauses[number].asks for number in part) for part in parts]
        said = [sum(said_in(understood, number) for number in part) for part in parts]
        if not any(asked) or min(said) < PART_SAID:
            continue
        first, second = (_kept(decide_part(understood, base, part), all(asked)) for part in parts)
        worth = _worth(whole, first, second, all(asked))
        if worth > best[0]:
            best = (worth, (first, second))
    return best[1]


def _kept(part: Decision, asked: bool) -> Decision:
    """Return a part answered a little less surely than a text alone: two different answers bear each other out."""
    if not asked or part.reason != "unsure" or part.score < PART_LEAST or part.ranking is None:
        return part
    return _with(part, part.ranking.entries[0].entry)


def _worth(whole: Decision, first: Decision, second: Decision, asked: bool) -> float:
    """Return what speaks for two questions with two answers; nought or less where one question is likelier."""
    if first.does != "answer" or second.does != "answer" or first.entry == second.entry:
        return 0.0
    shares = {item.entry: item.share for item in whole.ranking.entries[:TWO_AMONG]} if whole.ranking else {}
    both = sum(shares.get(str(part.entry), 0.0) for part in (first, second))
    least = min(first.score, second.score)
    return (
        TWO_BASE
        + TWO_LEAST * least
        + TWO_ASKED * asked
        + TWO_SHARES * both
        + TWO_WHOLE * max(shares.values(), default=0.0)
    )
