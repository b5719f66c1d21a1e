"""Cautions, plans, answers, regions: the records that prose and rules are made of."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from handouts.model.facts import Day, Fact, Id
from handouts.model.located import Located
from handouts.model.plan_parts import BenchStep, Children, Video

SHORT_WORDS = 15
NAME = r"^\{[a-z0-9.|-]+\}$"


class Caution(Located):
    """The usual caution of one hazard class."""

    id: str = ""
    name: str
    short: str
    full: str
    turn_to: list[Id] = Field(min_length=1)
    carried_by: list[Id] = []
    reviewed: Day

    @model_validator(mode="after")
    def _short_enough(self) -> Caution:
        words = len(self.short.split())
        if not 3 <= words <= SHORT_WORDS:
            raise ValueError(f"`short` has {words} words; expected 3 to {SHORT_WORDS}")
        if len(self.full.split()) < 8:
            raise ValueError("`full` is empty or too short to say what the danger is and what to do")
        return self


class Entry(Located):
    """One question of the public and its answer in three lengths."""

    id: str = ""
    question: str = Field(min_length=5)
    asked_as: list[str] = []
    subjects: list[Id] = []
    cautions: list[Id] = []
    concepts: list[Id] = []
    brief: str = Field(min_length=5)
    standard: str = Field(min_length=5)
    spoken: str = Field(min_length=5)
    related: list[Id] = []
    refer: list[Id] = []
    shows: str | None = None
    values: dict[str, Fact] = {}
    reviewed: Day
    replaces: bool = False
    reason: str | None = None


class Task(Located):
    """One thing the gardener does, and the name of the time it is done."""

    do: str = Field(min_length=5)
    when: str = Field(pattern=NAME)
    short: str | None = None


class Part(Located):
    """One part of a talk: what to say, show and do, and its share of the time."""

    title: str
    share: float = Field(gt=0)
    say: list[str] = Field(min_length=1)
    show: list[str] = []
    do: list[str] = []


class Material(Located):
    """Something to bring, so many for each person, pair, table or talk."""

    item: str
    each: int = Field(ge=1, default=1)
    per: Literal["person", "pair", "table", "talk"] = "talk"


class Talk(Located):
    """The plan as a talk."""

    objectives: list[str] = Field(min_length=2, max_length=4)
    parts: list[Part] = Field(min_length=2)
    materials: list[Material] = []
    evaluation: list[str] = Field(min_length=2)


class Plan(Located):
    """A topic from start to finish: what to do, when, what is not known, and how to teach it."""

    id: str = ""
    title: str = Field(min_length=5)
    audience: str
    species: list[Id] = []
    subjects: list[Id] = []
    cautions: list[Id] = []
    main_message: str
    do_this: list[str] = Field(min_length=2)
    picture: Id | None = None
    chart: Literal["year-strip"] | None = None
    table: list[Task] = []
    not_known: list[str] = Field(min_length=1)
    faq: list[Id] = []
    talk: Talk
    bench: list[BenchStep] = []
    children: Children | None = None
    video: Video | None = None
    values: dict[str, Fact] = {}
    reviewed: Day
    prose: str = ""
    replaces: bool = False
    reason: str | None = None

    @field_validator("bench", mode="before")
    @classmethod
    def _bare_steps(cls, steps: object) -> object:
        """A step of the bench may be its words alone."""
        if not isinstance(steps, list):
            return steps
        return [{"do": step} if isinstance(step, str) else step for step in steps]


class Box(Located):
    """Low and high of one coordinate, in degrees."""

    low: float
    high: float


class Point(Located):
    """A place on the map, in degrees north and east."""

    latitude: Annotated[float, Field(ge=-90, le=90)]
    longitude: Annotated[float, Field(ge=-180, le=180)]


class Region(Located):
    """A region that published flight times speak of."""

    id: str = ""
    name: str
    in_words: str
    latitude: Box
    longitude: Box
    centre: Point
    source: str
    note: str | None = None


class AcceptedFinding(Located):
    """A finding accepted on purpose, with its reason and its way out."""

    rule: str
    key: str
    reason: str = Field(min_length=10)
    until: Day
    way_out: str = Field(min_length=5)


class Accepted(Located):
    """All deliberate disagreements of the fact base."""

    accepted: list[AcceptedFinding] = []


class WindowWords(Located):
    """How one season window is named and said."""

    label: str
    says: Literal["span", "from", "by", "by-first", "in"]
    unknown: str
    row: Literal["insect", "gardener"] = "gardener"
    rule: str | None = None
    short: str


StatementName = Literal[
    "not-advice",
    "label-law",
    "affiliation",
    "non_endorsement",
    "label",
    "licence",
    "equal_opportunity",
    "accommodation",
]


class FormWords(Located):
    """The words of one form: its columns in their order, boxes, sentences and lists with names in braces.

    `{species.QUANTITY}` stands for a fact of the species the form is made for. `cautions` are those it always carries;
    a form without the key is blank and carries none. `statements` are those that stand at its foot.
    """

    title: str
    lead: str
    columns: dict[str, str] = {}
    boxes: dict[str, str] = {}
    says: dict[str, str] = {}
    lists: dict[str, list[str]] = {}
    cautions: list[Id] | None = None
    statements: list[StatementName]


class Words(Located):
    """The tool's own words: basis marks, window phrases, headings, offset phrases, the words of forms."""

    marks: dict[str, dict[Literal["mark", "name", "explained"], str]]
    windows: dict[str, WindowWords]
    labels: dict[str, str]
    forms: dict[str, FormWords] = {}


class Theme(Located):
    """How a club's paper differs from the plain one."""

    ink: str | None = None
    tint: str | None = None
    mark: str | None = None
    paper: Literal["letter", "a4"] | None = None


class EqualOpportunity(Located):
    """The institution's own text and the day it took effect."""

    text: str
    as_of: Day


class Statements(Located):
    """The statements a club's paper carries; every text is the club's or its institution's own."""

    affiliation: str | None = None
    non_endorsement: str | None = None
    equal_opportunity: EqualOpportunity | None = None
    label: str | None = None
    accommodation: str | None = None
    licence: str | None = None
    privacy: str | None = None


class Club(Located):
    """A club's settings, from `club.yml` at the top of its folder."""

    name: str = Field(min_length=2)
    kind: Literal["personal", "club", "extension"] = "club"
    invented: bool = False
    place: str | None = None
    units: Literal["us", "metric"] | None = None
    contact: str | None = None
    link: str | None = None
    corrections_link: str | None = Field(default=None, max_length=200)
    sign_in: Literal["first-names", "names", "no-names"] = "first-names"
    statements: Statements = Statements()
    theme: Theme = Theme()

    @field_validator("corrections_link")
    @classmethod
    def _web_address(cls, link: str | None) -> str | None:
        if link is not None and not re.fullmatch(r"https?://[A-Za-z0-9.-]+\.[A-Za-z0-9-]+[!-~]*", link):
            raise ValueError("this is no web address; expected such as https://example.org/corrections")
        return link
