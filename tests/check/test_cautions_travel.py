"""Cautions travel: in every kind, format and length; one that is lost stops the making or is found in the file."""

from dataclasses import replace
from pathlib import Path

import pytest

from handouts import build
from handouts.compose.kinds import FORMATS, KINDS
from handouts.errors import BadContent
from handouts.inspect import inspect_files
from handouts.inspect.page import BLANK_FORMS
from handouts.model.document import Items, Notice, Slot
from handouts.model.forms import OF_PLACE
from handouts.place.known import from_inline
from handouts.render import render

from .mutating import CONTENT, ROOT

PLACE = "lat=41.9,lon=-88.0,zone=6a,last-freeze=05-06,first-freeze=10-12"
PLANS = ("overwintering-chrysalides", "feeding-caterpillars-safely", "swallowtail-garden", "egg-to-butterfly")
ALL_KINDS = (*KINDS, "claims")
# They carry what their own words ask for; the topic only names them.
OWN_WORDS = OF_PLACE
POSTS = ("description", "pinned-comment")
LENGTHS = ("brief", "standard", "spoken")
# A question whose answer carries a caution by its list, and one whose words name a carrier.
QUESTIONS = {
    "Can I keep chrysalides in the refrigerator for the winter?": "food-safety-store",
    "Are organic herbs safe for caterpillars?": "organic-not-safe",
    "Can I touch rue with bare hands?": "phototoxic-sap",
}


def order(library, topic):
    """What to make for a place whose frosts are known."""
    where = build.Folders(CONTENT)
    profile = build.place_profile(from_inline(PLACE, ROOT, CONTENT), where, 2027)
    return build.Order(topic, build.species_of(library, topic), profile, 2027)


def compose(library, topic, kind):
    """One document of a kind, the claims sheet from the handout and the talk notes."""
    wanted = replace(order(library, topic), paper="tabloid" if kind == "poster" else "letter")
    if kind != "claims":
        return build.compose(library, wanted, kind)
    made = [build.compose(library, wanted, other) for other in ("handout", "talk-notes")]
    return build.claims_sheet(library, wanted, made)


def without(library, hazard):
    """The library with one caution lost."""
    return replace(library, cautions={name: item for name, item in library.cautions.items() if name != hazard})


@pytest.fixture(scope="module")
def documents(base):
    """Every kind of document of every plan."""
    return {(topic, kind): compose(base, topic, kind) for topic in PLANS for kind in ALL_KINDS}


@pytest.mark.parametrize("kind", ALL_KINDS)
@pytest.mark.parametrize("topic", PLANS)
def test_a_document_carries_what_its_plan_and_its_words_ask_for(topic, kind, documents, base):
    """The plan's own classes (but on claims sheet and forms) and those of every carrier named stand in the document."""
    from handouts.compose.carriers import classes_named
    from handouts.compose.composer import words_of

    document = documents[topic, kind]
    # Titles in the list of sources are not ours and call for nothing.
    own = tuple(block for block in document.blocks if getattr(block, "name", "") not in ("key", "sources"))
    due = set() if kind in BLANK_FORMS else set(classes_named(base, words_of(own)))
    if kind != "claims" and kind not in OWN_WORDS:
        due |= set(base.plans[topic].cautions)
    assert due <= set(document.cautions)
    notices = {block.caution for slot in document.blocks if isinstance(slot, Slot) for block in notices_of(slot)}
    assert set(document.cautions) == notices


def notices_of(slot):
    """The cautions in a slot."""
    return [block for block in slot.blocks if isinstance(block, Notice)]


@pytest.mark.parametrize("kind", ALL_KINDS)
@pytest.mark.parametrize("topic", PLANS)
def test_a_lost_caution_stops_the_making(topic, kind, documents, base):
    """Without the record of a class that a document needs, the document is not made, and the class is named."""
    for hazard in documents[topic, kind].cautions:
        with pytest.raises(BadContent, match=hazard):
            compose(without(base, hazard), topic, kind)


@pytest.fixture(scope="module")
def desk():
    """A desk that answers from the shipped content; its cautions are put back after each test."""
    from handouts.desk import Desk

    return Desk(build.Folders(CONTENT))


@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("question", QUESTIONS)
def test_a_lost_caution_stops_the_answer(question, length, desk):
    """At each length the answer carries its class, and without the record there is no answer."""
    from handouts.desk import Desk

    hazard = QUESTIONS[question]
    said = desk.reply(question, None, length, None)
    assert hazard in said.cautions
    short = desk.base.library.cautions[hazard].short.split(".")[0]
    full = desk.base.library.cautions[hazard].full.split(".")[0]
    words = " ".join(said.answer.replace("\u00a0", " ").split())
    assert short in words or full in words
    broken = Desk(build.Folders(CONTENT))
    del broken.base.library.cautions[hazard]
    with pytest.raises(BadContent, match=hazard):
        broken.reply(question, None, length, None)


def dropped(document, hazard):
    """The document as a faulty maker would leave it: without the words of one caution."""
    blocks = []
    care = ""
    for block in document.blocks:
        if isinstance(block, Slot) and block.name == "cautions":
            care = " ".join(words(item.runs) for item in notices_of(block) if item.caution == hazard)
            kept = tuple(item for item in block.blocks if not (isinstance(item, Notice) and item.caution == hazard))
            block = replace(block, blocks=kept)
        elif isinstance(block, Slot) and block.name in POSTS:  # what is posted alone repeats its cautions as lines
            kept = tuple(item for item in block.blocks if not (isinstance(item, Items) and item.role == "care"))
            block = replace(block, blocks=kept)
        blocks.append(block)
    events = tuple(replace(event, text=event.text.replace(care, "")) for event in document.events)
    return replace(document, blocks=tuple(blocks), events=events)


def words(runs):
    """The plain words of some runs."""
    from handouts.compose.prose import plain

    return plain(runs)


def manifest(document, name):
    """What a kit's manifest says of the file."""
    return {"event": {}, "documents": [{"file": name, "kind": document.kind, "cautions": list(document.cautions)}]}


def missing(library, document, suffix, folder, listed):
    """The classes whose caution `inspect` misses in the finished file."""
    path = folder / f"{document.topic}-{document.kind}{suffix}"
    path.write_bytes(render(document, suffix, build.assets_of(library)).data)
    kit = manifest(document, path.name) if listed else None
    return {item.key for item in inspect_files([path], library, kit) if item.rule == "caution-missing"}


@pytest.mark.parametrize(("kind", "suffix"), [(kind, suffix) for kind in ALL_KINDS for suffix in FORMATS[kind]])
def test_a_dropped_insertion_is_found_in_the_finished_file(kind, suffix, documents, base, tmp_path: Path):
    """In every kind and format: the whole file has all its cautions, and a file that lost one is found out."""
    document = documents["overwintering-chrysalides", kind]
    hazards = document.cautions if suffix == ".html" else document.cautions[:1]
    assert hazards or kind in OWN_WORDS
    if suffix != ".pdf":
        assert not missing(base, document, suffix, tmp_path, True) & set(document.cautions)
    for hazard in hazards:
        found = missing(base, dropped(document, hazard), suffix, tmp_path, True)
        assert found & set(document.cautions) == {hazard}


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_a_dropped_insertion_is_found_without_a_manifest(kind, documents, base, tmp_path: Path):
    """By the names of carriers alone, `inspect` misses the caution of a class that a name in the file calls for."""
    from handouts.inspect.carriers import carriers_in

    suffix = ".ics" if kind == "calendar" else ".html"
    found = False
    for topic in PLANS:
        document = documents[topic, kind]
        for hazard in document.cautions:
            bare = dropped(document, hazard)
            named = carriers_in(base, " ".join([words_in(bare), *(event.text for event in bare.events)]))
            if any(hazard in base.subjects[name].carries for name in named):
                found = True
                assert hazard in missing(base, bare, suffix, tmp_path, False)
                break
    assert found or kind == "calendar" or kind in OWN_WORDS


def words_in(document):
    """All visible words of a document."""
    from handouts.compose.composer import words_of

    return words_of(document.blocks)
