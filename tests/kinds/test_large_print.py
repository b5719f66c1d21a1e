"""The handout in large print: the same content, large letters, beside the handout unless it is not wanted."""

import json
from dataclasses import replace
from types import SimpleNamespace

import pytest

from handouts import build
from handouts.compose.kinds import KINDS, handout
from handouts.inspect import print_rules
from handouts.inspect.page import read_page
from handouts.render import render
from handouts.render.fit import TooLong, fitted
from tests.kinds.conftest import NO_CLUB, TOPICS, composed, library, write_event


def kinds_of(tmp_path, documents, more=""):
    """The kinds an event's kit holds, in their order."""
    made = build.kit(write_event(tmp_path, documents, more=more), tmp_path / "kit", NO_CLUB)
    return list(dict.fromkeys(item["kind"] for item in made.manifest["documents"]))


@pytest.mark.parametrize("topic", TOPICS)
def test_it_is_the_handout_in_all_but_its_kind(topic):
    """Blocks, claims, cautions, edition and reading grade are those of the handout."""
    assert composed("handout-large-print", topic) == replace(composed("handout", topic), kind="handout-large-print")


def test_it_lies_beside_the_handout_by_default_and_is_composed_once(tmp_path, monkeypatch):
    """A kit with a handout holds its large print, made from the same document."""
    calls = []
    real = handout.build
    monkeypatch.setitem(KINDS, "handout", lambda *given: calls.append(1) or real(*given))
    assert kinds_of(tmp_path, ["handout"]) == ["handout", "handout-large-print"]
    assert calls == [1]
    listed = json.loads((tmp_path / "kit" / "kit.json").read_text(encoding="utf-8"))["documents"]
    assert len({item["edition"] for item in listed}) == 1
    assert len({json.dumps(item["claims"]) for item in listed}) == 1


@pytest.mark.parametrize(
    ("documents", "more", "expected"),
    [
        (["handout"], "large_print: no", ["handout"]),
        (["handout"], "large_print: yes", ["handout", "handout-large-print"]),
        (["handout-large-print"], "", ["handout-large-print"]),
        (["handout-large-print"], "large_print: no", ["handout-large-print"]),
        (["faq-sheet"], "", ["faq-sheet"]),
    ],
)
def test_the_event_says_whether_it_is_made(documents, more, expected, tmp_path):
    """`large_print: no` leaves it out; asked for by name it is made all the same."""
    assert kinds_of(tmp_path, documents, more) == expected


def test_its_letters_are_large_and_small_ones_are_found(tmp_path):
    """Four letters in five are of 18 points or more; a handout under its name is caught."""
    assets = build.assets_of(library())
    for kind, name in (("handout-large-print", "large"), ("handout", "small")):
        data = render(composed(kind, TOPICS[0]), ".pdf", assets).data
        (tmp_path / f"{name}-handout-large-print.pdf").write_bytes(data)
    large, small = (
        read_page(tmp_path / f"{name}-handout-large-print.pdf", library(), None) for name in ("large", "small")
    )
    assert large.kind == small.kind == "handout-large-print"
    assert not list(print_rules.letter_size(large))
    assert [found.key for found in print_rules.letter_size(small)] == ["body"]


def test_more_than_eight_pages_are_refused():
    """The roomiest of the shortest layouts is taken; nine pages are too many."""
    pages = {"0": 8, "1": 7, "2": 7}
    lay = lambda fit: SimpleNamespace(fit=fit, pages=[None] * pages[fit.split('data-fit="')[1][0]])  # noqa: E731
    assert 'data-fit="1"' in fitted(lay, "handout-large-print", "letter").fit
    with pytest.raises(TooLong, match="9 pages; expected at most 8 pages"):
        fitted(lambda fit: SimpleNamespace(pages=[None] * 9), "handout-large-print", "letter")


def test_more_than_eight_pages_are_found_on_paper(tmp_path):
    """Inspection counts for itself: a file of ten pages under the name is an error."""
    from handouts.inspect.pdffile import PdfFile

    data = render(composed("talk-notes", TOPICS[1]), ".pdf", build.assets_of(library())).data
    path = tmp_path / "x-handout-large-print.pdf"
    path.write_bytes(data)
    assert PdfFile(data, path).count > 8
    assert [found.expected for found in print_rules.page_count(read_page(path, library(), None))] == ["at most 8"]
