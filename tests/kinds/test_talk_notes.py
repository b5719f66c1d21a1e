"""Talk notes: minutes that fill the slot, room for questions, materials for as many as come."""

import math

import pytest

from handouts import build
from handouts.compose.kinds.talk import DO_MINUTES, fitting, minutes_of, needed
from handouts.compose.prose import plain
from handouts.inspect import parts
from handouts.inspect.kit import kit_of
from handouts.inspect.page import read_page
from handouts.model.document import Heading, Items, Slot
from handouts.model.records import Material
from handouts.render import render
from tests.kinds.conftest import TOPICS, composed, library

SLOTS = (15, 30, 45, 60)


def slots(document, name):
    return [block for block in document.blocks if isinstance(block, Slot) and block.name == name]


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("minutes", SLOTS)
def test_the_minute_plan_fills_the_slot(topic, minutes):
    """Whole minutes, one at least a part, follow each other and sum to the slot; questions and sheet have some."""
    document = composed("talk-notes", topic, minutes=minutes)
    rows = [[plain(cell) for cell in row] for row in slots(document, "minutes")[0].blocks[0].rows]
    lengths = [int(row[2]) for row in rows]
    assert sum(lengths) == minutes
    assert min(lengths) >= 1
    assert [row[0] for row in rows[-2:]] == [library().say("questions"), library().say("evaluation")]
    at = 0
    for (_, span, _), length in zip(rows, lengths, strict=True):
        assert span == f"{at}\u2013{at + length}"
        at += length
    assert len(slots(document, "part")) == len(rows) - 2 == len(library().plan(topic).talk.parts)


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("minutes", SLOTS)
def test_what_is_said_leaves_time_to_show_and_do(topic, minutes):
    """The spoken words of a part take at most three quarters of its minutes at 125 words a minute."""
    document = composed("talk-notes", topic, minutes=minutes)
    lengths = [int(plain(row[2])) for row in slots(document, "minutes")[0].blocks[0].rows]
    for part, length in zip(slots(document, "part"), lengths, strict=False):
        said = [
            line for block in part.blocks if isinstance(block, Items) and block.role == "say" for line in block.items
        ]
        words = sum(len(plain(line).split()) for line in said)
        assert words <= length * 125 * 0.75, (plain(part.title), words, length)


@pytest.mark.parametrize("topic", TOPICS)
def test_in_a_short_part_people_do_it_when_there_is_time(topic):
    """Under three minutes what people do is headed so; from three on it is part of the plan."""
    for minutes in SLOTS:
        document = composed("talk-notes", topic, minutes=minutes)
        lengths = [int(plain(row[2])) for row in slots(document, "minutes")[0].blocks[0].rows]
        for part, length in zip(slots(document, "part"), lengths, strict=False):
            heads = [plain(block.runs) for block in part.blocks if isinstance(block, Heading)]
            assert (library().say("do-if-time") in heads) == (length < DO_MINUTES and "Do" in " ".join(heads))


def test_a_slot_too_short_for_all_parts_leaves_out_the_smallest():
    """Five minutes: three parts, questions and sheet; what is left out is named."""
    document = composed("talk-notes", TOPICS[0], minutes=5)
    (plan,) = slots(document, "minutes")
    lengths = [int(plain(row[2])) for row in plan.blocks[0].rows]
    assert lengths == [1] * 5
    shares = [part.share for part in library().plan(TOPICS[0]).talk.parts]
    kept = [part.share for part in fitting(library().plan(TOPICS[0]).talk.parts, 5)]
    assert sorted(kept) == sorted(shares)[-3:]
    assert plain(plan.blocks[1].runs).count(";") == len(shares) - 3 - 1


@pytest.mark.parametrize("slot", range(3, 121))
def test_minutes_are_shared_out_without_loss(slot):
    """For any slot the whole minutes sum to it and none is empty; more parts than minutes are refused."""
    for shares in ([1.0, 1.0, 1.0], [7.0, 0.1, 2.0], [0.3, 0.3, 0.4]):
        made = minutes_of(shares, slot)
        assert sum(made) == slot
        assert min(made) >= 1
    with pytest.raises(ValueError, match="do not fit"):
        minutes_of([1.0] * (slot + 1), slot)


@pytest.mark.parametrize("people", [1, 2, 7, 18, 45])
def test_materials_are_enough_for_all(people):
    """One each, one for two, one for six at a table, one for the talk: never too few, never one group too many."""
    each = {per: needed(Material(item="x", each=2, per=per), people) for per in ("person", "pair", "table", "talk")}
    assert each == {
        "person": 2 * people,
        "pair": 2 * math.ceil(people / 2),
        "table": 2 * math.ceil(people / 6),
        "talk": 2,
    }
    (bring,) = slots(composed("talk-notes", TOPICS[0], people=people), "materials")
    assert any(plain(line) == f"{people} × handout" for line in bring.blocks[0].items)


@pytest.mark.parametrize("topic", TOPICS)
def test_questions_and_evaluation_are_there(topic):
    """Every question of the plan is expected; the sheet asks before and now, what people intend, what is open."""
    document, plan = composed("talk-notes", topic), library().plan(topic)
    (questions,) = slots(document, "questions")
    assert len([block for block in questions.blocks if isinstance(block, Heading)]) == len(plan.faq) >= 5
    (asked,) = slots(document, "evaluation")
    lines = [plain(line) for line in asked.blocks[0].items]
    assert sum(line.startswith("Before and now") for line in lines) >= 2
    assert sum("How likely" in line for line in lines) >= 1
    assert any("unclear" in line for line in lines)


def test_inspection_adds_the_minutes_up(tmp_path):
    """The plan of a real page that does not sum to the slot of its event is an error."""
    document = composed("talk-notes", TOPICS[0], minutes=45)
    path = tmp_path / "x-talk-notes.html"
    path.write_bytes(render(document, ".html", build.assets_of(library())).data)
    for minutes, wrong in ((45, 0), (60, 1)):
        kit = kit_of({"event": {"minutes": minutes}, "documents": [{"file": path.name, "kind": "talk-notes"}]})
        assert len(list(parts.minute_plan(read_page(path, library(), kit)))) == wrong
