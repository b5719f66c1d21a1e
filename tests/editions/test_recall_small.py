"""Random edits of a small library: the recall names exactly what states something that has changed, and no others."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handouts.editions.recall import recall
from tests.editions import small

PUBLISHED = [name for name, fact in small.FACTS.items() if fact["basis"]["kind"] == "published"]


@pytest.fixture(scope="module")
def given_out(tmp_path_factory):
    """The records of everything that was given out, and a folder to write edited libraries in."""
    folder = tmp_path_factory.mktemp("small")
    return small.give_out(folder), folder


def _value(data: dict[str, Any], name: str) -> None:
    fact = data["facts"][name]
    if "span" in fact:
        for end in set(fact["span"]) - {"unit"}:
            fact["span"][end] += 1
    elif "time" in fact:
        fact["time"]["to"] = "5 wk before last freeze"
    else:
        fact["term"] = "a tall bush"


def _basis(data: dict[str, Any], name: str) -> None:
    fact = data["facts"][name]
    if fact["basis"]["kind"] == "published":
        fact["basis"] = {"kind": "common-practice"}
    elif "span" in fact:
        fact["basis"] = {"kind": "published"}
        data["stated"].setdefault(name, dict(fact["span"]))
    else:
        fact["basis"] = {"kind": "own-observation", "n": 12, "period": "2026", "place": "a garden"}


def _source(data: dict[str, Any], name: str) -> None:
    for end in set(data["stated"][name]) - {"unit"}:
        data["stated"][name][end] += 2


def _memory(data: dict[str, Any], name: str) -> None:
    data["facts"][name]["basis"] = {"kind": "memory"}


EDITS = {"value": _value, "basis": _basis, "source": _source, "memory": _memory}
CHANGES = st.dictionaries(
    st.sampled_from(list(small.FACTS)),
    st.sampled_from(["value", "basis", "source", "memory", "gone", "label"]),
    max_size=3,
)
CLASSES = st.dictionaries(
    st.sampled_from(["test-moth", "test-herb"]), st.sampled_from(["test-sap", "test-scales"]), max_size=2
)


def expected(changes: dict[str, str], added: dict[str, str]) -> dict[str, set[str]]:
    """Return what must be named and why, from the test's own table: fact ids, and subjects with a new caution."""
    facts, subjects = small.tables()
    found: dict[str, set[str]] = {}
    for name, shown in facts.items():
        hits = {fact for fact in shown if changes.get(fact, "label") != "label"}
        had = {"test-sap"} if "test-herb" in subjects[name] else set()  # the herb's own caution stood there before
        new = {subject for subject in subjects[name] & set(added) if added[subject] not in had}
        if hits | new:
            found[name] = hits | new
    return found


def named(found: Any) -> dict[str, set[str]]:
    """Return what the recall names, as topic/kind or as the entry's name, and the ids of what has changed."""
    made: dict[str, set[str]] = {}
    for one in found.affected:
        name = f"{one.item.topic}/{one.item.kind}" if one.what == "edition" else one.item.id
        assert name not in made, "named twice"
        made[name] = {change.id.partition("|")[0] for change in one.changes}
    return made


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=CHANGES, added=CLASSES)
def test_recall_names_exactly_what_has_changed(changes, added, given_out):
    """After random edits the recall names the editions, videos and sheets that state them, and no others."""
    records, folder = given_out
    data = small.start()
    done = {}
    for name, kind in changes.items():
        if kind == "source" and name not in PUBLISHED:
            continue
        done[name] = kind
        if kind == "gone":
            del data["facts"][name]
        elif kind == "label":
            data["labels"][name] = "said in other words"
        else:
            EDITS[kind](data, name)
    for subject, hazard in added.items():
        data["carries"][subject] = list(dict.fromkeys([*data["carries"][subject], hazard]))
    found = recall(records, small.today(small.library(data, folder)))
    assert named(found) == expected(done, added)
    assert found.notes == ()


def test_nothing_changed_nothing_listed(given_out):
    """With the library as it was, nothing is named."""
    records, folder = given_out
    found = recall(records, small.today(small.library(small.start(), folder)))
    assert found.affected == ()
    assert (found.editions, found.outside) == (4, 3)


@pytest.mark.parametrize(
    ("edit", "fact", "why"),
    [
        (_value, "test-moth.larva", "value changed"),
        (_basis, "test-moth.larva", "basis changed"),
        (_source, "test-moth.larva", "basis changed"),
        (_memory, "test-moth.larva", "fact withdrawn"),
    ],
)
def test_a_change_says_what_it_was_what_it_is_and_why(edit, fact, why, given_out):
    """Old words, new words and the reason stand with each change."""
    records, folder = given_out
    data = small.start()
    edit(data, fact)
    found = recall(records, small.today(small.library(data, folder)))
    for one in found.affected:
        (change,) = one.to_json()["changes"]
        assert change["why"] == why
        assert change["old"] == "10 to 30 days"
        new = {"fact withdrawn": None, "value changed": "11 to 31 days"}.get(why, "10 to 30 days")
        assert change["new"] == (new and new.replace(" ", "\u00a0"))
        assert change["same_words"] == (edit is _source)
    assert len(found.affected) == 4


def test_an_added_caution_class_is_named_with_its_subject(given_out):
    """A new hazard class of a subject names the papers without its caution, and the videos about it."""
    records, folder = given_out
    data = small.start()
    data["carries"]["test-moth"] = ["test-scales"]
    found = recall(records, small.today(small.library(data, folder)))
    assert {change.why for one in found.affected for change in one.changes} == {("caution class added",)}
    assert {one.what for one in found.affected} == {"edition", "video", "sheet"}
