"""A handout in, its blocks by place on the two sides of the sheet out; nothing is added or left out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from handouts.model.document import Block, Document, Heading, Items, Notice, Para, Picture, Runs, Slot, Table
from handouts.render.arrange import is_last, parted, said, slot_name

# A drawing up to the first width stands in the two outer columns, up to the second in the text's four columns.
SIDE_WIDTH_MM = 62.0
TEXT_WIDTH_MM = 120.0
# What stands in the outer columns beside the steps; where the back begins.
BESIDE_STEPS = frozenset({"cautions", "whom-to-ask"})
BACK_FROM = "plan"
# A narrow column wastes more at the ends of its lines.
NARROW = 1.22
# So many letters of a table of two columns fill the sheet's width; the first column is bold, so it holds fewer.
TABLE_LETTERS, BOLD = 90.0, 1.1
FIRST_SHARES = range(30, 65, 5)  # percent of the width that the style sheet can give the first column


@dataclass(frozen=True)
class Side:
    """One side of a handout: full-width blocks on top, the text column, the outer columns, full-width blocks below.

    A crowded side is drawn with the seam between the two columns where both become equally long.
    """

    top: tuple[Block, ...] = ()
    main: tuple[Block, ...] = ()
    side: tuple[Block, ...] = ()
    below: tuple[Block, ...] = ()

    @property
    def movable(self) -> bool:
        """Whether the seam may move: not beside a drawing, which is never printed smaller than it was drawn for."""
        return bool(self.side) and not any(_pictures(block) for block in self.main)


@dataclass(frozen=True)
class Sheet:
    """A document's blocks by place: front and back of the sheet, and what stands after the edition line."""

    front: Side
    back: Side
    last: tuple[Block, ...]


def sheet(document: Document) -> Sheet:
    """Group the blocks of a two-sided handout: the front teaches, with the cautions beside the steps they belong to;
    the back is the plan for the place. Within each group the reading order stays.
    """
    body, last = parted(document.blocks, is_last)
    body, cautions = parted(body, lambda block: isinstance(block, Notice) or slot_name(block) in BESIDE_STEPS)
    turn = next((at for at, block in enumerate(body) if slot_name(block) == BACK_FROM), len(body))
    front, wide = parted(body[:turn], _is_wide)
    main, narrow = parted(front, _is_narrow)
    back, key = parted(body[turn:], lambda block: slot_name(block) == "key")
    if wide:  # then the front is low on room
        return Sheet(Side((), main, narrow + cautions, wide), _back(back, key), last)
    return Sheet(Side((), main, narrow + cautions + key, ()), _back(back, ()), last)


def _back(blocks: tuple[Block, ...], key: tuple[Block, ...]) -> Side:
    """The plan on top; below it the text, and beside it what is not known and the sources."""
    rest, top = parted(blocks, lambda block: slot_name(block) == BACK_FROM or _is_wide(block))
    rest, sources = parted(rest, lambda block: slot_name(block) == "sources")
    text, gaps = parted(rest, lambda block: slot_name(block) == "not-known" or _is_narrow(block))
    if not text:
        return Side(top, gaps, key + sources, ())
    if _area(text) < NARROW * _area(gaps + key + sources):  # beside the text they would outgrow it
        return Side(top, text, gaps + key, sources)
    return Side(top, text, gaps + key + sources, ())


def _area(blocks: Iterable[Block]) -> float:
    """Estimate the paper that blocks take, in signs of body text; only to choose a layout, the engine measures."""
    area = 0.0
    for block in blocks:
        if isinstance(block, Slot):
            area += (0.57 if block.name in ("key", "sources") else 1.0) * _area(block.blocks) + 40
        elif isinstance(block, Notice):
            area += 0.6 * (_signs(block.runs) + len(block.name)) + 15
        elif isinstance(block, Items):
            area += sum(_signs(item) + 20 for item in block.items)
        elif isinstance(block, Para):
            area += (0.57 if block.role == "contacts" else 1.0) * _signs(block.runs) + 25
        elif isinstance(block, Heading):
            area += 60
        elif isinstance(block, Picture):
            area += 600
    return area


def _signs(runs: Runs) -> int:
    return sum(len(part) for part in said(runs))


def width(picture: Picture) -> str:
    """Return how many columns a drawing takes: narrow (two), measure (four) or wide (all six)."""
    if picture.role == "chart" or picture.width_mm > TEXT_WIDTH_MM:
        return "wide"
    return "measure" if picture.width_mm > SIDE_WIDTH_MM else "narrow"


def _pictures(block: Block) -> list[Picture]:
    if isinstance(block, Slot):
        return [inner for inner in block.blocks if isinstance(inner, Picture)]
    return [block] if isinstance(block, Picture) else []


def _only_pictures(block: Block) -> bool:
    """Whether a block is a drawing, or a slot that holds nothing but drawings and a line under them."""
    if isinstance(block, Slot):
        return bool(_pictures(block)) and all(isinstance(inner, Picture | Para) for inner in block.blocks)
    return isinstance(block, Picture)


def _is_wide(block: Block) -> bool:
    return _only_pictures(block) and any(width(picture) == "wide" for picture in _pictures(block))


def _is_narrow(block: Block) -> bool:
    return _only_pictures(block) and all(width(picture) == "narrow" for picture in _pictures(block))


def _is_caution(block: Block) -> bool:
    return isinstance(block, Notice) or slot_name(block) in BESIDE_STEPS


def first_share(table: Table) -> int:
    """Return the percent of a table's width for the first of two columns that breaks the fewest lines; 0: as it comes.

    Letters are only counted, so the style sheet's choice stands wherever nothing need be broken.
    """
    rows = [(len("".join(said(row[0]))), len("".join(said(row[1])))) for row in table.rows if len(row) == 2]
    if not rows or len(rows) < len(table.rows) or all(first <= 38 for first, _ in rows):
        return 0

    def lines(share: int) -> int:
        first, second = TABLE_LETTERS * share / 100.0 / BOLD, TABLE_LETTERS * (100 - share) / 100.0
        return sum(max(ceil(one / first), ceil(other / second)) for one, other in rows)

    best = min(map(lines, FIRST_SHARES))
    shares = [share for share in FIRST_SHARES if lines(share) == best]
    return shares[len(shares) // 2]
