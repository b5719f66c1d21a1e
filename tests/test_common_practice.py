"""What keepers commonly see, held against the facts and the season. These check values are common practice: no source.

Each test names the field it looks at and the tolerance it allows. Where published work differs, a document that shows
the keepers' figure must show the published one beside it, each with its own mark.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from handouts import build, units
from handouts.model.library import Library

ROOT = Path(__file__).parent.parent
NEAR_42 = "lat=42.0,lon=-88.0,last-freeze=05-01,first-freeze=10-15"


@pytest.fixture(scope="module")
def where() -> build.Folders:
    """The shipped content."""
    return build.Folders(ROOT / "content")


@pytest.fixture(scope="module")
def library(where: build.Folders) -> Library:
    """The shipped content, read."""
    return build.library(where)


@pytest.mark.parametrize("first", ["10-10", "10-15", "10-20"])
def test_chrysalides_from_mid_august_on_are_treated_as_overwintering(where: build.Folders, first: str) -> None:
    """Near 42° N with a first frost in mid October. Field: season `overwinter-from`.mid; tolerance: 10 days."""
    (season,) = build.seasons(where, NEAR_42.replace("10-15", first), ["black-swallowtail"], 2027)
    window = season.window("overwinter-from")
    assert window is not None
    assert window.mid is not None
    assert abs(window.mid - date(2027, 8, 15)) <= timedelta(days=10)


@pytest.mark.parametrize(
    ("field", "low", "high", "unit", "tolerance"),
    [
        ("black-swallowtail.pupa.summer", 9, 18, "d", 0),
        ("black-swallowtail.pupa.hot-spell", 7, 9, "d", 0),
        ("black-swallowtail.prepupa", 24, 24, "h", 0),
        ("black-swallowtail.pupa.firm", 1, 1, "d", 0),
        ("black-swallowtail.warm-to-opening.garage-may", 7, 10, "d", 0),
        ("black-swallowtail.longest-wait", 2, 2, "a", 0),
        ("btk.death", 3, 3, "d", 0),
    ],
)
def test_keepers_figures_are_facts_marked_common_practice(
    library: Library, field: str, low: float, high: float, unit: str, tolerance: float
) -> None:
    """Field: the fact's preferred statement in the unit given; tolerance: none; basis: common practice, no source."""
    said = library.fact(field).preferred
    assert said.basis.kind == "common-practice"
    assert said.rests_on == []
    assert said.span is not None
    ends = [units.convert(end, said.span.unit, unit) for end in said.span.ends if end is not None]
    assert ends == pytest.approx([low, high], abs=tolerance)


def test_caterpillars_that_ate_bt_stop_within_hours(library: Library) -> None:
    """Fields: btk.stop-feeding (at most a day, published) and its words; here common practice and pages agree."""
    said = library.fact("btk.stop-feeding").preferred
    assert said.span is not None
    assert said.span.ends[1] is not None
    assert units.convert(said.span.ends[1], said.span.unit, "h") <= 24
    assert library.fact("btk.stop-feeding-in-words").preferred.term == "within hours"


def test_published_work_that_differs_is_kept_beside_with_its_reason(library: Library) -> None:
    """Each fact with a keepers' figure that published work does not share has the published statement and says why."""
    for field in ("black-swallowtail.pupa.summer", "black-swallowtail.warm-to-opening.garage-may", "btk.death"):
        others = library.fact(field).says[1:]
        backed = [said for said in others if said.basis.kind in ("published", "proxy")]
        assert backed
        assert all(said.rests_on and said.why for said in backed)


@pytest.mark.parametrize(
    ("keepers", "published"),
    [
        ("black-swallowtail.warm-to-opening.garage-may", "spicebush-swallowtail.warm-to-opening"),
        ("btk.death", "btk.death-in-words"),
    ],
)
def test_documents_show_both_figures_and_say_which_is_which(
    where: build.Folders, library: Library, keepers: str, published: str
) -> None:
    """Every sheet with the keepers' figure carries the published one, each under its own basis."""
    known = build.known_place(NEAR_42, ROOT, where)
    here = build.place_profile(known, where, 2027)
    shown = 0
    for topic, plan in library.plans.items():
        order = build.Order(topic, build.species_of(library, topic), here, 2027)
        for kind in ("handout", "talk-notes", "faq-sheet"):
            if kind == "faq-sheet" and not plan.faq:
                continue
            claims = {claim.id.partition("|")[0]: claim for claim in build.compose(library, order, kind).claims}
            if keepers not in claims:
                continue
            shown += 1
            beside = [claim for name, claim in claims.items() if name.startswith(published)]
            assert beside, f"{topic} {kind} shows {keepers} alone"
            assert claims[keepers].basis == "common-practice"
            assert all(claim.references for claim in beside)
            assert all(claim.basis != "common-practice" for claim in beside)
    assert shown
