"""The learned weights: written and read alike, computed rightly, made from what stands in the project."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handouts import paths
from handouts.answer.decide import decide
from handouts.answer.features import Bearings, features
from handouts.answer.gate import chances
from handouts.answer.learned import ASIDE, Learned, load_learned, save_learned
from handouts.answer.rank import build_ranker
from handouts.answer.understand import understand
from handouts.desk import Desk
from handouts.errors import BadContent
from tests.questions.learn import digest

COLUMNS = ("egg-finding", "life-span", "~outside")
NAMES = ("egg", "@egg", "where find")
TELLING = (1.5, 2.0, 3.0)
WEIGHTS = ((3.0, -1.0, 0.25), (2.5, -2.5, 0.0), (0.0, 0.0, 0.0))
OFFSETS = (0.1, -0.2, 0.5)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Learned:
    """Weights for three features and three columns, written to a file and read again."""
    path = tmp_path_factory.mktemp("learned") / "learned.bin"
    save_learned(path, COLUMNS, NAMES, TELLING, WEIGHTS, OFFSETS, {"sharp": 1.5})
    return load_learned(path)


def plainly(found: dict[str, float]) -> list[float]:
    """Return the logits by the textbook: scaled to length one, then a sum of products."""
    parts = [found.get(name, 0.0) * telling for name, telling in zip(NAMES, TELLING, strict=True)]
    length = sum(part * part for part in parts) ** 0.5 or 1.0
    return [
        offset + sum(part / length * row[column] for part, row in zip(parts, WEIGHTS, strict=True))
        for column, offset in enumerate(OFFSETS)
    ]


@given(st.dictionaries(st.sampled_from((*NAMES, "never seen")), st.floats(0.01, 1.0)))
def test_logits_are_those_of_a_plain_sum(small: Learned, found: dict[str, float]) -> None:
    """Rows taken as one long number give the same logits as a sum of products, but for the rounding of the weights."""
    logits, known = small.logits(found)
    assert list(logits.values()) == pytest.approx(plainly(found), abs=0.05)
    assert set(known) == set(found) & set(NAMES)


def test_what_stands_beside_the_weights_is_kept(small: Learned) -> None:
    """Columns and what is known beside the weights come back; a feature says which column it speaks for."""
    assert small.columns == COLUMNS
    assert small.about == {"sharp": 1.5}
    assert small.because("egg-finding", {"egg": 0.5, "@egg": 0.8}) == ("@egg", "egg")
    assert small.because("life-span", {"egg": 0.5, "@egg": 0.8}) == ()


@pytest.mark.parametrize("data", [b"", b"{}\n[]\n", b'{"columns": ["a"], "features": 2}\n["x", "y"]\n1234'])
def test_a_broken_file_is_refused(tmp_path: Path, data: bytes) -> None:
    """A file that is not one of weights is refused by name, with what to do."""
    path = tmp_path / "learned.bin"
    path.write_bytes(data)
    with pytest.raises(BadContent) as caught:
        load_learned(path)
    assert caught.value.file == path


def test_the_weights_are_made_from_what_stands_here() -> None:
    """Practice questions, ways to ask, concepts and everyday words are those the weights were learned from."""
    learned = load_learned(paths.content_dir() / "words" / "learned.bin")
    assert learned.about["made-of"] == digest(), "run python -m tests.questions.learn"


def test_every_entry_was_learned(desk: Desk) -> None:
    """There is a column for each entry, and one for each reason not to answer that a guard speaks for."""
    columns = set(desk.base.learned.columns)
    assert set(desk.base.library.entries) <= columns
    kinds = {guard.record.learned for guard in desk.base.guards if guard.record.learned}
    assert {name.removeprefix(ASIDE) for name in columns if name.startswith(ASIDE)} == kinds | {"outside"}


def test_chances_add_up(desk: Desk) -> None:
    """The chances of what a question may be are shares of one."""
    for text in ("how long does a chrysalis take", "my dog ate rue", "best tires for a truck"):
        taken = understand(text, desk.base.vocabulary)
        ranking = desk.base.ranker.rank(taken, [1.0] * len(taken.words))
        found = chances(ranking, len(taken.words), Bearings(0.2, 1.0, 0.0), desk.base.learned.about)
        assert found.right + found.wrong + found.refer + found.outside == pytest.approx(1.0)
        assert 0.0 <= found.care <= 1.0


def test_an_entry_that_was_not_learned_is_found_by_its_own_ways_to_ask(desk: Desk) -> None:
    """A club's entry ranks first for a question worded like it, and not for another."""
    base = desk.base
    entry = base.library.entries["life-span"].model_copy(
        update={
            "question": "Which bus goes to the butterfly house?",
            "asked_as": ["bus to the butterfly house on Sunday"],
        }
    )
    entries = {**base.library.entries, "club-bus": entry}
    ranker = build_ranker(entries, base.topics, base.vocabulary, base.learned)

    def first(text: str) -> str:
        taken = understand(text, base.vocabulary)
        return ranker.rank(taken, [1.0] * len(taken.words)).entries[0].entry

    assert first("does a bus go to the butterfly house on Sundays?") == "club-bus"
    assert first("how long do butterflies live") == "life-span"


def test_an_unlearned_entry_may_be_found_by_its_concepts(desk: Desk) -> None:
    """The concepts an entry names count as one more way to ask for it."""
    base = desk.base
    entry = base.library.entries["life-span"].model_copy(update={"concepts": ["egg", "cold"], "asked_as": []})
    ranker = build_ranker({"club-eggs": entry}, {}, base.vocabulary, base.learned)
    assert any(set(way) == {"@egg", "@cold"} for way in ranker.fresh["club-eggs"])


def test_features_tell_words_pairs_and_concepts(desk: Desk) -> None:
    """A question gives its concepts, its stems with figures as one, and neighbouring stems together."""
    taken = understand("where are the 12 eggs", desk.base.vocabulary)
    found = features(taken, [1.0] * len(taken.words))
    assert {"@egg", "egg", "#", "# egg"} <= set(found)
    assert not any("12" in name for name in found)


def test_the_score_is_explained(desk: Desk) -> None:
    """The reply says which features spoke for the entry."""
    reply = desk.reply("how long does a butterfly live", None, "brief", None)
    assert reply.entry == "life-span"
    assert any("live" in name for name in reply.scores[0]["because"])  # type: ignore[operator]
    assert decide("how long does a butterfly live", desk.base)[1][0].score == reply.score


def test_without_entries_nothing_is_answered(desk: Desk) -> None:
    """A base that has no answers, or none that is allowed, says so."""
    empty = replace(desk.base, ranker=build_ranker({}, {}, desk.base.vocabulary, desk.base.learned))
    (decision,) = decide("how long does a butterfly live", empty)[1]
    assert (decision.does, decision.reason) == ("abstain", "not-covered")
