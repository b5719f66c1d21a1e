"""The bench card: the steps in the plan's order, each with its time from the facts, in letters read at arm's length."""

import ctypes
import math

import pypdfium2
import pypdfium2.raw as raw
import pytest

from handouts import build
from handouts.compose.prose import NAME, plain
from handouts.model.document import Items, Slot, Styled
from handouts.model.plan_parts import BenchStep
from handouts.render import render
from tests.kinds.conftest import TOPICS, composed, library

STEP_POINTS = 17.9


def steps_of(document):
    (slot,) = [block for block in document.blocks if isinstance(block, Slot) and block.name == "bench"]
    (items,) = slot.blocks
    assert isinstance(items, Items)
    return items.items


@pytest.mark.parametrize("topic", TOPICS)
def test_steps_stand_in_the_order_of_the_plan_with_their_times(topic):
    """As many steps as the plan has, in its order; a time stands last in its step, set apart."""
    plan, shown = library().plan(topic), steps_of(composed("bench-card", topic))
    assert len(shown) == len(plan.bench) >= 5
    for step, runs in zip(plan.bench, shown, strict=True):
        assert plain(runs).startswith(NAME.split(step.do)[0].replace("'", "’"))
        assert step.time is not None
        assert isinstance(runs[-1], Styled)
        assert plain(runs[-1].runs)


@pytest.mark.parametrize("topic", TOPICS)
def test_every_figure_of_the_steps_is_a_claim_of_its_fact(topic):
    """A name in a step gives a claim of that fact or window, unless the place has no date for it."""
    document = composed("bench-card", topic)
    named = {name.partition("|")[0] for step in library().plan(topic).bench
             for text in (step.do, step.time or "") for name in NAME.findall(text)}  # fmt: skip
    claimed = {claim.id.partition("|")[0].partition("~")[0] for claim in document.claims}
    species = build.species_of(library(), topic)
    for name in named:
        assert name.replace("season.", f"season.{species}.") in claimed, name


def test_a_bare_step_is_its_words(tmp_path):
    """A plan may give a step as words alone, as a club's plan may have it."""
    plan = library().plan(TOPICS[0])
    again = type(plan).model_validate({**plan.model_dump(), "bench": ["Wash your hands."], "prose": ""})
    assert again.bench == [BenchStep(do="Wash your hands.")]


@pytest.mark.parametrize("topic", TOPICS)
def test_steps_and_times_are_of_eighteen_points_or_more(topic):
    """At 60 cm letters of 18 points are read; every word of the steps is that large on paper."""
    document = composed("bench-card", topic)
    data = render(document, ".pdf", build.assets_of(library())).data
    with pypdfium2.PdfDocument(data) as pdf:
        large = "".join(letters(pdf[0], STEP_POINTS))
    for runs in steps_of(document):
        for word in plain(runs).split():
            assert word.strip(".,:?") in large, word


def letters(page, least):
    """The signs of a page of at least so many points, in their order."""
    text, matrix = page.get_textpage(), raw.FS_MATRIX()
    for at in range(text.count_chars()):
        size = float(raw.FPDFText_GetFontSize(text.raw, at))
        if raw.FPDFText_GetMatrix(text.raw, at, matrix):
            size *= math.hypot(ctypes.c_float(matrix.c).value, ctypes.c_float(matrix.d).value)
        if size >= least:
            yield chr(raw.FPDFText_GetUnicode(text.raw, at))
