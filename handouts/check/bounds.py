"""Rules about sanity: values within the widest bounds, terms from their list, bases that can carry a quantity."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

from handouts import units
from handouts.check.agreement import Interval, plain_interval, span_of, year_interval
from handouts.check.context import Context
from handouts.check.guards import guards
from handouts.model.facts import Fact, Span, Statement, Time
from handouts.model.finding import Finding
from handouts.model.times import Offset

T = TypeVar("T")
_MOST = float("inf")
# What a quantity of each dimension can be at all: unit, least, most.
_POSSIBLE = {
    "time": ("s", 0.0, _MOST),
    "length": ("m", 0.0, _MOST),
    "mass": ("kg", 0.0, _MOST),
    "volume": ("L", 0.0, _MOST),
    "mass share": ("ng/g", 0.0, _MOST),
    "mass concentration": ("mg/L", 0.0, _MOST),
    "share": ("%", 0.0, 100.0),
    "count": ("1", 0.0, _MOST),
    "degree-days": ("Cel.d", 0.0, _MOST),
    "temperature": ("Cel", -100.0, 100.0),
}


def nearest(table: dict[str, T], fact: str) -> T | None:
    """Return the entry for a fact: by its whole id, by subject and quantity, by quantity and condition, by quantity."""
    owner, _, quantity = fact.partition(".")
    alone = quantity.partition(".")[0]
    for name in (fact, f"{owner}.{alone}", quantity, alone):
        if name in table:
            return table[name]
    return None


def out_of_bounds(context: Context) -> Iterator[Finding]:
    """No value, of a fact or of a reference, lies outside the widest bounds that can be defended for its quantity."""
    bounds = guards(context.library)
    for fact in context.library.facts.values():
        for statement in fact.says:
            problem = _outside(fact.id, statement.span, statement.time, bounds.spans, bounds.times)
            problem = problem or (broken_count(statement.span) if fact.noun and statement.span else None)
            if problem:
                yield context.of_statement(
                    "out-of-bounds",
                    fact,
                    statement,
                    found=problem,
                    remedy="Correct the value or its unit; the bounds stand in words/bounds.yml.",
                )
    for value in context.library.references.values():
        problem = _outside(value.of, span_of(value), value.time, bounds.spans, bounds.times)
        if problem:
            yield context.finding(
                "out-of-bounds",
                file=value.origin,
                line=value.line,
                key=value.id,
                found=problem,
                remedy="Look the source up again; the bounds stand in words/bounds.yml.",
            )


def _outside(
    fact: str, span: Span | None, time: Time | None, spans: dict[str, Span], times: dict[str, Time]
) -> str | None:
    if span is not None:
        bound = nearest(spans, fact)
        return impossible(span) or (span_outside(span, bound) if bound is not None else None)
    if time is not None:
        limit = nearest(times, fact)
        return backward(time) or (time_outside(time, limit) if limit is not None else None)
    return None


def impossible(span: Span) -> str | None:
    """Say that a value cannot be: a length below nothing, a share above the whole, a cold that no garden knows."""
    dimension = units.UNITS[span.unit].dimension
    if dimension not in _POSSIBLE:
        return None
    unit, least, most = _POSSIBLE[dimension]
    for end in span.ends:
        if end is not None and not least <= units.convert(end, span.unit, unit) <= most:
            return f"{end:g} {span.unit} cannot be a {dimension}"
    return None


def broken_count(span: Span) -> str | None:
    """Say that a count of things is no whole number; a middle of many ("about") may be broken."""
    for end in span.ends:
        if span.unit == "1" and span.bound != "about" and end is not None and end != int(end):
            return f"{end:g} is no count"
    return None


def span_outside(span: Span, bound: Span) -> str | None:
    """Say that a span leaves its sanity bound, or that its open side starts at the bound's far end."""
    if not units.same_dimension(span.unit, bound.unit):
        return f"{units.UNITS[span.unit].dimension} instead of {units.UNITS[bound.unit].dimension}"
    limit = plain_interval(bound, span.unit)
    room = max(abs(limit.low), abs(limit.high)) * 1e-6
    for end in span.ends:
        if end is not None and not limit.low - room <= end <= limit.high + room:
            return f"{end:g} {span.unit} lies outside {limit.low:g} to {limit.high:g}"
    low, high = span.ends
    if limit.low < limit.high:
        if high is None and low is not None and low >= limit.high - room:
            return f"at least {low:g} {span.unit}, where {limit.high:g} is the most"
        if low is None and high is not None and high <= limit.low + room:
            return f"at most {high:g} {span.unit}, where {limit.low:g} is the least"
    return None


def backward(time: Time) -> str | None:
    """Say that a time counted from one freeze ends before it starts, or that a stretch is one point."""
    start, end = time.ends
    if time.at is None and start == end:
        return f"from {start} to {end} is one point"
    if isinstance(start, Offset) and isinstance(end, Offset) and start.of == end.of and start.days > end.days:
        return f"from {start} to {end} runs backward"
    return None


def time_outside(time: Time, bound: Time) -> str | None:
    """Say that a time leaves its sanity bound; times of the year and times counted from a freeze do not compare."""
    own, limit = year_interval(time), year_interval(bound)
    if own is not None and limit is not None:
        shifted = Interval(own.low + 365, own.high + 365)
        return None if limit.holds(own) or limit.holds(shifted) else f"{_said(time)} lies outside {_said(bound)}"
    points = [point for point in (*time.ends, *bound.ends) if isinstance(point, Offset)]
    if len(points) == 4:
        start, end, first, last = points
        inside = start.of == end.of == first.of and first.days <= start.days and end.days <= last.days
        return None if inside else f"{_said(time)} lies outside {_said(bound)}"
    return f"{_said(time)} is another kind of time than {_said(bound)}"


def _said(time: Time) -> str:
    start, end = time.ends
    return str(start) if start == end else f"{start} to {end}"


def unknown_term(context: Context) -> Iterator[Finding]:
    """Classes such as good, fair, poor and avoid are taken from their list."""
    known = guards(context.library).terms
    for fact, statement in _statements(context):
        terms = nearest(known, fact.id)
        if terms is not None and statement.term is not None and statement.term not in terms:
            yield context.of_statement(
                "unknown-term", fact, statement, found=statement.term, expected=f"one of {', '.join(terms)}"
            )


def weak_basis(context: Context) -> Iterator[Finding]:
    """Law, telephone numbers and what only a laboratory can measure are never common practice."""
    needed = guards(context.library).bases
    for fact, statement in _statements(context):
        bases = nearest(needed, fact.id)
        if bases is not None and statement.basis.kind not in bases.kinds:
            yield context.of_statement(
                "weak-basis",
                fact,
                statement,
                level=bases.level,
                found=statement.basis.kind,
                expected=" or ".join(bases.kinds),
                remedy=bases.reason,
            )


def own_records(context: Context) -> Iterator[Finding]:
    """Own observations belong to a club; the shipped content has none."""
    for fact, statement in _statements(context):
        if statement.basis.kind == "own-observation" and not context.of_club(statement.origin):
            yield context.of_statement(
                "own-observation",
                fact,
                statement,
                found="own records in the shipped content",
                expected="a club's folder",
            )


def safety_value(context: Context) -> Iterator[Finding]:
    """Values that cautions and advice rest on stand a second time in words/bounds.yml, and both agree."""
    facts = context.library.facts
    for name, due in guards(context.library).holds.items():
        fact = facts.get(name)
        if fact is None:
            if name.partition(".")[0] in context.library.subjects:
                subject = context.library.subjects[name.partition(".")[0]]
                yield context.finding(
                    "safety-value", file=subject.origin, line=1, key=name, found="no such fact", expected=due
                )
            continue
        said = fact.preferred
        own = ("yes" if said.flag else "no") if said.flag is not None else said.term
        if said.basis.kind not in ("not-known", "memory") and own != due:
            yield context.of_statement(
                "safety-value",
                fact,
                said,
                found=str(own),
                expected=due,
                remedy="Cautions rest on it: change both places, with a source, or neither.",
            )


def _statements(context: Context) -> Iterator[tuple[Fact, Statement]]:
    for fact in context.library.facts.values():
        for statement in fact.says:
            yield fact, statement
