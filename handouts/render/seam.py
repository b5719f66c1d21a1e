"""A layout with its columns' ends marked in; the share of the width at which both columns are equally long out."""

from __future__ import annotations

from typing import Any

SIDES = ("front", "back")
# The text's share in percent: four of six columns, and how far a crowded side may move the seam.
FOUR_COLUMNS = 66
LEAST, MOST = 50, 72
_GUTTER = 5 / 25.4 * 96  # between text and outer columns, in the engine's pixels


def balanced(laid: Any, side: str, share: int) -> int:
    """Return the text's share of the width in percent, an even number, for a side laid out with `share`.

    The paper that a column takes is its width times its height; a page names the anchors on it with their corners.
    A side without marks (its seam is fixed) or whose columns do not end keeps its share.
    """
    text, beside = _height(laid, side, "text"), _height(laid, side, "beside")
    if text is None or beside is None:
        return share
    left, _, right, _ = next(page.anchors[f"{side}-row"] for page in laid.pages if f"{side}-row" in page.anchors)
    width = right - left
    room = width - _GUTTER
    text_area, beside_area = text * width * share / 100, beside * (width * (1 - share / 100) - _GUTTER)
    if text_area + beside_area <= 0:
        return share
    wanted: float = 100 * room * text_area / (text_area + beside_area) / width
    return min(max(round(wanted / 2) * 2, LEAST), MOST)


def marked(laid: Any) -> bool:
    """Whether a layout has columns whose seam may move."""
    return any(f"{side}-row" in page.anchors for page in laid.pages for side in SIDES)


def _height(laid: Any, side: str, column: str) -> float | None:
    """Return how long a column is, over all pages it runs on; None when its end is not marked."""
    height = 0.0
    for page in laid.pages:
        row = page.anchors.get(f"{side}-row")
        if row is None:
            continue
        end = page.anchors.get(f"{side}-{column}-end")
        if end is not None:
            return height + float(end[1] - row[1])
        height += float(row[3] - row[1])
    return None


def rules() -> str:
    """Return the style rules that set the seam of a side from the root's attribute `data-seam-front` or `-back`."""
    return "".join(
        f'[data-seam-{side}="{share}"] .{side} > .row:not(.alone) > .text {{ width: {share}%; }}\n'
        for side in SIDES
        for share in range(LEAST, MOST + 1, 2)
    )
