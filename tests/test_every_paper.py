"""Kits for a cold, a mild and a zone-only place on every paper: pages as stated, inspected without a finding."""

import json
from pathlib import Path

import pytest

from handouts import build
from handouts.inspect import inspect_files
from handouts.paths import content_dir

ROOT = Path(__file__).parent.parent
COLD = "{name: A cold garden, latitude: 46.8, longitude: -92.1, zone: 4b, last_freeze: 05-24, first_freeze: 09-28}"
MILD = "{name: A mild garden, latitude: 34.7, longitude: -82.8, zone: 8a, last_freeze: 03-30, first_freeze: 11-04}"
ZONE = "{zone: 5b}"
PAGES = {"handout": 2, "poster": 1, "place-sheet": 1}
# Each topic, each paper of the handout and each of the four of the poster, with dates and without.
CASES = [
    (COLD, "letter", "letter", "feeding-caterpillars-safely"),
    (COLD, "a4", "a4", "overwintering-chrysalides"),
    (MILD, "letter", "tabloid", "egg-to-butterfly"),
    (MILD, "a4", "letter", "swallowtail-garden"),
    (MILD, "letter", "a3", "overwintering-chrysalides"),
    (ZONE, "letter", "tabloid", "overwintering-chrysalides"),
    (ZONE, "a4", "a3", "feeding-caterpillars-safely"),
    (ZONE, "letter", "a4", "swallowtail-garden"),
    (ZONE, "a4", "letter", "egg-to-butterfly"),
]


@pytest.mark.parametrize(("place", "paper", "wall", "topic"), CASES)
def test_a_kit_keeps_its_promises_on_every_paper(place, paper, wall, topic, tmp_path):
    """With a club's statements, every file is inspected without a finding and has the pages its kind states."""
    units = "metric" if paper == "a4" else "us"
    (tmp_path / "event.yml").write_text(
        "title: A workshop\ndate: 2027-04-10\nstart: '10:00'\nminutes: 60\npeople: 24\naudience: club members\n"
        f"place: {place}\ntopics: [{topic}]\nunits: {units}\npaper: {paper}\nposter_paper: {wall}\nlarge_print: no\n"
        "documents: [handout, talk-notes, faq-sheet, poster, place-sheet, calendar, claims]\n",
        encoding="utf-8",
    )
    where = build.Folders(content_dir(), ROOT / "demo" / "club")
    made = build.kit(tmp_path / "event.yml", tmp_path / "kit", where)
    files = [path for path in made.files if path.name != "kit.json"]
    listed = json.loads((tmp_path / "kit" / "kit.json").read_text(encoding="utf-8"))["documents"]
    kinds = {item["kind"] for item in listed}
    dated = place != ZONE
    assert ("calendar" in kinds) == ("place-sheet" in kinds) == dated
    assert {"handout", "talk-notes", "faq-sheet", "poster", "claims"} <= kinds
    for item in listed:
        if item["format"] == "pdf" and item["kind"] in PAGES:
            assert item["pages"] == PAGES[item["kind"]], item["file"]
    assert [str(item) for item in inspect_files(files, build.library(where))] == []
