"""Random edits of the shipped content: the recall names exactly the papers that come out otherwise when made anew.

The judge is the composer itself: each paper is composed again from the edited content, and its figures are compared
with those on record. The recall looks each figure up by itself, and composes only for what a paper works out alone.
"""

from __future__ import annotations

import random
from contextlib import suppress
from datetime import date

import pytest

from handouts import build
from handouts.compose.kinds import KINDS
from handouts.editions import approve, record
from handouts.editions.current import Today
from handouts.editions.recall import recall
from handouts.errors import HandoutsError
from handouts.model.facts import Span
from tests.editions.conftest import ROOT

CLUB = ROOT / "demo" / "club"
WHERE = build.Folders(ROOT / "content", CLUB)
DAY, YEAR = date(2027, 9, 18), 2028
PLACES = ("millrace-hollow", "zone=5b,name=A zone garden")
TOPIC, SPECIES = "overwintering-chrysalides", "black-swallowtail"
EDITS = 5


def papers(library):
    """All papers for both places: (place, kind) -> document, with what is known of the place."""
    made = {}
    for place in PLACES:
        known = build.known_place(place, ROOT, WHERE)
        order = build.Order(TOPIC, SPECIES, build.place_profile(known, WHERE, YEAR), YEAR, DAY)
        for kind in KINDS:
            with suppress(HandoutsError):  # a kind that this topic does not have
                made[place, kind] = (build.compose(library, order, kind), known)
        documents = [document for (there, _), (document, _) in made.items() if there == place]
        made[place, "claims"] = (build.claims_sheet(library, order, documents), known)
    return made


def today(library):
    """What the recall holds the records against."""
    return Today(
        library,
        lambda known, year: build.place_profile(known, WHERE, year),
        lambda profile: build.season_of(library, profile),
    )


@pytest.fixture(scope="module")
def given_out():
    """The papers, their records, and the facts that they state or rest on."""
    library = build.library(WHERE)
    made = papers(library)
    assert {"handout", "talk-notes", "poster", "calendar", "sowing-plan", "claims"} <= {kind for _, kind in made}
    editions = {}
    for key, (document, known) in made.items():
        ground = approve.ground_of(known, (key[0], ROOT), CLUB, SPECIES, YEAR, DAY, "us")
        given = record.Given(date=DAY)
        editions[key] = record.new_edition(document, ground, approve.subjects_of(library, document), given)
    used = {name for document, _ in made.values() for claim in document.claims for name in (claim.id, *claim.parents)}
    facts = [name for name, fact in library.facts.items() if fact.preferred.span is not None]
    return made, editions, sorted(facts), sorted(set(facts) & used)


def figures(document):
    """What each figure of a paper says and how it is known."""
    return {
        claim.id: (record.kept(claim.value), claim.unit, claim.basis, claim.proxy, claim.digest)
        for claim in document.claims
    }


def edited(name):
    """The library anew, with every end of one fact's span raised by about a tenth, at least by one."""
    library = build.library(WHERE)
    statement = library.facts[name].preferred
    forms = ("low", "high", "about", "exactly", "at_least", "at_most")
    ends = {form: end for form in forms if (end := getattr(statement.span, form)) is not None}
    step = max(1, round(0.1 * max(abs(end) for end in ends.values())))
    span = Span(unit=statement.span.unit, **{form: end + step for form, end in ends.items()})
    object.__setattr__(statement, "span", span)
    return library


def test_nothing_changed_nothing_listed(given_out):
    """With the content as it was no paper of any kind is named, and every figure could be worked out again."""
    _, editions, _, _ = given_out
    found = recall(record.Records(CLUB / record.FOLDER, tuple(editions.values()), ()), today(build.library(WHERE)))
    assert (found.affected, found.notes) == ((), ())


def test_the_recall_names_what_comes_out_otherwise(given_out):
    """Five random facts, four of them stated or rested on: the papers named are those that changed, and no others."""
    made, editions, facts, used = given_out
    dice = random.Random(11)
    names = [*dice.sample(used, EDITS - 1), dice.choice(facts)]
    records = record.Records(CLUB / record.FOLDER, tuple(editions.values()), ())
    affected = 0
    for name in names:
        library = edited(name)
        again = papers(library)
        wanted = set()
        for key, (document, _) in made.items():
            before, after = figures(document), figures(again[key][0]) if key in again else {}
            if any(after.get(figure) != said for figure, said in before.items()):
                wanted.add(document.edition)
        found = {one.item.id for one in recall(records, today(library)).affected}
        assert found == wanted, name
        affected += bool(wanted)
    assert affected >= EDITS - 2
