"""Embeddings count where their extra is installed and wanted, and nothing misses them elsewhere."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from handouts import paths
from handouts.answer import meaning as meanings
from handouts.answer.learned import load_learned, save_learned
from handouts.answer.meaning import PACKAGE, SWITCH, Meaning, installed, load_meaning
from handouts.desk import Desk
from handouts.paths import Folders

WEIGHTS = ((2.0, -1.0), (0.0, 1.5), (-0.5, 0.5))
MIDDLE = [0.1, -0.2, 0.0]
needs_the_model = pytest.mark.skipif(find_spec(PACKAGE) is None, reason="the extra `semantic` is not installed")


def test_logits_are_those_of_a_plain_sum(tmp_path: Path) -> None:
    """A text's numbers, less the middle ones and of length one, times the learned weights."""
    path = tmp_path / "meaning.bin"
    save_learned(path, ("a", "~outside"), "012", [1.0] * 3, WEIGHTS, (0.25, -0.25), {"middle": MIDDLE})
    found = Meaning(load_learned(path))
    found.__dict__["_embed"] = lambda text: np.array([1.1, 0.8, 2.0])
    vector = np.array([1.0, 1.0, 2.0]) / 6**0.5
    expected = vector @ np.array(WEIGHTS) + np.array((0.25, -0.25))
    assert list(found.logits("any text").values()) == pytest.approx(list(expected), abs=0.02)


def test_without_the_model_there_is_no_meaning(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the package is missing, or switched off, the weights are not even read."""
    path = paths.content_dir() / "words" / "meaning.bin"
    monkeypatch.setattr(meanings, "find_spec", lambda name: None)
    monkeypatch.delenv(SWITCH)
    assert load_meaning(path) is None
    monkeypatch.setattr(meanings, "find_spec", lambda name: object())
    assert installed()
    monkeypatch.setenv(SWITCH, "off")
    assert load_meaning(path) is None


def test_words_and_meaning_were_learned_from_the_same() -> None:
    """Both files have the same columns and were made from the same questions and ways to ask."""
    words = paths.content_dir() / "words"
    learned, meant = load_learned(words / "learned.bin"), load_learned(words / "meaning.bin")
    assert meant.columns == learned.columns
    assert meant.about["made-of"] == learned.about["made-of"], "run python -m tests.questions.learn_meaning"


@needs_the_model
def test_a_wording_nobody_learned_is_understood_by_its_meaning(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the model the desk still answers plain questions, and refers and refuses as before."""
    monkeypatch.delenv(SWITCH)
    desk = Desk(Folders(paths.content_dir()))
    assert desk.base.ranker.meaning is not None
    assert desk.reply("How long does an adult swallowtail live?", None, "brief", None).entry == "life-span"
    assert desk.reply("My toddler swallowed a rue leaf", None, "brief", None).reason == "referred"
    assert not desk.reply("Which tires fit my truck?", None, "brief", None).answered


@needs_the_model
def test_with_the_model_unseen_questions_fare_no_worse(monkeypatch: pytest.MonkeyPatch, desk: Desk) -> None:
    """Of the held-out half at least as many are answered rightly with the model, within a percent."""
    from tests.questions.score import score

    plain = score("held-out", desk)[0]
    monkeypatch.delenv(SWITCH)
    meant = score("held-out", Desk(Folders(paths.content_dir())))[0]
    assert meant.share("answer", "right") >= plain.share("answer", "right") - 0.01
    assert meant.share("answer", "wrong") <= plain.share("answer", "wrong") + 0.01
