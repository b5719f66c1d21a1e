"""`handouts place` and `handouts season` print pages that a gardener can read, and the JSON of the contract."""

from __future__ import annotations

import re
from datetime import date, datetime
from pathlib import Path

import pytest

from handouts import build, show
from handouts.paths import content_dir

ROOT = Path(__file__).parent.parent
WHERE = build.Folders(content_dir())
PLACES = (
    "zone=6a",
    "zip=60614",
    "lat=42.1,lon=-88.0,zone=5b,last-freeze=05-01,first-freeze=10-15,name=Elm Street",
    "lat=-37.8,lon=145.0,last-freeze=09-10,first-freeze=05-20",
    "lat=69.0,lon=-150.0",
)
SPECIES = ("black-swallowtail", "monarch", "giant-swallowtail", "pipevine-swallowtail")
IDS = {
    "flight-1", "eggs-1", "caterpillars-1", "chrysalides-1", "diapause-turn", "overwinter-from", "to-cold-by",
    "to-warmth", "spring-opening", "stop-waiting", "hosts-ready", "last-release",
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_pages_have_no_code_words_and_fit_the_screen(place: str) -> None:
    """No None, no key with an underscore, no ISO date of a window, no line over 80 signs."""
    known = build.known_place(place, ROOT, WHERE)
    pages = [show.place_page(build.place_profile(known, WHERE, 2027))]
    pages += [show.season_page(season) for season in build.seasons(WHERE, place, SPECIES, 2027)]
    for page in pages:
        assert "None" not in page
        assert not re.search(r"\b[a-z]+_[a-z]+", page)
        assert not re.search(r"20\d\d-\d\d-\d\d", page)
        assert max(map(len, page.splitlines())) <= 80


def test_the_season_page_runs_by_time_in_each_part() -> None:
    """What you do, then what the insects do, each in order of its first day, then what is not known and why."""
    (season,) = build.seasons(WHERE, PLACES[2], ["black-swallowtail"], 2027)
    page = show.season_page(season)
    assert page.startswith("Black swallowtail at Elm Street, 2027")
    yours, insects = page.index("What you do"), page.index("What the insects do")
    assert yours < insects
    for part in (page[yours:insects], page[insects:]):
        starts = [
            datetime.strptime(f"2027 {found}", "%Y %b %d").date()
            for found in re.findall(r"^  ([A-Z][a-z]{2} \d{1,2}) – ", part, re.M)
        ]
        assert starts == sorted(starts)
        assert len(starts) > 4
        assert starts[0] >= date(2027, 1, 1)


def test_a_butterfly_that_leaves_has_its_own_last_part() -> None:
    """Winter tasks stand once, under one reason, apart from what is merely not known."""
    (season,) = build.seasons(WHERE, PLACES[2], ["monarch"], 2027)
    page = show.season_page(season)
    last = page[page.index("Not for this butterfly") :]
    assert last.count("does not pass the winter as a chrysalis") == 1
    assert "Stop waiting for this year" in " ".join(last.split())


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("species", SPECIES)
def test_the_json_has_the_fields_and_ids_of_the_contract(place: str, species: str) -> None:
    """Every window of the contract is there, dated or with a reason, with the contract's fields."""
    (season,) = build.seasons(WHERE, place, [species], 2027)
    data = season.to_json()
    assert {"species", "place", "windows"} <= set(data)
    assert {window["id"] for window in data["windows"]} >= IDS
    for window in data["windows"]:
        assert {"id", "label", "low", "mid", "high", "basis", "proxy", "inputs", "note"} <= set(window)
        for key in ("low", "mid", "high"):
            assert window[key] is None or date.fromisoformat(window[key])
