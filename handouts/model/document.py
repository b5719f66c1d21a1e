"""A Document: blocks of text runs, the claims behind every figure, the cautions and the dated events."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

ConstRole = Literal["page", "list", "note", "cite", "event", "name", "form"]
MarkName = Literal["published", "derived", "proxy", "common-practice", "own-observation", "not-known"]


@dataclass(frozen=True)
class Claim:
    """One visible figure and how it is known; `shown` is the exact text on the page."""

    id: str
    shown: str
    value: object
    unit: str | None
    basis: str
    references: tuple[str, ...] = ()
    parents: tuple[str, ...] = ()
    proxy: str | None = None
    label: str = ""
    detail: str = ""
    reviewed: str = ""
    digest: str = ""


@dataclass(frozen=True)
class Text:
    """Plain words without figures."""

    text: str


@dataclass(frozen=True)
class Figure:
    """A figure that is a claim. `machine` is an ISO date or "low/high" for the markup; `marks` name the bases."""

    claim: str
    shown: str
    marks: tuple[str, ...] = ()
    machine: str | None = None
    tag: Literal["span", "time", "data"] = "span"


@dataclass(frozen=True)
class Const:
    """A figure that is a declared constant: a page number, a list number, a name, a citation."""

    role: ConstRole
    text: str


@dataclass(frozen=True)
class Styled:
    """Runs set apart: strong, emphasis or a Latin name."""

    style: Literal["strong", "em", "latin"]
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Link:
    """A link with plain text."""

    text: str
    url: str


Run = Text | Figure | Const | Styled | Link
Runs = tuple[Run, ...]


@dataclass(frozen=True)
class Heading:
    """A heading of level 2 or 3 (the title is level 1)."""

    level: int
    runs: Runs


@dataclass(frozen=True)
class Para:
    """A paragraph; `role` says how it is set (body, lead, key, small)."""

    runs: Runs
    role: str = "body"


@dataclass(frozen=True)
class Items:
    """A list; `ordered` ones show their numbers as list constants."""

    items: tuple[Runs, ...]
    ordered: bool = False
    role: str = "body"


@dataclass(frozen=True)
class Table:
    """A table with a caption, one header row and a header cell at the start of each row."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Runs, ...], ...]
    role: str = "plain"


@dataclass(frozen=True)
class Picture:
    """A drawing or chart as SVG text, with its title and a description in words."""

    id: str
    svg: str
    title: str
    alt: str
    caption: Runs = ()
    width_mm: float = 80
    role: str = "picture"


@dataclass(frozen=True)
class Notice:
    """The caution of one hazard class."""

    caution: str
    name: str
    runs: Runs
    turn_to: tuple[Runs, ...] = ()
    length: Literal["short", "full"] = "full"


@dataclass(frozen=True)
class Slot:
    """A named part that a reader (and a check) must find: main-message, do-this, not-known, plan, sources …"""

    name: str
    blocks: tuple[Block, ...]
    title: Runs = ()


@dataclass(frozen=True)
class Blank:
    """A box to write in, with its label."""

    label: str
    lines: int = 1


Block = Heading | Para | Items | Table | Picture | Notice | Slot | Blank


@dataclass(frozen=True)
class Event:
    """An all-day calendar entry; `last` is the last day it covers."""

    key: str
    title: str
    first: date
    last: date
    text: str
    claims: tuple[str, ...] = ()


@dataclass(frozen=True)
class Document:
    """Everything a renderer may see."""

    kind: str
    topic: str
    title: str
    subtitle: Runs
    blocks: tuple[Block, ...]
    claims: tuple[Claim, ...]
    cautions: tuple[str, ...]
    constants: tuple[str, ...] = ()
    events: tuple[Event, ...] = ()
    place: str = ""
    edition: str = ""
    edition_line: Runs = ()
    paper: str = "letter"
    lang: str = "en"
    reading_grade: float | None = None
    pages: int | None = None
    revised: str = ""
    extra: dict[str, str] = field(default_factory=dict)
