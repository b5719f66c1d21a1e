"""Finding the roomiest layout, tried with pretended layouts."""

from __future__ import annotations

import re
from types import SimpleNamespace
from typing import Any

import pytest

from handouts.errors import BadContent
from handouts.render.fit import TIGHTEST, fitted


class Pretend:
    """Lays out as an engine would: a side fits from its own level on; `flows` says whether the last resort helps."""

    def __init__(self, front: int, back: int, flows: bool = False) -> None:
        self.needed = (front, back)
        self.flows = flows
        self.asked: list[str] = []

    def __call__(self, attributes: str) -> Any:
        self.asked.append(attributes)
        levels = [int(level) for level in re.findall(r'="(\d)"', attributes)]
        if "data-flow" in attributes:
            return SimpleNamespace(pages=[_page("front")] * (2 if self.flows else 3), levels=levels)
        pages = [_page("front")] + ([_page("more")] if levels[0] < self.needed[0] else [])
        pages += [_page("back")] + ([_page("more")] if levels[1] < self.needed[1] else [])
        return SimpleNamespace(pages=pages, levels=levels)


def _page(anchor: str) -> Any:
    return SimpleNamespace(anchors={anchor: (0, 0)})


@pytest.mark.parametrize("front", range(TIGHTEST + 1))
@pytest.mark.parametrize("back", range(TIGHTEST + 1))
def test_each_side_is_as_roomy_as_it_can_be(front: int, back: int) -> None:
    """For every need of the two sides exactly these levels are chosen, in few tries."""
    lay = Pretend(front, back)
    assert fitted(lay, "handout", "letter").levels == [front, back]
    assert len(lay.asked) <= 5


def test_a_document_that_fits_is_laid_out_once() -> None:
    """No second layout for the usual case."""
    lay = Pretend(0, 0)
    fitted(lay, "handout", "letter")
    assert len(lay.asked) == 1


def test_the_last_resort_lets_the_front_flow_over() -> None:
    """When a side cannot fit, both are drawn tight and the front goes over to the back."""
    lay = Pretend(TIGHTEST + 1, 0, flows=True)
    assert len(fitted(lay, "handout", "letter").pages) == 2
    assert "data-flow" in lay.asked[-1]


@pytest.mark.parametrize(("front", "back"), [(TIGHTEST + 1, 0), (0, TIGHTEST + 1)])
def test_what_cannot_fit_is_refused(front: int, back: int) -> None:
    """The error says what was found and what was expected."""
    with pytest.raises(BadContent, match=r"handout does not fit its paper \(a4\); found 3 pages; expected 2 pages"):
        fitted(Pretend(front, back), "handout", "a4")


def test_kinds_without_a_limit_are_laid_out_once() -> None:
    """Talk notes may be as long as they are."""
    lay = Pretend(3, 3)
    assert len(fitted(lay, "talk-notes", "letter").pages) == 4
    assert len(lay.asked) == 1


def test_too_few_pages_are_refused() -> None:
    """A handout of one page has lost its plan."""
    with pytest.raises(BadContent, match="found 1 page; expected 2 pages"):
        fitted(lambda attributes: SimpleNamespace(pages=[_page("front")]), "handout", "a4")
