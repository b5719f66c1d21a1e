"""One statement in, the whole phrase a reader sees out: number, unit, plural, "about", preposition, relative's name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from handouts import units
from handouts.errors import BadContent
from handouts.model.facts import Fact, Span, Statement, Time
from handouts.model.times import MONTHS, MonthDay, MonthPart, Offset, TimePoint

System = Literal["us", "metric"]
NBSP = "\u00a0"


@dataclass(frozen=True)
class Frosts:
    """The two frost dates of a place in one season year (median at 32 °F), where they are known."""

    last: date | None = None
    first: date | None = None


@dataclass(frozen=True)
class Phrase:
    """What is shown, its value for machines, and which place facts went into it."""

    shown: str
    value: object
    unit: str | None
    machine: str | None = None
    tag: Literal["span", "time", "data"] = "span"
    parents: tuple[str, ...] = ()


def number(value: float) -> str:
    """Write a number as print does: no trailing zeros, thousands set apart, a true minus sign."""
    text = f"{abs(value):,.4f}".rstrip("0").rstrip(".")
    return f"\u2212{text}" if value < 0 and text != "0" else text


def quantity(low: float, high: float, unit: str, noun: tuple[str, str] | None = None) -> str:
    """Write "9 to 18 days", "1 week", "34 to 41 °F", "5 instars"."""
    meaning = units.UNITS[unit]
    amount = number(low) if low == high else f"{number(low)} to {number(high)}"
    one, many = noun or (meaning.one, meaning.many)
    word = one if low == high == 1 else many
    if not word:
        return amount.replace(" ", NBSP)
    return f"{amount.replace(' ', NBSP)}{NBSP}{word}"


def span_phrase(span: Span, system: System, modifier: str | None = None, noun: tuple[str, str] | None = None) -> str:
    """Write a span in the reader's system first; a converted value is "about" and the stored one follows."""
    low, high = span.ends
    if modifier == "low":
        high = low
    elif modifier == "high":
        low = high
    if low is None and high is None:
        raise BadContent(f"the span has no {modifier} end", file=span.origin, line=span.line)
    first = low if low is not None else high
    last = high if high is not None else low
    assert first is not None and last is not None
    lead = {"about": "about ", "at least": "at least ", "at most": "up to "}.get(span.bound, "")
    if modifier in ("bare", "low", "high"):
        lead = ""
    partner = units.partner(span.unit, system)
    home = units.belongs(span.unit, system)
    if partner is None:
        return lead + quantity(first, last, span.unit, noun)
    turned = [units.rounded(units.convert(end, span.unit, partner), partner) for end in (first, last)]
    own = quantity(first, last, span.unit, noun)
    other = quantity(turned[0], turned[1], partner)
    if home:
        return f"{lead}{own} (about{NBSP}{other})" if modifier != "bare" else f"{lead}{own}"
    lead = lead or "about "
    return f"{lead}{other} ({own})" if modifier != "bare" else f"about {other}"


def day_words(day: date) -> str:
    """Write "May 6"."""
    return f"{MONTHS[day.month - 1]}{NBSP}{day.day}"


def part_words(day: date) -> str:
    """Write a day as a third of its month: "mid August"."""
    part = "early" if day.day <= 10 else "mid" if day.day <= 20 else "late"
    return f"{part}{NBSP}{MONTHS[day.month - 1]}"


def time_phrase(time: Time, frosts: Frosts, year: int, modifier: str | None = None) -> Phrase:
    """Write a time with its preposition; offsets become dates where the freeze date is known, else stay in words."""
    start, end = time.ends
    if modifier == "low":
        end = start
    elif modifier == "high":
        start = end
    dated = [_dated(point, frosts) for point in (start, end)]
    if isinstance(start, Offset) or isinstance(end, Offset):
        if all(day is not None for day in dated):
            first, last = dated[0], dated[1]
            assert first is not None and last is not None
            parents = tuple(
                dict.fromkeys(
                    "place." + point.of.replace(" ", "-") for point in (start, end) if isinstance(point, Offset)
                )
            )
            if first == last:
                return Phrase(f"about {day_words(first)}", first.isoformat(), None, first.isoformat(), "time", parents)
            machine = f"{first.isoformat()}/{last.isoformat()}"
            shown = f"from about {day_words(first)} to {day_words(last)}"
            return Phrase(shown, {"low": first.isoformat(), "high": last.isoformat()}, None, machine, "data", parents)
        return Phrase(_offset_words(start, end), {"low": str(start), "high": str(end)}, None)
    shown = _point_words(start) if start == end else f"from {_bare(start)} to {_bare(end)}"
    return Phrase(shown, {"low": str(start), "high": str(end)}, None)


def _dated(point: TimePoint, frosts: Frosts) -> date | None:
    if not isinstance(point, Offset):
        return None
    base = frosts.last if point.of == "last freeze" else frosts.first
    return base + timedelta(days=round(point.days / timedelta(days=1))) if base else None


def _bare(point: TimePoint) -> str:
    if isinstance(point, MonthPart):
        return str(point).replace(" ", NBSP)
    if isinstance(point, MonthDay):
        return f"{MONTHS[point.month - 1]}{NBSP}{point.day}"
    return _offset_words(point, point)


def _point_words(point: TimePoint) -> str:
    return f"on {_bare(point)}" if isinstance(point, MonthDay) else f"in {_bare(point)}"


def _offset_words(start: TimePoint, end: TimePoint) -> str:
    if not isinstance(start, Offset) or not isinstance(end, Offset):
        return f"from {_bare(start)} to {_bare(end)}"
    if start == end:
        return _one_offset(start)
    if start.of == end.of and start.unit == end.unit and start.n * end.n > 0:
        low, high = sorted((abs(start.n), abs(end.n)))
        side = "before" if start.n < 0 else "after"
        return f"{quantity(low, high, start.unit)} {side} your {start.of}"
    if start.of == end.of and start.n < 0 < end.n:
        early, late = (quantity(abs(point.n), abs(point.n), point.unit) for point in (start, end))
        return f"from {early} before to {late} after your {start.of}"
    if start.of == end.of and 0 in (start.n, end.n):
        far = start if end.n == 0 else end
        amount = quantity(abs(far.n), abs(far.n), far.unit)
        return f"in the {amount.removeprefix(f'1{NBSP}')} {'before' if far.n < 0 else 'after'} your {far.of}"
    return f"from {_one_offset(start).removeprefix('at ')} to {_one_offset(end).removeprefix('at ')}"


def _one_offset(point: Offset) -> str:
    if point.n == 0:
        return f"at your {point.of}"
    side = "before" if point.n < 0 else "after"
    return f"{quantity(abs(point.n), abs(point.n), point.unit)} {side} your {point.of}"


def statement_phrase(
    fact: Fact,
    statement: Statement,
    system: System,
    frosts: Frosts,
    year: int,
    modifier: str | None = None,
) -> Phrase:
    """Return the phrase of one statement, without the relative's name (the caller adds what a basis demands)."""
    if statement.basis.kind == "not-known":
        return Phrase("not known", None, None)
    if statement.span is not None:
        low, high = statement.span.ends
        value = {"low": low, "high": high, "bound": statement.span.bound}
        return Phrase(span_phrase(statement.span, system, modifier, fact.noun), value, statement.span.unit)
    if statement.time is not None:
        return time_phrase(statement.time, frosts, year, modifier)
    if statement.flag is not None:
        return Phrase("yes" if statement.flag else "no", statement.flag, None)
    return Phrase(statement.term or "", statement.term, None)
