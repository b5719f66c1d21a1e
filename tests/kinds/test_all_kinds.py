"""The four kinds for every topic: they keep their promises, their pages and their bytes."""

import json
from datetime import date

import pytest

from handouts import build
from handouts.check import links, texts
from handouts.check.context import Context
from handouts.inspect import inspect_files
from tests.kinds.conftest import KINDS, NO_CLUB, TOPICS, library, write_event

PAGES = {
    "handout": (2, 2),
    "handout-large-print": (3, 8),
    "bench-card": (1, 1),
    "childrens-sheet": (1, 1),
    "video-notes": (3, 9),
}


def documents(folder):
    return json.loads((folder / "kit.json").read_text(encoding="utf-8"))["documents"]


def test_inspection_finds_nothing_in_these_kinds(all_kinds):
    """Every file of the four kinds keeps every promise, warnings included."""
    files = [all_kinds / item["file"] for item in documents(all_kinds) if item["kind"] in KINDS]
    assert len(files) == len(TOPICS) * (2 + 2 + 2 + 3)
    assert [str(item) for item in inspect_files(files, library())] == []


def test_pages_are_within_the_limits_and_recorded(all_kinds):
    """Each PDF has a page count that its kind allows, and the manifest records it."""
    for item in documents(all_kinds):
        if item["format"] == "pdf":
            least, most = PAGES[item["kind"]]
            assert least <= item["pages"] <= most, (item["file"], item["pages"])


def test_reading_grades_are_within_the_limits(all_kinds):
    """The children's sheet reads at grade five or below, the others at eight or below; none goes unmeasured."""
    for item in documents(all_kinds):
        assert item["reading_grade"] is not None, item["file"]
        assert item["reading_grade"] <= (5 if item["kind"] == "childrens-sheet" else 8), item["file"]


def test_two_runs_give_the_same_bytes(tmp_path):
    """The same event gives the same files, byte for byte."""
    event = write_event(tmp_path, KINDS)
    for name in ("one", "two"):
        build.kit(event, tmp_path / name, NO_CLUB)
    names = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert len(names) == 10
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


@pytest.mark.parametrize(
    ("kind", "key"), [("bench-card", "bench"), ("childrens-sheet", "children"), ("video-notes", "video")]
)
def test_a_topic_without_the_part_is_said_and_stops_nothing_else(kind, key, tmp_path):
    """A kit leaves out the kind a topic cannot make, and says which key is missing."""
    content = tmp_path / "club"
    (content / "plans").mkdir(parents=True)
    (content / "club.yml").write_text("name: A club\n", encoding="utf-8")
    plan = (NO_CLUB.content / "plans" / "swallowtail-garden.yml").read_text(encoding="utf-8")
    lines, inside = [], False
    for line in plan.splitlines():
        inside = line == f"{key}:" or (inside and line.startswith("  "))
        if not inside:
            lines.append(line)
    (content / "plans" / "bare-garden.yml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    where = build.Folders(NO_CLUB.content, content)
    event = write_event(tmp_path, ("faq-sheet", kind), topics=("bare-garden",))
    made = build.kit(event, tmp_path / "kit", where)
    assert not [path for path in made.files if kind in path.name]
    assert any(f"`{key}`" in note and "bare-garden" in note for note in made.notes), made.notes


CLUB = """name: A test club
corrections_link: https://example.org/corrections/handouts
statements:
  affiliation: A test club that belongs to a test institution of the county.
  non_endorsement: Products are named by their active ingredient only. No product is endorsed or criticized.
  equal_opportunity:
    text: >-
      This institution is an equal opportunity provider and does not discriminate on the ground of anything that the
      law of the land or its own rules protect. Ask for this sheet in another form or language at its office, and write
      there if you were not treated fairly.
    as_of: 2026-01-01
  accommodation: If you need help to take part, tell the office a week before.
  licence: Text and drawings may be shared under CC BY, naming the source.
"""


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_single_sheets_have_room_for_long_statements(paper, tmp_path):
    """Card and children's sheet of each topic stay on one page with an institution's statements on them."""
    (tmp_path / "club.yml").write_text(CLUB, encoding="utf-8")
    event = write_event(tmp_path, KINDS[1:3], topics=TOPICS, more=f"paper: {paper}")
    made = build.kit(event, tmp_path / "kit", build.Folders(NO_CLUB.content, tmp_path))
    files = [path for path in made.files if path.suffix != ".json"]
    assert len(files) == 16
    found = inspect_files(files, build.library(build.Folders(NO_CLUB.content, tmp_path)))
    assert [str(item) for item in found] == []


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ("do: Clear out droppings.", "do: Clear out 12 droppings."),
        ("    - small dark caterpillars\n", "    - 12 small dark caterpillars\n"),
        ("        - Still is not sick\n", "        - Still for 12 days\n"),
        ('pace: "{speaking.words-a-minute}"', 'pace: "{speaking.no-such-fact}"'),
        ("picture: stages", "picture: no-such-picture"),
        ("cautions: [children-hygiene]\nvideo", "cautions: [no-such-caution]\nvideo"),
    ],
)
def test_check_reads_the_words_of_these_kinds(good, bad, tmp_path):
    """A typed figure, an unknown name, a picture or caution that is not there: each is an error of the plan."""
    plan = (NO_CLUB.content / "plans" / "egg-to-butterfly.yml").read_text(encoding="utf-8")
    assert plan.count(good) == 1
    (tmp_path / "plans").mkdir()
    (tmp_path / "club.yml").write_text("name: A club\n", encoding="utf-8")
    (tmp_path / "plans" / "other-plan.yml").write_text(plan.replace(good, bad), encoding="utf-8")
    loaded = build.library(build.Folders(NO_CLUB.content, tmp_path))
    context = Context(loaded, date(2026, 11, 27))
    rules = (texts.typed_numeral, texts.unknown_name, links.missing_record)
    found = [one for rule in rules for one in rule(context) if (one.key or "").startswith("other-plan")]
    assert len(found) == 1, found
    assert found[0].level == "error"
