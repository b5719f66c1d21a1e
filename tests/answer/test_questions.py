"""The tuning half of the public's questions keeps the score it had: a fall shows that something broke."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handouts.answer.evidence import Tally, outcome
from handouts.answer.reply import PartReply, Reply
from handouts.desk import Desk
from tests.questions.score import score

# a little below what was measured on the tuning half
LEAST_RIGHT = {"clean": 0.96, "chatty": 0.86, "misspelt": 0.9, "fragment": 0.9, "with-place": 0.74, "two-part": 0.56}


@pytest.fixture(scope="module")
def tally(desk: Desk) -> Tally:
    """The tally of the tuning half."""
    return score("tuning", desk)[0]


@pytest.mark.parametrize(("style", "least"), LEAST_RIGHT.items())
def test_right_answers_by_style(tally: Tally, style: str, least: float) -> None:
    """The right entry comes first as often as it did."""
    assert tally.share("answer", "right", style=style) >= least


def test_wrong_answers_stay_rare(tally: Tally) -> None:
    """Few questions get a wrong answer."""
    assert tally.share("answer", "wrong") <= 0.03


def test_what_is_not_ours_is_not_answered(tally: Tally) -> None:
    """Nearly all questions to be referred or refused are."""
    assert tally.share("refer", "referred") >= 0.94
    assert tally.share("abstain", "refused", "referred") >= 0.94


def test_harmful_misses_do_not_grow(tally: Tally) -> None:
    """Questions where a wrong answer can hurt are not answered wrongly more often than they were."""
    assert len(tally.harmful) <= 1


@pytest.mark.parametrize(
    ("half", "right", "wrong", "refused", "harmful"),
    [("practice", 0.87, 0.04, 0.95, 1), ("second", 0.92, 0.03, 0.97, 0)],
)
def test_questions_practised_on_stay_understood(
    desk: Desk, half: str, right: float, wrong: float, refused: float, harmful: int
) -> None:
    """Questions practised on stay answered; few get a wrong answer, hardly any that can hurt."""
    practised = score(half, desk)[0]
    assert practised.share("answer", "right") >= right
    assert practised.share("answer", "wrong") <= wrong
    assert practised.share("refer", "referred", "refused", "answered-entry") == 1.0
    assert practised.share("abstain", "refused", "referred") >= refused
    assert len(practised.harmful) <= harmful


def test_questions_nobody_learned_from_are_understood(desk: Desk) -> None:
    """Of the sets from which nothing was learned most are answered rightly and few wrongly."""
    for half, least in (("held-out", 0.84), ("fourth", 0.8), ("fifth", 0.8)):
        unseen = score(half, desk)[0]
        assert unseen.share("answer", "right") >= least
        assert unseen.share("answer", "wrong") <= 0.06
        kept = unseen.count("refer", "referred", "refused", "answered-entry") + unseen.count(
            "abstain", "refused", "referred"
        )
        assert kept >= 0.92 * (unseen.count("refer") + unseen.count("abstain"))
        assert len(unseen.harmful) <= 2


def reply(entry: str | None, *parts: str | None, reason: str = "", refer: tuple[str, ...] = ()) -> Reply:
    """Return a reply with an entry, or with a part for each of several entries."""
    given = tuple(PartReply("x", name is not None, name, "y") for name in parts)
    return Reply(entry is not None, entry, 0.9, "y", parts=given, reason=reason, refer=refer)


ONE = {"expect": "answer", "topics": ["a", "b"], "style": "clean", "safety": False}
TWO = {**ONE, "parts": [["a"], ["c", "d"]]}
REFER = {**ONE, "expect": "refer"}
ABSTAIN = {**ONE, "expect": "abstain", "topics": []}


@pytest.mark.parametrize(
    ("row", "given", "result"),
    [
        (ONE, reply("b"), "right"),
        (ONE, reply("z"), "wrong"),
        (ONE, reply(None), "missed"),
        (TWO, reply("a", "a", "d"), "right"),
        (TWO, reply("a"), "half"),
        (TWO, reply("a", "a", "z"), "wrong"),
        (TWO, reply(None), "missed"),
        (REFER, reply(None, reason="referred", refer=("doctor",)), "referred"),
        (REFER, reply(None, reason="unsure"), "refused"),
        (REFER, reply("a", refer=("doctor",)), "answered-entry"),
        (REFER, reply("a"), "leaked"),
        (REFER, reply("z", refer=("doctor",)), "leaked"),
        (ABSTAIN, reply(None, reason="unsure"), "refused"),
        (ABSTAIN, reply("a"), "leaked"),
    ],
)
def test_outcomes_are_judged_by_the_labels(row: dict[str, object], given: Reply, result: str) -> None:
    """The judge calls each kind of reply by its name."""
    assert outcome(row, given) == result


def test_a_missed_question_may_have_its_entry_offered() -> None:
    """An abstention that offers an acceptable entry is counted as such."""
    tally = Tally()
    tally.add({**ONE, "id": "q1"}, replace(reply(None, reason="unsure"), near=({"entry": "b", "question": "?"},)))
    tally.add({**ONE, "id": "q2"}, replace(reply(None, reason="unsure"), near=({"entry": "z", "question": "?"},)))
    assert (tally.count("answer", "missed"), tally.offered) == (2, 1)


def test_a_wrong_answer_to_a_safety_question_is_listed() -> None:
    """The tally lists the misses that could hurt somebody."""
    tally = Tally()
    tally.add({**ONE, "safety": True, "id": "q1"}, reply("z"))
    tally.add({**ONE, "safety": False, "id": "q2"}, reply("z"))
    assert tally.harmful == [("q1", "wrong", "z")]
    assert any("harmful misses" in line for line in tally.lines())
