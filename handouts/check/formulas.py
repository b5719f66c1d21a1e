"""A derived statement and its parents in, what the named formula makes of them out, where it is something else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from datetime import date

from handouts import units
from handouts.check.agreement import YEAR, Interval, year_interval
from handouts.check.context import Context
from handouts.model.facts import Derived, Fact, Span, Statement
from handouts.model.finding import Finding
from handouts.model.times import Offset, parse_time

Ends = tuple[float, float]
Formula = Callable[[Statement, Sequence[Fact]], str | None]
# A computed end may be rounded in print: by this share, or for months counted between days by one of them.
ROUNDED = 0.01
MONTHS_ROOM = 1.0
DAYS_A_MONTH = 30.44
THIRD = 10.0


def derived_value(context: Context) -> Iterator[Finding]:
    """A derived value is what its named formula makes of its parents; a number without such a formula is listed."""
    facts = context.library.facts
    for fact in facts.values():
        for statement in fact.says:
            basis = statement.basis
            if not isinstance(basis, Derived):
                continue
            parents = [facts[name] for name in basis.parents if name in facts]
            if len(parents) < len(basis.parents):
                continue
            formula = _formula(basis.formula)
            if formula is None:
                if statement.span is not None:
                    yield context.of_statement(
                        "unknown-formula",
                        fact,
                        statement,
                        level="warning",
                        found=basis.formula,
                        expected="a formula that can be worked out again",
                    )
                continue
            problem = formula(statement, parents)
            if problem:
                yield context.of_statement("derived-value", fact, statement, found=problem, expected=basis.formula)


def _formula(words: str) -> Formula | None:
    for pattern, formula in FORMULAS.items():
        if re.fullmatch(pattern, words):
            return formula
    return None


def _spans(parents: Sequence[Fact]) -> list[Span]:
    return [parent.preferred.span for parent in parents if parent.preferred.span is not None]


def _ends(span: Span, unit: str) -> Ends:
    low, high = span.ends
    return (
        -float("inf") if low is None else units.convert(low, span.unit, unit),
        float("inf") if high is None else units.convert(high, span.unit, unit),
    )


def _against(statement: Statement, expected: Ends, room: float | None = None) -> str | None:
    """Say how the statement's span differs from the computed ends."""
    span = statement.span
    if span is None:
        return "the statement gives no number"
    for own, due in zip(_ends(span, span.unit), expected, strict=True):
        if own != due and abs(own - due) > (abs(due) * ROUNDED if room is None else room):
            return f"{own:g} where the parents give {due:.4g} {span.unit}"
    return None


def _need(statement: Statement, parents: Sequence[Fact], dimension: str | None = None) -> str | None:
    """Say that the statement or a parent has no number, or one of another kind."""
    if statement.span is None:
        return "the statement gives no number"
    own = units.UNITS[statement.span.unit].dimension
    for parent in parents:
        span = parent.preferred.span
        if span is None:
            return f"{parent.id} gives no number"
        if dimension is None and units.UNITS[span.unit].dimension != own:
            return f"{own} from {units.UNITS[span.unit].dimension}"
    return f"{own} instead of {dimension}" if dimension not in (None, own) else None


def sum_of_parents(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """The lows added up, and the highs added up."""
    if problem := _need(statement, parents):
        return problem
    unit = statement.span.unit  # type: ignore[union-attr]
    each = [_ends(span, unit) for span in _spans(parents)]
    return _against(statement, (sum(low for low, _ in each), sum(high for _, high in each)))


def hull_of_parents(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """From the lowest end of the parents to the highest."""
    if problem := _need(statement, parents):
        return problem
    unit = statement.span.unit  # type: ignore[union-attr]
    each = [_ends(span, unit) for span in _spans(parents)]
    return _against(statement, (min(low for low, _ in each), max(high for _, high in each)))


def same_as_parent(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """The only parent's own value."""
    if len(parents) != 1:
        return f"{len(parents)} parents instead of one"
    return _need(statement, parents) or hull_of_parents(statement, parents)


def twice_the_parent(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """The only parent's value, two times."""
    if len(parents) != 1:
        return f"{len(parents)} parents instead of one"
    return sum_of_parents(statement, [*parents, *parents])


def line_through(points: Sequence[tuple[float, float]]) -> Ends:
    """Return slope and zero of the least-squares line through (temperature, rate) points."""
    n = len(points)
    mean_x, mean_y = sum(x for x, _ in points) / n, sum(y for _, y in points) / n
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)
    return slope, mean_x - mean_y / slope


def _rate_lines(parents: Sequence[Fact]) -> tuple[Ends, Ends, Ends] | str:
    """Return (slope in 1/d/°C, base in °C) for the shortest, the longest and the middle times of the tests."""
    warmth, times = {}, {}
    for parent in parents:
        span = parent.preferred.span
        if span is None:
            return f"{parent.id} gives no number"
        dimension = units.UNITS[span.unit].dimension
        test = parent.id.rpartition(".")[2]
        if dimension == "temperature":
            warmth[test] = _ends(span, "Cel")[0]
        elif dimension == "time":
            times[test] = _ends(span, "d")
        else:
            return f"{parent.id} gives a {dimension}"
    if set(warmth) != set(times) or len(times) < 2:
        return "the tests lack a temperature or a time"
    return (
        line_through([(warmth[test], 1 / low) for test, (low, _) in times.items()]),
        line_through([(warmth[test], 1 / high) for test, (_, high) in times.items()]),
        line_through([(warmth[test], 2 / (low + high)) for test, (low, high) in times.items()]),
    )


def base_of_line(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """Where the line of opening rate meets zero: of the middle times, or from that of the shortest to the longest."""
    lines = _rate_lines(parents)
    if isinstance(lines, str):
        return lines
    return _of_lines(statement, [base for _, base in lines], "temperature", "Cel", 0.06)


def heat_of_line(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """One over the slope of the line of opening rate."""
    lines = _rate_lines(parents)
    if isinstance(lines, str):
        return lines
    return _of_lines(statement, [1 / slope for slope, _ in lines], "degree-days", "Cel.d", None)


def _of_lines(statement: Statement, found: list[float], dimension: str, unit: str, room: float | None) -> str | None:
    if statement.span is None:
        return "the statement gives no number"
    own = units.UNITS[statement.span.unit]
    if own.dimension != dimension:
        return f"{own.dimension} instead of {dimension}"
    shortest, longest, middle = (units.convert(value, unit, own.code) for value in found)
    if statement.span.bound in ("about", "exactly"):
        return _against(statement, (middle, middle), room)
    return _against(statement, (min(shortest, longest), max(shortest, longest)), room)


def pupation_to_opening(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """Months from the latest pupation to the earliest opening, and from the earliest to the latest."""
    if statement.span is None or units.UNITS[statement.span.unit].dimension != "time":
        return "the statement gives no time"
    begun: list[Interval] = []
    opened: list[Interval] = []
    for parent in parents:
        days = year_interval(parent.preferred.time) if parent.preferred.time is not None else None
        if days is None:
            return f"{parent.id} gives no time of the year"
        (opened if ".flight" in parent.id else begun).append(days)
    if not begun or not opened:
        return "a pupation and an opening are needed"
    year = (date(YEAR + 1, 1, 1) - date(YEAR, 1, 1)).days
    shortest = year + min(item.low for item in opened) - max(item.high for item in begun)
    longest = year + max(item.high for item in opened) - min(item.low for item in begun)
    due = tuple(units.convert(days, "d", statement.span.unit) for days in (shortest, longest))
    return _against(statement, (due[0], due[1]), units.convert(MONTHS_ROOM * DAYS_A_MONTH, "d", statement.span.unit))


def counted_from_freeze(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """A calendar time of a parent turned into weeks from the first freeze that the formula names."""
    assert isinstance(statement.basis, Derived)
    freeze = re.search(r"first freeze in ((?:early |mid |late )?[A-Z]\w+)$", statement.basis.formula)
    time = next((parent.preferred.time for parent in parents if parent.preferred.time is not None), None)
    days = year_interval(time) if time is not None else None
    if statement.time is None or freeze is None or days is None:
        return "a time, a parent with a time of the year and a freeze are needed"
    first = parse_time(freeze[1])
    if isinstance(first, Offset):
        return "the freeze must be a time of the year"
    middle = sum(day.timetuple().tm_yday for day in (first.first(YEAR), first.last(YEAR))) / 2
    # The parent's times are thirds of months: its first day and the first day of its last third are meant.
    due = (days.low - middle, max(days.low, days.high - THIRD) - middle)
    for point, day in zip(statement.time.ends, due, strict=True):
        if not isinstance(point, Offset) or point.of != "first freeze":
            return f"{point} is not counted from the first freeze"
        if abs(point.days.days - day) > THIRD / 2:
            return f"{point} where the parents give {day / 7:.1f} wk after first freeze"
    return None


RISKS = ("low", "moderate", "high")


def risk_class(statement: Statement, parents: Sequence[Fact]) -> str | None:
    """One of the three classes; which one follows from reading the parents, which no formula can do."""
    if statement.term in RISKS:
        return None
    return f"{statement.term!r} is not one of {', '.join(RISKS)}"


# The words of a formula (a pattern) and the function that works it out again.
FORMULAS: dict[str, Formula] = {
    "sum of the (stage|instar) times": sum_of_parents,
    "lowest to highest of the parents": hull_of_parents,
    "as its class": same_as_parent,
    "as long as residue was found in one study": same_as_parent,
    "both halves of a zone": twice_the_parent,
    "straight line through opening rate at three temperatures": base_of_line,
    "one over the slope of the straight line through opening rate at three temperatures": heat_of_line,
    "latest pupation to earliest opening, and earliest pupation to latest opening": pupation_to_opening,
    ".*, counted from a first freeze in .*": counted_from_freeze,
    "risk class read from the facts named": risk_class,
    "risk class of its sister compound .*": risk_class,
}
