"""A way to lay a document out in, the roomiest layout that keeps to its pages out; a refusal when none does."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from handouts.errors import BadContent
from handouts.render import seam
from handouts.render.sheets import LIMITS, MOST

# The style sheets know this many steps of drawing a side closer together; 0 is the roomy one.
TIGHTEST = 6
# The step at which columns are measured: letters as small as they get, and most crowded sides end near it.
MEASURED = 4
# A kind whose pages are not fixed is drawn closer together in so many steps; its letters stay.
CLOSER = 2


class TooLong(BadContent):
    """A document that does not fit its pages however closely it is drawn; leaving something out may help."""


ROOMY = 'data-front="0" data-back="0"'
# A browser prints with whatever fonts it has and cannot try again: its page starts closer together.
FOR_BROWSERS = 'data-front="2" data-back="2"'
FORMS_FOR_BROWSERS = f'data-front="{TIGHTEST}" data-back="{TIGHTEST}"'  # one sheet each, with lines of 8 mm
Lay = Callable[[str], Any]


def fitted(lay: Lay, kind: str, paper: str) -> Any:
    """Return the layout of a document that fills as many pages as its kind allows.

    `lay` takes attributes for the root element and returns the engine's layout with its `pages`; a page
    names the anchors on it. The two sides of a handout are tightened each for itself, spaces and small letters
    first, and the seam between their columns moves where both end together; as a last resort what does not fit the
    front goes over to the back. Raises TooLong.
    """
    if kind in MOST:
        return _within(lay, kind, paper)
    if kind not in LIMITS:
        return lay(ROOMY)
    expected = LIMITS[kind]
    tried = [0, 0]
    made: dict[tuple[int, ...], Any] = {}
    fails, fits = [-1, -1], [TIGHTEST + 1, TIGHTEST + 1]
    shares = [seam.FOUR_COLUMNS, seam.FOUR_COLUMNS]
    while max(fails) < TIGHTEST:
        if tuple(tried) not in made:
            made[tuple(tried)] = lay(_attributes(tried, shares))
        laid = made[tuple(tried)]
        for side, over in enumerate(_sides_over(laid, expected)):
            if over:
                fails[side] = tried[side]
            else:
                fits[side] = tried[side]
        if tried == fits and all(fits[side] - fails[side] == 1 for side in (0, 1)):
            if len(laid.pages) == expected:
                return laid
            break
        if len(made) == 1 and seam.marked(laid):
            shares = _seams(lay, shares)
        tried = [_next(fails[side], fits[side]) for side in (0, 1)]
    if expected > 1:
        laid = lay(_attributes([TIGHTEST, TIGHTEST], shares) + ' data-flow="on"')
        if len(laid.pages) == expected:
            return laid
    raise _too_long(kind, paper, laid, _pages(expected))


def _within(lay: Lay, kind: str, paper: str) -> Any:
    """Return the roomiest of the shortest layouts of a document that may have up to so many pages."""
    laid = min((lay(f'{ROOMY} data-fit="{step}"') for step in range(CLOSER + 1)), key=lambda one: len(one.pages))
    if len(laid.pages) <= MOST[kind]:
        return laid
    raise _too_long(kind, paper, laid, f"at most {_pages(MOST[kind])}")


def _too_long(kind: str, paper: str, laid: Any, expected: str) -> TooLong:
    return TooLong(
        f"the {kind} does not fit its paper ({paper})",
        found=_pages(len(laid.pages)),
        expected=expected,
        remedy="Shorten its text, or leave out a step, a caution's detail or a picture.",
    )


def _seams(lay: Lay, shares: list[int]) -> list[int]:
    """Return where the seams balance the columns, found on a sheet so long that nothing is torn apart by its end."""
    for _ in range(3):
        laid = lay(_attributes([MEASURED, MEASURED], shares) + ' data-measure="on"')
        found = [seam.balanced(laid, side, share) for side, share in zip(seam.SIDES, shares, strict=True)]
        if found == shares:
            break
        shares = found
    return shares


def _next(fails: int, fits: int) -> int:
    """The level to try next: halfway between the tightest that ran over and the roomiest that fitted."""
    return fits if fits - fails == 1 else (fails + fits) // 2


def _sides_over(laid: Any, expected: int) -> list[bool]:
    """Whether front and back run over their page; a document of one page has only a front."""
    if expected == 1:
        return [len(laid.pages) > 1, False]
    turn = next((at for at, page in enumerate(laid.pages) if "back" in page.anchors), len(laid.pages))
    return [turn > 1, len(laid.pages) - turn > 1]


def _attributes(levels: list[int], shares: list[int]) -> str:
    """The root's attributes; the roomy step keeps to the grid of six columns."""
    attributes = f'data-front="{levels[0]}" data-back="{levels[1]}"'
    for side, level, share in zip(seam.SIDES, levels, shares, strict=True):
        if level and share != seam.FOUR_COLUMNS:
            attributes += f' data-seam-{side}="{share}"'
    return attributes


def _pages(count: int) -> str:
    return f"{count} page{'' if count == 1 else 's'}"
