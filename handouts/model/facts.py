"""Facts and how each is known: statements with one basis each, subjects that hold them, sources that back them."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from handouts import units
from handouts.model.located import Located
from handouts.model.times import TimePoint, parse_time

KINDS = ("species", "plants", "substances", "practices", "terms", "contacts")
ID = r"^[a-z0-9]+(?:-[a-z0-9]+)*$"
FACT_ID = r"^[a-z0-9-]+(?:\.[a-z0-9-]+){1,2}$"
REF_ID = r"^[a-z0-9-]+#[a-z0-9-]+$"

Bound = Literal["range", "about", "exactly", "at least", "at most"]
Id = Annotated[str, Field(pattern=ID)]
FactId = Annotated[str, Field(pattern=FACT_ID)]
RefId = Annotated[str, Field(pattern=REF_ID)]
When = Annotated[Any, BeforeValidator(lambda text: parse_time(text) if isinstance(text, str) else text)]
Day = Annotated[date, BeforeValidator(lambda text: _iso_day(text))]


def _iso_day(text: Any) -> Any:
    if isinstance(text, str):
        return date.fromisoformat(text)
    return text


class Span(Located):
    """A number or a range of numbers with a unit; exactly one of the five forms."""

    low: float | None = None
    high: float | None = None
    about: float | None = None
    exactly: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    unit: str

    @model_validator(mode="after")
    def _one_form(self) -> Span:
        if not units.known(self.unit):
            raise ValueError(f"{self.unit!r} is not a known unit; expected one of {', '.join(units.UNITS)}")
        forms = [name for name in ("about", "exactly", "at_least", "at_most") if getattr(self, name) is not None]
        pair = (self.low is not None) + (self.high is not None)
        if (pair == 2) + len(forms) != 1 or pair == 1:
            raise ValueError("a span is either low and high, or one of about, exactly, at_least, at_most")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"low {self.low:g} is above high {self.high:g}")
        return self

    @property
    def bound(self) -> Bound:
        """Which of the five forms this is."""
        for name in ("about", "exactly", "at_least", "at_most"):
            if getattr(self, name) is not None:
                return name.replace("_", " ")  # type: ignore[return-value]
        return "range"

    @property
    def ends(self) -> tuple[float | None, float | None]:
        """Low and high in the span's unit; None on the open side."""
        if self.bound == "range":
            return self.low, self.high
        if self.bound == "at least":
            return self.at_least, None
        if self.bound == "at most":
            return None, self.at_most
        middle = self.about if self.about is not None else self.exactly
        return middle, middle


class Time(Located):
    """A time of the year or a stretch of it."""

    start: When = Field(default=None, alias="from")
    to: When = None
    at: When = None

    @model_validator(mode="after")
    def _whole(self) -> Time:
        if (self.at is None) == (self.start is None) or (self.start is None) != (self.to is None):
            raise ValueError("a time is either at, or from and to")
        return self

    @property
    def ends(self) -> tuple[TimePoint, TimePoint]:
        """First and last point."""
        return (self.at, self.at) if self.at is not None else (self.start, self.to)


class Published(Located):
    """Seen in the sources it rests on."""

    kind: Literal["published"]
    rests_on: list[RefId] = Field(min_length=1)


class Derived(Located):
    """Worked out from other facts by a named formula."""

    kind: Literal["derived"]
    formula: str = Field(min_length=3)
    parents: list[FactId] = Field(min_length=1)


class Proxy(Located):
    """Published about another species or place, which is always named with the value."""

    kind: Literal["proxy"]
    of: str = Field(min_length=2)
    rests_on: list[RefId] = Field(min_length=1)


class CommonPractice(Located):
    """What keepers do and see; no source stands behind it."""

    kind: Literal["common-practice"]


class OwnObservation(Located):
    """The club's own records."""

    kind: Literal["own-observation"]
    n: int = Field(ge=1)
    period: str
    place: str
    file: str | None = None


class Memory(Located):
    """Believed, not looked up: a to-do that never reaches a public page."""

    kind: Literal["memory"]


class NotKnown(Located):
    """Looked for and not found."""

    kind: Literal["not-known"]
    looked: str = Field(min_length=3)


Basis = Annotated[
    Published | Derived | Proxy | CommonPractice | OwnObservation | Memory | NotKnown, Field(discriminator="kind")
]


class Statement(Located):
    """One value and how it is known."""

    span: Span | None = None
    time: Time | None = None
    flag: bool | None = None
    term: str | None = Field(default=None, min_length=1)
    basis: Basis
    conditions: str | None = None
    why: str | None = None

    @model_validator(mode="after")
    def _one_value(self) -> Statement:
        values = sum(value is not None for value in (self.span, self.time, self.flag, self.term))
        if self.basis.kind == "not-known":
            if values:
                raise ValueError("a statement that is not known carries no value")
        elif values != 1:
            raise ValueError("a statement carries exactly one of span, time, flag, term")
        return self

    @property
    def rests_on(self) -> list[str]:
        """The references named by the basis."""
        return list(getattr(self.basis, "rests_on", []))


class Fact(Located):
    """What is said of one quantity of one subject, the preferred statement first."""

    label: str = Field(min_length=3)
    says: list[Statement] = Field(min_length=1)
    noun: tuple[str, str] | None = None
    note: str | None = None
    as_of: Day | None = None
    id: str = ""

    @model_validator(mode="after")
    def _reasons(self) -> Fact:
        for extra in self.says[1:]:
            if not extra.why:
                raise ValueError(f"a further statement needs `why` (line {extra.line})")
        return self

    @property
    def preferred(self) -> Statement:
        """The statement that prose shows."""
        return self.says[0]


class Names(Located):
    """What a subject is called."""

    common: str = Field(min_length=2)
    plural: str | None = None
    scientific: str | None = None
    authority: str | None = None
    also: list[str] = []


class Subject(Located):
    """A species, plant, substance, practice, place term or contact with its facts."""

    id: str = ""
    kind: str = ""
    names: Names
    carries: list[Id] = []
    summary: str | None = None
    stand_ins: dict[str, Id] = {}
    reviewed: Day
    facts: dict[str, Fact] = {}
    replaces: bool = False
    reason: str | None = None


class Record(Located):
    """The bibliographic record of a source, in CSL-JSON names."""

    type: Literal[
        "article-journal",
        "article-newspaper",
        "article-magazine",
        "article",
        "webpage",
        "report",
        "legislation",
        "book",
        "chapter",
        "dataset",
        "thesis",
        "standard",
        "post-weblog",
        "paper-conference",
        "pamphlet",
        "entry",
        "speech",
    ]
    title: str = Field(min_length=3)
    author: list[dict[Literal["family", "given", "literal", "suffix"], str]] = []
    editor: list[dict[Literal["family", "given", "literal", "suffix"], str]] = []
    container_title: str | None = Field(default=None, alias="container-title")
    collection_title: str | None = Field(default=None, alias="collection-title")
    publisher: str | None = None
    publisher_place: str | None = Field(default=None, alias="publisher-place")
    issued: str | None = None
    accessed: str | None = None
    volume: str | None = None
    issue: str | None = None
    page: str | None = None
    number: str | None = None
    edition: str | None = None
    section: str | None = None
    genre: str | None = None
    note: str | None = None
    DOI: str | None = None
    URL: str | None = None


class ReferenceValue(Located):
    """What one source states of one fact, and where in the source."""

    of: FactId
    low: float | None = None
    high: float | None = None
    about: float | None = None
    exactly: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    unit: str | None = None
    start: When = Field(default=None, alias="from")
    to: When = None
    at: When = None
    flag: bool | None = None
    term: str | None = None
    conditions: str | None = None
    locator: str | None = None
    id: str = ""

    @model_validator(mode="after")
    def _one_value(self) -> ReferenceValue:
        numbers = any(
            value is not None for value in (self.low, self.high, self.about, self.exactly, self.at_least, self.at_most)
        )
        times = self.start is not None or self.at is not None
        if numbers + times + (self.flag is not None) + (self.term is not None) != 1:
            raise ValueError("a reference value carries exactly one of a span, a time, flag, term")
        if numbers and self.unit is None:
            raise ValueError("a number needs its unit")
        _ = self.span, self.time
        return self

    @property
    def span(self) -> Span | None:
        """The stated number or range."""
        if self.unit is None:
            return None
        forms = ("low", "high", "about", "exactly", "at_least", "at_most")
        given = {name: getattr(self, name) for name in forms if getattr(self, name) is not None}
        return Span(unit=self.unit, **given)

    @property
    def time(self) -> Time | None:
        """The stated time."""
        if self.at is not None:
            return Time(at=self.at)
        return Time(**{"from": self.start, "to": self.to}) if self.start is not None else None


class Source(Located):
    """A source, how it was read, and what it states."""

    id: str = ""
    record: Record
    read: Literal["whole", "abstract", "excerpt"]
    evidence: Literal["peer-reviewed", "extension", "agency", "society", "dataset", "standard"]
    seen: Day
    values: dict[str, ReferenceValue] = {}
