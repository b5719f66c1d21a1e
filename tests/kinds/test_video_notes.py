"""Video notes: scenes timed by their words, a source behind every spoken figure, posts that stand alone."""

import math
import re

import pytest

from handouts import build
from handouts.compose.cite import citation
from handouts.compose.composer import words_of
from handouts.compose.kinds.video import clock
from handouts.compose.prose import plain
from handouts.errors import BadContent
from handouts.inspect.forbidden import breaches, load_forbidden
from handouts.model.document import Figure, Items, Slot, Table
from handouts.render import render
from tests.kinds.conftest import NO_CLUB, PLACES, TOPICS, composed, library

BREATH = 25
PACE = 130


def slots(document, name):
    return [block for block in document.blocks if isinstance(block, Slot) and block.name == name]


def items(scene, role):
    return [line for block in scene.blocks if isinstance(block, Items) and block.role == role for line in block.items]


def seconds(text):
    return sum(int(part) * 60**at for at, part in enumerate(reversed(text.split(":"))))


@pytest.mark.parametrize("topic", TOPICS)
def test_scenes_follow_each_other_by_their_spoken_words(topic):
    """Each lasts its words at the pace of the facts, up to five seconds; the next begins where it ends."""
    document = composed("video-notes", topic)
    (outline,) = slots(document, "outline")
    rows = [[plain(cell) for cell in row] for row in outline.blocks[0].rows]
    at = 0
    for row, scene in zip(rows[:-1], slots(document, "scene"), strict=True):
        words = sum(len(plain(line).replace("\u00a0", " ").split()) for line in items(scene, "say"))
        assert seconds(row[1]) == at
        assert 0 <= seconds(row[2]) - words / PACE * 60 < 5 + 2, row
        at += seconds(row[2])
    assert seconds(rows[-1][1]) == at


@pytest.mark.parametrize("topic", TOPICS)
def test_a_point_takes_one_breath_and_the_screen_a_glance(topic):
    """No spoken point is over 25 words, no words for the screen over eight."""
    for scene in slots(composed("video-notes", topic), "scene"):
        assert items(scene, "say") and items(scene, "screen") and items(scene, "show")
        for line in items(scene, "say"):
            assert len(plain(line).split()) <= BREATH, plain(line)
        for line in items(scene, "screen"):
            assert len(plain(line).split()) <= 8, plain(line)


@pytest.mark.parametrize("topic", TOPICS)
def test_every_spoken_figure_stands_below_with_how_it_is_known(topic):
    """The table of a scene holds each figure said in it, its basis and the numbers of its sources in the list."""
    document = composed("video-notes", topic)
    (description,) = slots(document, "description")
    (listed,) = [block.blocks[0].items for block in description.blocks if isinstance(block, Slot)] or [()]
    claims = {claim.id: claim for claim in document.claims}
    seen = 0
    for scene in slots(document, "scene"):
        said = [run for line in items(scene, "say") for run in line if isinstance(run, Figure)]
        tables = [block for block in scene.blocks if isinstance(block, Table)]
        rows = [row for table in tables for row in table.rows]
        assert [row[0][0] for row in rows] == list(dict.fromkeys(said))
        for (figure,), basis, numbers in rows:
            claim = claims[figure.claim]
            known = library().all_words().marks.get(claim.basis, {"name": claim.basis.replace("-", " ")})
            assert known["name"] in plain(basis)
            names = dict.fromkeys(reference.partition("#")[0] for reference in claim.references)
            cited = [plain(listed[int(number) - 1]) for number in re.findall(r"\d+", plain(numbers))]
            assert cited == [citation(library().sources[name]) for name in names]
            seen += len(cited)
    assert seen


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("place", PLACES)
def test_the_comment_to_pin_is_short_and_carries_its_cautions(topic, place):
    """At most 90 words, the topic's own cautions and those of everything it names among them."""
    (comment,) = slots(composed("video-notes", topic, place), "pinned-comment")
    text = words_of(comment.blocks)
    assert 15 <= len(text.split()) <= 90
    for name in library().plan(topic).cautions:
        assert library().caution(name).short in text


def test_a_comment_too_long_is_refused():
    """Over 90 words with its cautions it names the file, the number found and the limit."""
    plan = library().plan(TOPICS[0])
    wordy = plan.video.model_copy(update={"comment": "So keep it cold and dark. " * 14})
    with pytest.raises(BadContent, match=r"too long with its cautions.*expected at most 90"):
        _build(plan.model_copy(update={"video": wordy}))


def test_a_pace_that_is_no_number_is_refused():
    """The pace must be a number of words a minute."""
    plan = library().plan(TOPICS[0])
    odd = plan.video.model_copy(update={"pace": "{black-swallowtail.egg-color.fresh}"})
    with pytest.raises(BadContent, match="no number of words"):
        _build(plan.model_copy(update={"video": odd}))


def _build(plan):
    from handouts.compose.kinds import video

    here = build.place_profile(build.known_place(PLACES["zone"], NO_CLUB.content, NO_CLUB), NO_CLUB, 2027)
    return video.build(build._composer(library(), build.Order(plan.id, plan.species[0], here, 2027)), plan)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_text_file_holds_what_is_posted(topic):
    """The plain text has the chapters, the whole sources with their addresses, and the comment."""
    text = render(composed("video-notes", topic), ".txt", build.assets_of(library())).data.decode()
    for label in ("chapters", "description", "pinned-comment"):
        assert f"\n{library().say(label)}\n" in text
    assert "00:00 " in text
    assert re.search(r"\[(?:read whole|excerpt read|abstract read)\s+\d{4}", text)


def test_a_clock_time_is_no_mixing_ratio():
    """Times begin with a nought, so a scene about sprays is let pass and a ratio is not."""
    rules = load_forbidden(library().root)
    assert [clock(at) for at in (0, 75, 599, 600, 3671)] == ["00:00", "01:15", "09:59", "00:10:00", "01:01:11"]
    for at in range(0, 4000, 5):
        assert math.isclose(seconds(clock(at)), at)
    assert not list(breaches([f"{clock(75)} What not to spray", f"Spray nothing {clock(600)}"], rules))
    assert [one.rule.id for one in breaches(["Mix the spray 1:15 and wait."], rules)] == ["no-mixing-ratio"]
