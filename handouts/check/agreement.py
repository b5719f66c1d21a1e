"""Two stated values in, whether they agree out: overlap, containment, bound direction, dimension."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from handouts import units
from handouts.model.facts import ReferenceValue, Span, Statement, Time
from handouts.model.times import Offset, TimePoint

# A value said as "about" may stand this far from what its source states.
ABOUT = 0.15
ROUNDING = 0.01
YEAR = 2027


@dataclass(frozen=True)
class Interval:
    """Low and high in one unit; an open side is infinite."""

    low: float
    high: float

    def meets(self, other: Interval) -> bool:
        """Whether the two overlap."""
        return self.low <= other.high and other.low <= self.high

    def holds(self, other: Interval) -> bool:
        """Whether `other` lies inside."""
        return self.low <= other.low and other.high <= self.high

    def slack(self, share: float, least: float = 0.0) -> Interval:
        """The interval widened by a share of its ends."""
        room = [max(abs(end) * share, least) if math.isfinite(end) else 0.0 for end in (self.low, self.high)]
        return Interval(self.low - room[0], self.high + room[1])


def interval(span: Span, unit: str) -> Interval:
    """Return a span as an interval in `unit`; an "about" is given its room."""
    low, high = span.ends
    ends = Interval(
        -math.inf if low is None else units.convert(low, span.unit, unit),
        math.inf if high is None else units.convert(high, span.unit, unit),
    )
    if span.bound == "about":
        # Room is a share of the amount; for a temperature, whose zero is arbitrary, a degree and a half.
        thermal = units.UNITS[unit].dimension == "temperature"
        return ends.slack(0.0, 1.5) if thermal else ends.slack(ABOUT)
    return ends


def spans_disagree(statement: Span, references: list[Span]) -> str | None:
    """Say how a statement disagrees with the references it rests on, or return None.

    Its ends must lie inside what the references state together, it must meet each of them, and a bound must point
    the same way.
    """
    for reference in references:
        if not units.same_dimension(statement.unit, reference.unit):
            one, other = units.UNITS[statement.unit].dimension, units.UNITS[reference.unit].dimension
            return f"{one} stands against {other}"
    stated = [interval(reference, statement.unit) for reference in references]
    whole = Interval(min(item.low for item in stated), max(item.high for item in stated))
    own = interval(statement, statement.unit)
    if statement.bound == "at least" and not any(item.bound in ("at least", "range") for item in references):
        return "a lower bound rests on references that give none"
    if statement.bound == "at most" and not any(item.bound in ("at most", "range") for item in references):
        return "an upper bound rests on references that give none"
    if (
        math.isinf(whole.low)
        and not math.isinf(own.low)
        and not math.isinf(whole.high)
        and statement.bound != "at most"
    ):
        return "the references give only an upper bound"
    if (
        math.isinf(whole.high)
        and not math.isinf(own.high)
        and not math.isinf(whole.low)
        and statement.bound != "at least"
    ):
        return "the references give only a lower bound"
    room = 0.6 if units.UNITS[statement.unit].dimension == "temperature" else 0.0
    if statement.bound in ("about", "exactly"):
        low, high = statement.ends
        core = Interval(low or 0.0, high or 0.0)
        if not whole.slack(ROUNDING, room).meets(core):
            return f"{_words(core)} lies outside {_words(whole)} {statement.unit}"
        return None
    if not whole.slack(ROUNDING, room).holds(own):
        return f"{_words(own)} reaches beyond {_words(whole)} {statement.unit}"
    for item in stated:
        if not own.slack(ROUNDING, room).meets(item):
            return f"{_words(own)} does not meet {_words(item)} {statement.unit}"
    return None


def _words(item: Interval) -> str:
    low = "\u2026" if math.isinf(item.low) else f"{item.low:g}"
    high = "\u2026" if math.isinf(item.high) else f"{item.high:g}"
    return low if low == high else f"{low} to {high}"


def _days(point: TimePoint) -> tuple[int, int] | None:
    if isinstance(point, Offset):
        return None
    return point.first(YEAR).timetuple().tm_yday, point.last(YEAR).timetuple().tm_yday


def year_interval(time: Time) -> Interval | None:
    """Return a calendar time as days of the year, or None for times counted from a freeze."""
    start, end = time.ends
    first, last = _days(start), _days(end)
    if first is None or last is None:
        return None
    return Interval(first[0], last[1] if last[1] >= first[0] else last[1] + 365)


def times_disagree(statement: Time, references: list[Time]) -> str | None:
    """Say how a time disagrees with the references it rests on, or return None."""
    own = year_interval(statement)
    stated = [item for item in map(year_interval, references) if item is not None]
    if own is None:
        ends = {str(point) for point in statement.ends}
        given = {str(point) for reference in references for point in reference.ends}
        return None if ends <= given else f"{', '.join(sorted(ends))} is not what the references state"
    if not stated:
        return "a calendar time rests on references that give none"
    whole = Interval(min(item.low for item in stated), max(item.high for item in stated))
    if not whole.holds(own):
        return "the time reaches beyond what the references state"
    return None


_FILLER = frozenset(
    ["a", "an", "the", "of", "in", "on", "at", "to", "and", "or", "with", "its", "it", "by", "for", "from", "is", "are"]
)


def _content_words(text: str) -> set[str]:
    return {word.rstrip("s") for word in re.findall(r"[a-z]+", text.lower()) if word not in _FILLER}


def terms_disagree(statement: str, references: list[str]) -> str | None:
    """Say that a term shares too few words with what the references state, or return None."""
    words = _content_words(statement)
    given = set().union(*(_content_words(text) for text in references)) if references else set()
    if words and len(words & given) * 2 < len(words):
        return f"{statement!r} shares too little with {'; '.join(references)!r}"
    return None


def disagreement(statement: Statement, references: list[ReferenceValue]) -> str | None:
    """Say how a statement disagrees with the references it rests on, or return None."""
    if statement.span is not None:
        spans = [reference.span for reference in references if reference.span is not None]
        return spans_disagree(statement.span, spans) if spans else "no reference it rests on gives a number"
    if statement.time is not None:
        times = [reference.time for reference in references if reference.time is not None]
        return times_disagree(statement.time, times) if times else "no reference it rests on gives a time"
    if statement.flag is not None:
        flags = [reference.flag for reference in references if reference.flag is not None]
        if not flags:
            return "no reference it rests on says yes or no"
        return None if all(flag == statement.flag for flag in flags) else "a reference says the opposite"
    if statement.term is not None:
        terms = [reference.term for reference in references if reference.term is not None]
        return terms_disagree(statement.term, terms) if terms else "no reference it rests on gives a term"
    return None


def compatible(statement: Statement, reference: ReferenceValue) -> bool:
    """Whether a reference that a statement does not rest on can stand beside it unsaid: the two must meet."""
    if statement.span is not None and reference.span is not None:
        if not units.same_dimension(statement.span.unit, reference.span.unit):
            return False
        own = interval(statement.span, statement.span.unit).slack(ROUNDING)
        return own.meets(interval(reference.span, statement.span.unit))
    if statement.time is not None and reference.time is not None:
        own_days, other = year_interval(statement.time), year_interval(reference.time)
        return own_days is None or other is None or own_days.meets(other)
    if statement.flag is not None and reference.flag is not None:
        return statement.flag == reference.flag
    if statement.term is not None and reference.term is not None:
        return terms_disagree(statement.term, [reference.term]) is None or (
            terms_disagree(reference.term, [statement.term]) is None
        )
    return False
