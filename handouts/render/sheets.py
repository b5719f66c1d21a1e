"""A document kind and a paper's name in, the sheet out: its size, which way it lies, its page rules and page limit."""

from __future__ import annotations

from dataclasses import dataclass

from handouts.errors import BadInput
from handouts.model.forms import FORMS, LYING


@dataclass(frozen=True)
class Paper:
    """A sheet upright: width and height in millimeters (ANSI and ISO sizes, inches times 25.4 exactly)."""

    width: float
    height: float


PAPERS = {
    "letter": Paper(215.9, 279.4),
    "a4": Paper(210, 297),
    "tabloid": Paper(279.4, 431.8),
    "a3": Paper(297, 420),
    "legal": Paper(215.9, 355.6),
}
MARGIN_MM = 19
# A poster needs the paper more than the margin, above all on a sheet for the refrigerator door.
POSTER_MARGIN_MM, SMALL_POSTER_MARGIN_MM = 15, 13
FORM_MARGIN_MM = 13
# Single sheets without a line at the foot of the page, filled to the printer's margin.
ONE_SHEET = ("bench-card", "childrens-sheet", "place-sheet")
# Kinds that lie on their long side, and how many pages a finished document of a kind has.
LANDSCAPE = LYING | {"claims"}
LIMITS = {"handout": 2, "poster": 1, "bench-card": 1, "childrens-sheet": 1, "place-sheet": 1, **dict.fromkeys(FORMS, 1)}
# Kinds that take as many pages as they need, up to so many.
MOST = {"handout-large-print": 8}
# The live area that wall letters are measured for: as wide as Tabloid's, as high as A3's. There 1 rem is 12 pt.
_WALL_MM = (279.4 - 2 * POSTER_MARGIN_MM, 420 - 2 * POSTER_MARGIN_MM)
_WALL_REM_PT = 12.0
# On a refrigerator-door sheet the table letters would shrink below what can be read; they keep these sizes.
_SMALL_REM_PT = 10.0
_SMALL_LETTERS = (
    "--cells: 10pt/12pt; --rows: 10pt/12pt; --months: 9.5pt/11pt; --words: 8.5pt/10pt; --smaller: 8pt; "
    "--smallest: 7.5pt; --caption: 9pt/11pt; --month-cells: 9pt/10.5pt; --month-space: 0; "
    "--week-cells: 9.5pt/11pt;"
)


def size(kind: str, paper: str) -> tuple[float, float]:
    """Return width and height in millimeters as the sheet lies. Raises BadInput for an unknown paper."""
    if paper not in PAPERS:
        raise BadInput("the paper is not known", found=paper, expected=", ".join(PAPERS))
    upright = PAPERS[paper]
    across = (upright.width, upright.height)
    return (across[1], across[0]) if kind in LANDSCAPE else across


def margin(kind: str, paper: str) -> float:
    """Return the outer margin in millimeters."""
    if kind in ONE_SHEET or kind in FORMS:
        return FORM_MARGIN_MM
    if kind != "poster":
        return MARGIN_MM
    return POSTER_MARGIN_MM if PAPERS[paper].width > _WALL_MM[0] else SMALL_POSTER_MARGIN_MM


def live(kind: str, paper: str) -> tuple[float, float]:
    """Return width and height between the margins in millimeters. Raises BadInput for an unknown paper."""
    width, height = size(kind, paper)
    edges = 2 * margin(kind, paper)
    return width - edges, height - edges


def page_rule(kind: str, paper: str) -> str:
    """Return the `@page` rule of the sheet, and for posters the size that all letters are measured by."""
    width, height = size(kind, paper)
    rule = f"@page {{ size: {width:g}mm {height:g}mm; margin: {margin(kind, paper):g}mm; }}\n"
    if kind in MOST:  # a drawing as wide as the sheet lies on a page of its own
        rule += f"@page lying {{ size: {height:g}mm {width:g}mm; }}\n"
    if kind == "handout":  # where its columns are measured
        rule += f"@page long {{ size: {width:g}mm {20 * height:g}mm; }}\n[data-measure] body {{ page: long; }}\n"
    if kind == "poster":
        rem = poster_rem(paper)
        rule += f":root {{ font-size: {rem:g}pt; }}\n"
        if rem < _SMALL_REM_PT:
            rule += f":root[data-front] {{ {_SMALL_LETTERS} }}\n"
    return rule


def poster_rem(paper: str) -> float:
    """Return the poster's unit of letter size in points: 12 on Tabloid and A3, smaller as the live area shrinks."""
    share = min(1.0, *(side / wall for side, wall in zip(live("poster", paper), _WALL_MM, strict=True)))
    return round(_WALL_REM_PT * share, 2)
