"""The children's sheet: a thing to do, boxes to draw in, rules for grown-up hands, the cautions short, easy words."""

from dataclasses import replace

import pytest

from handouts import build
from handouts.compose.carriers import classes_named
from handouts.compose.composer import words_of
from handouts.inspect import parts
from handouts.inspect.page import read_page
from handouts.model.document import Blank, Items, Notice, Para, Picture, Slot, Text
from handouts.render import render
from tests.kinds.conftest import TOPICS, composed, library

# What every sheet says to grown-ups, whatever else it says.
RULES = ("gloves", "wash", "no pins", "no rue")


def slot(document, name):
    (found,) = [block for block in document.blocks if isinstance(block, Slot) and block.name == name]
    return found


@pytest.mark.parametrize("topic", TOPICS)
def test_it_has_something_to_do_to_draw_to_count_and_a_picture(topic):
    """Steps that end with clean hands, two to six boxes, a list to count on, one drawing with words for it."""
    document = composed("childrens-sheet", topic)
    (steps,) = slot(document, "do-this").blocks
    assert isinstance(steps, Items) and steps.ordered
    assert "Wash your hands" in words_of((Items(steps.items[-1:]),))
    assert 2 <= sum(isinstance(block, Blank) for block in slot(document, "draw").blocks) <= 6
    assert slot(document, "count").blocks[0].rows
    (picture,) = [block for block in document.blocks if isinstance(block, Picture)]
    assert len(picture.alt) > 20


@pytest.mark.parametrize("topic", TOPICS)
def test_grown_ups_are_told_the_rules(topic):
    """Gloves, washing, no pins, no rue: each stands among the rules for grown-up hands."""
    said = words_of((slot(composed("childrens-sheet", topic), "grown-ups"),)).lower()
    for rule in RULES:
        assert rule in said, rule


@pytest.mark.parametrize("topic", TOPICS)
def test_what_children_do_names_nothing_that_carries_a_danger(topic):
    """Message, steps, boxes, counts and facts name no subject with a hazard class: only safe plants."""
    document = composed("childrens-sheet", topic)
    for name in ("main-message", "do-this", "draw", "count", "wonder"):
        assert classes_named(library(), words_of((slot(document, name),))) == [], name


@pytest.mark.parametrize("topic", TOPICS)
def test_cautions_are_short_and_all_there(topic):
    """Clean hands, the topic's own cautions and those of rue travel along, each in its short form."""
    document, plan = composed("childrens-sheet", topic), library().plan(topic)
    notices = [block for block in slot(document, "cautions").blocks if isinstance(block, Notice)]
    assert {"children-hygiene", *plan.cautions, *library().subjects["rue"].carries} <= {one.caution for one in notices}
    assert {one.length for one in notices} == {"short"}


def test_hard_words_are_found(tmp_path):
    """Above grade five the sheet is an error, though another kind may read so."""
    document = composed("childrens-sheet", TOPICS[0])
    hard = Para(
        (Text(" ".join(["Considerable environmental contamination necessitates comprehensive investigation."] * 9)),)
    )
    broken = replace(document, blocks=(Slot("main-message", (hard,), (Text("Words"),)), *document.blocks[1:]))
    assets = build.assets_of(library())
    for name, made in (("easy", document), ("hard", broken)):
        (tmp_path / f"{name}.html").write_bytes(render(made, ".html", assets).data)
    easy, hard_page = (read_page(tmp_path / f"{name}.html", library(), None) for name in ("easy", "hard"))
    assert easy.kind == "childrens-sheet"
    assert not list(parts.reading_grade(easy))
    assert [found.expected for found in parts.reading_grade(hard_page)] == ["5 or below"]
