"""A document's blocks in, the same blocks out, grouped by their place on the sheet; nothing is added or left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from handouts.model.document import (
    Blank,
    Block,
    Const,
    Document,
    Figure,
    Heading,
    Items,
    Notice,
    Para,
    Picture,
    Runs,
    Slot,
    Styled,
    Table,
    Text,
)

LAST_SLOTS = frozenset({"statements"})
YEAR_COLUMNS = 9
# On a children's sheet a drawing up to the first width stands beside the steps, up to the second beside the count.
_NARROW_MM, _MEASURE_MM = 70.0, 120.0
_PLACES = ("say", "show", "do", "screen")


def flow(document: Document) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split the blocks into the running text and what stands after the edition line."""
    return parted(document.blocks, is_last)


def foot(document: Document) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split what stands after the edition line into codes for phones and words."""
    words, code = parted(flow(document)[1], is_code)
    return code, words


def led(blocks: tuple[Block, ...]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split the main message from what follows it: (the rest, the message)."""
    return parted(blocks, lambda block: slot_name(block) == "main-message")


def one_column(document: Document) -> tuple[Block, ...]:
    """Return the running text in one column: the cautions follow the steps, the rest keeps its order."""
    running, _ = flow(document)
    rest, cautions = parted(running, lambda block: isinstance(block, Notice) or slot_name(block) == "cautions")
    turn = next((at for at, block in enumerate(rest, 1) if slot_name(block) == "do-this"), len(rest))
    return (*rest[:turn], *cautions, *rest[turn:])


@dataclass(frozen=True)
class ForChildren:
    """A children's sheet by place; `shape` says where its picture stands: beside the steps, below, or shared."""

    shape: str
    lead: tuple[Block, ...]
    picture: tuple[Block, ...]
    draw: tuple[Block, ...]
    count: tuple[Block, ...]
    wonder: tuple[Block, ...]
    grown: tuple[Block, ...]
    care: tuple[Block, ...]
    rest: tuple[Block, ...]


def childrens(document: Document) -> ForChildren:
    """Split a children's sheet by place; within each place the reading order stays."""
    rest, _ = flow(document)
    taken: dict[str, tuple[Block, ...]] = {}
    for name, slots in (
        ("lead", ("main-message", "do-this")),
        ("draw", ("draw",)),
        ("count", ("count",)),
        ("wonder", ("wonder",)),
        ("grown", ("grown-ups",)),
        ("care", ("cautions",)),
    ):
        rest, taken[name] = parted(rest, lambda block, slots=slots: slot_name(block) in slots)  # type: ignore[misc]
    rest, picture = parted(rest, lambda block: isinstance(block, Picture))
    shape = next((_shape(block) for block in picture if isinstance(block, Picture)), "below")
    return ForChildren(shape, picture=picture, rest=rest, **taken)


def _shape(picture: Picture) -> str:
    """Where a children's drawing stands: beside the steps, below them, or there with the list to count on beside it."""
    if picture.width_mm <= _NARROW_MM:
        return "beside"
    return "below" if picture.width_mm > _MEASURE_MM else "shared"


def ended(blocks: tuple[Block, ...]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split the key and the sources, which stand small at the end of a single sheet, from what is before them."""
    return parted(blocks, lambda block: slot_name(block) in ("key", "sources"))


def timed_step(step: Runs) -> tuple[Runs, Runs]:
    """Split a step of a bench card into what to do and its time, which stands at its end, set apart."""
    if step and isinstance(step[-1], Styled):
        return tuple(run for run in step[:-1] if run != Text(" ")), step[-1].runs
    return step, ()


@dataclass(frozen=True)
class Wall:
    """A poster's blocks by place: the lead, charts and tables for the wall, and the small print in three columns."""

    lead: tuple[Block, ...]
    wall: tuple[Block, ...]
    cautions: tuple[Block, ...]
    key: tuple[Block, ...]
    rest: tuple[Block, ...]

    @property
    def columns(self) -> list[tuple[str, tuple[Block, ...]]]:
        """The columns of the small print that hold something, with their names."""
        named = (("cautions", self.cautions), ("key", self.key), ("rest", self.rest))
        return [(name, blocks) for name, blocks in named if blocks]


def poster(document: Document) -> Wall:
    """Split a poster's blocks by place; within each place the reading order stays. Statements go to the foot."""
    rest, wall = parted((*flow(document)[0], *foot(document)[0]), _holds_chart)
    rest, lead = parted(rest, lambda block: slot_name(block) == "main-message" or _is_lead(block))
    rest, cautions = parted(rest, lambda block: isinstance(block, Notice) or slot_name(block) == "cautions")
    rest, key = parted(rest, lambda block: slot_name(block) == "key")
    return Wall(lead, wall, cautions, key, rest)


def parted(blocks: Iterable[Block], chosen: Callable[[Block], bool]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split blocks in two without changing their order. Returns (others, chosen); see the callers for the names."""
    others: list[Block] = []
    taken: list[Block] = []
    for block in blocks:
        (taken if chosen(block) else others).append(block)
    return tuple(others), tuple(taken)


# The parts of a form that stand side by side over the table, and the small print below it.
NOTE_SLOTS = frozenset({"how", "when", "look", "counted", "many"})
SMALL_SLOTS = frozenset({"cautions", "key", "sources"})


def form(blocks: tuple[Block, ...]) -> tuple[tuple[Block, ...], ...]:
    """Split a form's blocks by place: boxes at the top, notes, the sheet to write on, the small print."""
    rest, small = parted(blocks, lambda block: slot_name(block) in SMALL_SLOTS)
    rest, notes = parted(rest, lambda block: slot_name(block) in NOTE_SLOTS)
    sheet, boxes = parted(rest, lambda block: isinstance(block, Blank))
    return boxes, notes, sheet, small


def tags(blocks: tuple[Block, ...]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Split a sheet of tags into the tags and the rest."""
    rest, found = parted(blocks, lambda block: slot_name(block) == "tag")
    return found, rest


def apart(cells: tuple[Runs, ...]) -> tuple[tuple[Runs, int], ...]:
    """Leave every cell by itself: (runs, 1 column). A cell without words is empty."""
    return tuple((cell if "".join(said(cell)).strip() else (), 1) for cell in cells)


def merged(cells: tuple[Runs, ...]) -> tuple[tuple[Runs, int], ...]:
    """Join neighbouring cells that say the same into one that spans them: (runs, columns). Empty ones stay apart."""
    joined: list[tuple[Runs, int]] = []
    for cell, _ in apart(cells):
        if len(joined) > 1 and cell and joined[-1][0] == cell:
            joined[-1] = (cell, joined[-1][1] + 1)
        else:
            joined.append((cell, 1))
    return tuple(joined)


def titled(slot: Slot) -> bool:
    """Whether a part begins with a table whose caption only repeats the part's title."""
    first = slot.blocks[0] if slot.blocks else None
    if not isinstance(first, Table) or not slot.title:
        return False
    return first.caption.strip() == "".join(said(slot.title)).replace("\u00a0", " ").strip()


def is_year(table: Table) -> bool:
    """Whether a table is a calendar: its columns are months or weeks, its cells bands of time."""
    return len(table.head) >= YEAR_COLUMNS


def short_heads(table: Table) -> bool:
    """Whether all column heads are as short as the name of a month, so that they can be set large."""
    return all(len(cell) <= 4 for cell in table.head[1:])


def short_rows(table: Table) -> bool:
    """Whether the first cells of all rows are so short that none need be broken."""
    return all(len("".join(said(row[0]))) <= 38 for row in table.rows if row)


def word_size(cell: Runs, across: int) -> str:
    """Return how large the words of a calendar cell can stand in `across` columns: full, smaller or smallest."""
    words = "".join(said(cell)).replace("-", " ").split()
    longest = max((len(word) for word in words), default=0) / across
    return "full" if longest <= 5 else "smaller" if longest <= 7 else "smallest"


def title_length(title: str) -> str:
    """Return how large a title can stand on one line of a poster: short, middle or long."""
    return "short" if len(title) <= 17 else "middle" if len(title) <= 21 else "long"


def said(runs: Runs) -> Iterable[str]:
    """All words and figures of runs."""
    for run in runs:
        if isinstance(run, Styled):
            yield from said(run.runs)
        else:
            yield run.shown if isinstance(run, Figure) else run.text


@dataclass(frozen=True)
class Part:
    """A part of a talk or video by place: its minutes for the margin, its title, what to say, show, do and write."""

    minutes: Runs
    title: Runs
    say: tuple[Block, ...]
    show: tuple[Block, ...]
    do: tuple[Block, ...]
    screen: tuple[Block, ...]


def part(slot: Block) -> Part | None:
    """Split a part of a talk by the place each block takes; None when the block is no such part.

    A heading goes where the list after it goes. Minutes at the end of the title, after a dash, go to the margin.
    """
    if not isinstance(slot, Slot) or not any(_place(block) for block in slot.blocks):
        return None
    places: dict[str, list[Block]] = {name: [] for name in _PLACES}
    where = "say"
    for at, block in enumerate(slot.blocks):
        following = slot.blocks[at + 1] if at + 1 < len(slot.blocks) else None
        if isinstance(block, Heading) and following is not None:
            where = _place(following) or where
        else:
            where = _place(block) or where
        places[where].append(block)
    title, minutes = _timed(slot.title)
    return Part(minutes, title, *(tuple(places[name]) for name in _PLACES))


def _place(block: Block) -> str:
    role = block.role if isinstance(block, Para | Items) else ""
    return role if role in _PLACES else ""


def _timed(title: Runs) -> tuple[Runs, Runs]:
    """Split "Title – 8 min" into the title and its minutes, which are a declared figure of the event."""
    at = next((at for at, run in enumerate(title) if isinstance(run, Const) and run.role == "event"), 0)
    dash = title[at - 1] if at else None
    if isinstance(dash, Text) and dash.text.strip() == "\u2013":
        return title[: at - 1], title[at:]
    return title, ()


def slot_name(block: Block) -> str:
    return block.name if isinstance(block, Slot) else ""


def is_last(block: Block) -> bool:
    statement = isinstance(block, Para) and block.role == "statement"
    return slot_name(block) in LAST_SLOTS or statement or is_code(block)


def is_code(block: Block) -> bool:
    """Whether a block is a code for phones: printed as small as it can be read, beside the small print."""
    return isinstance(block, Picture) and block.role == "code"


def _is_lead(block: Block) -> bool:
    return isinstance(block, Blank) or (isinstance(block, Para) and block.role == "lead")


def _holds_chart(block: Block) -> bool:
    inner = block.blocks if isinstance(block, Slot) else (block,)
    return any(isinstance(item, Table | Picture) and not is_code(item) for item in inner)
