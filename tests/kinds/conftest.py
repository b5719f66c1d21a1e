"""What the tests of the kinds share: documents composed and kits made, each once."""

from functools import lru_cache
from pathlib import Path

import pytest

from handouts import build

ROOT = Path(__file__).resolve().parents[2]
TOPICS = ("overwintering-chrysalides", "feeding-caterpillars-safely", "swallowtail-garden", "egg-to-butterfly")
PLACES = {
    "cold": "lat=46.8,lon=-92.1,zone=4b,last-freeze=05-24,first-freeze=09-28,name=A cold garden",
    "zone": "zone=5b",
}
KINDS = ("handout-large-print", "bench-card", "childrens-sheet", "video-notes")
NO_CLUB = build.Folders(ROOT / "content")
EVENT = """title: All kinds
date: 2027-04-18
minutes: {minutes}
people: {people}
place: "{place}"
topics: [{topics}]
documents: [{documents}]
{more}
"""


@lru_cache(maxsize=1)
def library():
    """The shipped content."""
    return build.library(NO_CLUB)


@lru_cache(maxsize=64)
def composed(kind, topic, place="cold", minutes=30, people=12):
    """One document, composed."""
    here = build.place_profile(build.known_place(PLACES[place], ROOT, NO_CLUB), NO_CLUB, 2027)
    event = {"minutes": minutes, "people": people}
    order = build.Order(topic, build.species_of(library(), topic), here, 2027, event=event)
    return build.compose(library(), order, kind)


def write_event(folder, documents, *, topics=TOPICS[:1], place="cold", minutes=30, people=12, more=""):
    """Write an event file and return its path."""
    path = folder / "event.yml"
    fields = {"topics": ", ".join(topics), "documents": ", ".join(documents), "place": PLACES[place], "more": more}
    path.write_text(EVENT.format(minutes=minutes, people=people, **fields), encoding="utf-8")
    return path


@pytest.fixture(
    scope="session", params=[("cold", "units: us"), ("zone", "paper: a4\nunits: metric")], ids=["cold", "zone"]
)
def all_kinds(request, tmp_path_factory):
    """The folder of a kit with these kinds for every topic: for a cold place, and where only the zone is known."""
    place, more = request.param
    folder = tmp_path_factory.mktemp(place)
    event = write_event(folder, ("handout", *KINDS[1:]), topics=TOPICS, place=place, more=more)
    build.kit(event, folder / "kit", NO_CLUB)
    return folder / "kit"
