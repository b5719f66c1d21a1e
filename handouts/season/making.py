"""The work bench of a season: species, place and year in; windows are added one by one and come out together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from handouts import units
from handouts.model.facts import Fact, Statement
from handouts.model.library import Library
from handouts.model.season import Window
from handouts.season.profile import Profile

USABLE = ("published", "derived", "proxy", "common-practice", "own-observation")
WIDE_DAYS = 120  # a window this wide says so: it is hardly a date any more


@dataclass(frozen=True)
class Stage:
    """How many days something takes, the fact that says so, and the relative it was taken from, if any.

    `low_known` is false where a source gives only the longest time; `low` is then zero.
    """

    low: float
    high: float
    fact: Fact
    relative: str | None = None
    low_known: bool = True

    @property
    def inputs(self) -> tuple[str, ...]:
        """The fact and the references it rests on."""
        return (self.fact.id, *self.fact.preferred.rests_on)


class Maker:
    """Builds the windows of one species in one year; each part of the season adds what it can and says why it can't."""

    def __init__(self, library: Library, species: str, profile: Profile, year: int) -> None:
        self.library, self.species, self.profile, self.year = library, species, profile, year
        self.subject = library.subject(species)
        self.words = library.all_words().windows
        self.made: dict[str, Window] = {}

    @property
    def common(self) -> str:
        """The species' common name."""
        return self.subject.names.common

    def add(
        self,
        name: str,
        low: date,
        mid: date | None,
        high: date,
        basis: str,
        inputs: tuple[str, ...],
        note: str = "",
        proxy: str | None = None,
    ) -> None:
        """Add a window; without `mid` the middle day is the best. A very wide window says how wide it is."""
        middle = mid if mid is not None else low + (high - low) / 2
        wide = (high - low).days
        if wide > WIDE_DAYS:
            note = f"{note}; this is a wide window of {wide} days" if note else f"a wide window of {wide} days"
        label = self.words[name].label
        self.made[name] = Window(name, label, low, middle, high, basis, proxy or None, unique(inputs), note)

    def none(self, name: str, why: str, *, absent: bool = False) -> None:
        """Say why a window has no dates; `absent` when the species never has it."""
        window = Window(name, self.words[name].label, None, None, None, "not-known", None, (), why)
        self.made[name] = replace(window, absent=absent)

    def days(self, quantity: str) -> Stage | None:
        """Return how many days a stage takes, of the species itself or of the relative that stands in."""
        for owner in (self.species, self.subject.stand_ins.get(quantity.partition(".")[0])):
            fact = self.library.facts.get(f"{owner}.{quantity}") if owner else None
            for statement in fact.says if fact is not None else ():
                ends = day_span(statement)
                if ends is not None and fact is not None:
                    relative = None if owner == self.species else self.library.subject(str(owner)).names.common
                    return Stage(ends[0] or 0.0, ends[1], fact, relative, ends[0] is not None)
        return None

    def fact(self, quantity: str) -> Fact | None:
        """Return a span that the species or its stand-in has with a public basis."""
        for owner in (self.species, self.subject.stand_ins.get(quantity)):
            fact = self.library.facts.get(f"{owner}.{quantity}") if owner else None
            if fact is not None and fact.preferred.span is not None and fact.preferred.basis.kind in USABLE:
                return fact
        return None

    def relative_of(self, fact: Fact) -> str | None:
        """Return the name of the relative a fact belongs to; None for the species' own."""
        owner = self.library.owner[fact.id]
        return None if owner == self.species else self.library.subject(owner).names.common

    def freeze(self, side: str, percent: int = 50) -> date | None:
        """Return the place's freeze date at 32 °F in this season year, or None."""
        return self.profile.freeze_day(side, self.year, percent=percent)


def day_span(statement: Statement) -> tuple[float | None, float] | None:
    """Return a statement's days; the low end is None for "at most". None for anything without a longest time."""
    if statement.span is None or statement.basis.kind not in USABLE:
        return None
    low, high = statement.span.ends
    if high is None or not units.same_dimension(statement.span.unit, "d"):
        return None
    return (
        None if low is None else units.convert(low, statement.span.unit, "d"),
        units.convert(high, statement.span.unit, "d"),
    )


def unique(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the names, each once, in order."""
    return tuple(dict.fromkeys(names))


def joined(*names: str | None) -> str | None:
    """Name several relatives or regions in one text, each once; None for none."""
    return ", ".join(dict.fromkeys(one for name in names if name for one in name.split(", "))) or None


def days_after(day: date, count: float) -> date:
    """Return the date `count` days later, rounded to whole days."""
    return day + timedelta(days=round(count))


def day_words(day: date) -> str:
    """Write "Apr 7"."""
    return f"{day:%b} {day.day}"


def stretch_words(low: date, high: date) -> str:
    """Write "Apr 7 to May 2"."""
    return f"{day_words(low)} to {day_words(high)}"


def counted(days: int) -> str:
    """Write "1 day" or "3 days"."""
    return f"{days} day" if days == 1 else f"{days} days"
