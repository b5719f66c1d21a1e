"""A statement and the references it rests on in, how they disagree out: ends, bounds, units, times, words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from handouts import units
from handouts.check.wording import content_words, terms_apart, terms_disagree
from handouts.model.facts import ReferenceValue, Span, Statement, Time
from handouts.model.times import Offset, TimePoint

# Two values said as "about" that rest on each other may stand this far apart.
ABOUT = 0.15
# A converted value is rounded: by half the step of its unit, or by this share.
ROUNDING = 0.02
EXACT = 1e-9
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
        """The interval widened by a share of its ends, at least by `least`."""
        room = [max(abs(end) * share, least) if math.isfinite(end) else 0.0 for end in (self.low, self.high)]
        return Interval(self.low - room[0], self.high + room[1])


def interval(span: Span, unit: str) -> Interval:
    """Return a span as an interval in `unit`; an "about" is given its room."""
    ends = plain_interval(span, unit)
    if span.bound == "about":
        # Room is a share of the amount; for a temperature, whose zero is arbitrary, a degree and a half.
        thermal = units.UNITS[unit].dimension == "temperature"
        return ends.slack(0.0, 1.5) if thermal else ends.slack(ABOUT)
    return ends


def plain_interval(span: Span, unit: str) -> Interval:
    """Return a span as an interval in `unit`, its ends as they are written."""
    low, high = span.ends
    return Interval(
        -math.inf if low is None else units.convert(low, span.unit, unit),
        math.inf if high is None else units.convert(high, span.unit, unit),
    )


def _room(statement: str, reference: str, value: float) -> float:
    """How far a value may stand from the stated one: nothing in its own unit, the rounding of a converted one else."""
    if statement == reference:
        return abs(value) * EXACT
    unit = units.UNITS[statement]
    half = unit.step / 2 + 0.1 if unit.dimension == "temperature" else 0.0
    return max(abs(value) * ROUNDING, half)


def _stated_ends(references: list[Span], unit: str, side: int) -> list[tuple[float, float]]:
    """The low (side 0) or high (side 1) ends that the references state, in `unit`, each with its room."""
    found = []
    for reference in references:
        end = reference.ends[side]
        if end is not None:
            value = units.convert(end, reference.unit, unit)
            found.append((value, _room(unit, reference.unit, value)))
    return found


def spans_disagree(statement: Span, references: list[Span]) -> str | None:
    """Say how a statement disagrees with the references it rests on, or return None.

    Its ends must lie inside what the references state together, it must meet each of them, and a bound must point
    the same way.
    """
    for reference in references:
        if not units.same_dimension(statement.unit, reference.unit):
            one, other = units.UNITS[statement.unit].dimension, units.UNITS[reference.unit].dimension
            return f"{one} stands against {other}"
    if problem := _bounds_disagree(statement, references):
        return problem
    unit = statement.unit
    lows, highs = (_stated_ends(references, unit, side) for side in (0, 1))
    low, high = statement.ends
    reach = f"{_words(plain_interval(statement, unit))} reaches beyond {_reach(lows, highs)} {unit}"
    if low is not None and low < min(value - room for value, room in lows):
        return reach
    if high is not None and high > max(value + room for value, room in highs):
        return reach
    if low is not None and highs and low > max(value + room for value, room in highs):
        return reach
    if high is not None and lows and high < min(value - room for value, room in lows):
        return reach
    own = interval(statement, unit)
    for reference in references:
        if statement.bound == reference.bound and _far(statement, reference):
            return f"{_words(own)} is far from {_words(plain_interval(reference, unit))} {unit}"
        stated = interval(reference, unit)
        if not stated.slack(0.0, _room(unit, reference.unit, max(map(abs, _finite(stated)), default=0.0))).meets(own):
            return f"{_words(own)} does not meet {_words(stated)} {unit}"
    return None


def _far(statement: Span, reference: Span) -> bool:
    """Whether two one-sided bounds of the same direction stand further apart than two middles may."""
    if statement.bound not in ("at least", "at most"):
        return False
    side = 0 if statement.bound == "at least" else 1
    own, stated = statement.ends[side], reference.ends[side]
    assert own is not None
    assert stated is not None
    value = units.convert(stated, reference.unit, statement.unit)
    return abs(own - value) > ABOUT * max(abs(own), abs(value))


def _bounds_disagree(statement: Span, references: list[Span]) -> str | None:
    """Say that a bound points another way than every reference, or that a value is firmer than what is stated."""
    given = {reference.bound for reference in references}
    if statement.bound == "at least" and not given & {"at least", "range"}:
        return "a lower bound rests on references that give none"
    if statement.bound == "at most" and not given & {"at most", "range"}:
        return "an upper bound rests on references that give none"
    if statement.bound == "exactly" and "exactly" not in given:
        return "an exact value rests on references that give none"
    low, high = statement.ends
    if low is not None and all(reference.ends[0] is None for reference in references):
        return "the references give only an upper bound"
    if high is not None and all(reference.ends[1] is None for reference in references):
        return "the references give only a lower bound"
    return None


def span_unstated(statement: Span, references: list[Span]) -> str | None:
    """Say which end of a statement lies inside what its references state and is stated by none of them."""
    unit = statement.unit
    stated = [*_stated_ends(references, unit, 0), *_stated_ends(references, unit, 1)]
    for end in statement.ends:
        if end is not None and not any(abs(end - value) <= room for value, room in stated):
            return f"{end:g} {unit}, which no reference states"
    return None


def _finite(item: Interval) -> list[float]:
    return [end for end in (item.low, item.high) if math.isfinite(end)]


def _reach(lows: list[tuple[float, float]], highs: list[tuple[float, float]]) -> str:
    low = min((value for value, _ in lows), default=-math.inf)
    high = max((value for value, _ in highs), default=math.inf)
    return _words(Interval(low, high))


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


def _time_unstated(statement: Time, references: list[Time]) -> str | None:
    given = {str(point) for reference in references for point in reference.ends}
    for point in statement.ends:
        if str(point) not in given:
            return f"{point}, which no reference states"
    return None


@lru_cache(maxsize=8192)
def _span(unit: str, ends: tuple[tuple[str, float], ...]) -> Span:
    return Span(unit=unit, **dict(ends))


def span_of(reference: ReferenceValue) -> Span | None:
    """Return the number a reference states (the record builds it anew each time it is asked)."""
    if reference.unit is None:
        return None
    forms = ("low", "high", "about", "exactly", "at_least", "at_most")
    given = ((form, getattr(reference, form)) for form in forms)
    return _span(reference.unit, tuple((form, value) for form, value in given if value is not None))


def disagreement(statement: Statement, references: list[ReferenceValue]) -> str | None:
    """Say how a statement disagrees with the references it rests on, or return None."""
    if statement.span is not None:
        spans = [span for reference in references if (span := span_of(reference)) is not None]
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


def unstated(statement: Statement, references: list[ReferenceValue]) -> str | None:
    """Say what of a statement lies inside its references, yet stands in none of them, or return None."""
    if statement.span is not None:
        return span_unstated(statement.span, [span for item in references if (span := span_of(item)) is not None])
    if statement.time is not None:
        return _time_unstated(statement.time, [item.time for item in references if item.time is not None])
    if statement.term is not None:
        words = content_words(statement.term)
        if not any(words == content_words(item.term) for item in references if item.term is not None):
            return f"{statement.term!r}, which no reference states as a whole"
    return None


def compatible(statement: Statement, reference: ReferenceValue) -> bool:
    """Whether a reference that a statement does not rest on can stand beside it unsaid: the two must meet."""
    stated = span_of(reference)
    if statement.span is not None and stated is not None:
        if not units.same_dimension(statement.span.unit, stated.unit):
            return False
        own = interval(statement.span, statement.span.unit).slack(ROUNDING)
        return own.meets(interval(stated, statement.span.unit))
    if statement.time is not None and reference.time is not None:
        own_days, other = year_interval(statement.time), year_interval(reference.time)
        return own_days is None or other is None or own_days.meets(other)
    if statement.flag is not None and reference.flag is not None:
        return statement.flag == reference.flag
    if statement.term is not None and reference.term is not None:
        return not (terms_apart(statement.term, reference.term) and terms_apart(reference.term, statement.term))
    return False


def same_value(statement: Statement, reference: ReferenceValue) -> bool:
    """Whether a reference states just what the statement says, in this unit or another."""
    stated = span_of(reference)
    one_form = (
        (statement.span is not None and stated is not None and statement.span.bound == stated.bound)
        or (statement.time is not None and reference.time is not None)
        or (statement.flag is not None and reference.flag is not None)
        or (statement.term is not None and reference.term is not None)
    )
    return one_form and disagreement(statement, [reference]) is None and unstated(statement, [reference]) is None
