"""What the tests of forms share: kits of all forms for some places and papers, made once each."""

from functools import lru_cache
from pathlib import Path

import pytest

from handouts import build
from handouts.model.forms import FORMS

ROOT = Path(__file__).parent.parent.parent
CLUB = ROOT / "demo" / "club"
WHERE = build.Folders(ROOT / "content", CLUB)
PLACES = {
    "cold": "lat=46.8,lon=-92.1,zone=4b,last-freeze=05-24,first-freeze=09-28,name=A cold garden",
    "mild": "lat=33.7,lon=-117.9,zone=10a,last-freeze=01-20,first-freeze=12-20,name=A mild garden",
    "zone": "zone=5a",
}
PAPERS = ("letter", "a4")
EVENT = """\
title: Keep a chrysalis through winter
date: 2027-09-18
minutes: 45
people: 18
place: zone=5a
topics: [{topics}]
documents: [{documents}]
units: us
paper: {paper}
"""


@pytest.fixture(scope="session")
def library():
    """The shipped content with the demo's club."""
    return build.library(WHERE)


@pytest.fixture(scope="session")
def kit_of(tmp_path_factory):
    """A function: place, paper (and topics) in, a folder with a kit of all forms and what was said out."""

    @lru_cache(maxsize=16)
    def made(place, paper, topics="overwintering-chrysalides", run=1):
        folder = tmp_path_factory.mktemp("forms")
        event = folder / "event.yml"
        event.write_text(EVENT.format(topics=topics, documents=", ".join(FORMS), paper=paper), encoding="utf-8")
        done = build.kit(event, folder / "kit", WHERE, PLACES.get(place, place))
        return folder / "kit", done

    return made


@pytest.fixture(scope="session")
def composed(library):
    """A function: kind, place and more in, the Document out."""

    @lru_cache(maxsize=64)
    def made(kind, place="cold", species=None, topic=build.DEFAULT_TOPIC, paper="letter", strip=1.0):
        known = build.known_place(PLACES.get(place, place), ROOT, WHERE)
        here = build.place_profile(known, WHERE, 2027)
        order = build.Order(topic, species or build.species_of(library, topic), here, 2027, paper=paper, strip=strip)
        return build.compose(library, order, kind)

    return made
