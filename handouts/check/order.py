"""Rules about order in the year: flights follow each other in their season, seedlings are sown before they move."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from handouts.check.agreement import Interval, year_interval
from handouts.check.context import Context
from handouts.model.facts import Fact
from handouts.model.finding import Finding
from handouts.model.times import Offset

_FLIGHTS = tuple(f"flight-{number}" for number in range(1, 7))


def _days(fact: Fact | None) -> Interval | None:
    if fact is None or fact.preferred.time is None:
        return None
    return year_interval(fact.preferred.time)


def season_order(context: Context) -> Iterator[Finding]:
    """In a region, each flight starts after the one before, meets the flight season, and is one of the broods."""
    facts = context.library.facts
    regions: dict[tuple[str, str], dict[int, Fact]] = defaultdict(dict)
    for fact in facts.values():
        owner, quantity, *where = fact.id.split(".")
        if quantity in _FLIGHTS and where:
            regions[owner, where[0]][int(quantity[-1])] = fact
    for (owner, region), flights in regions.items():
        season = _days(facts.get(f"{owner}.flight.{region}"))
        broods = facts.get(f"{owner}.broods.{region}")
        most = broods.preferred.span.ends[1] if broods is not None and broods.preferred.span is not None else None
        before: Interval | None = None
        for number, fact in sorted(flights.items()):
            days = _days(fact)
            if days is None:
                continue
            if before is not None and days.low <= before.low:
                yield context.of_fact(
                    "season-order", fact, found="it starts before the flight ahead of it", expected="a later start"
                )
            if season is not None and not season.meets(days):
                yield context.of_fact(
                    "season-order", fact, found="it lies outside the flight season", expected=f"{owner}.flight.{region}"
                )
            if most is not None and number > most:
                yield context.of_fact(
                    "season-order",
                    fact,
                    found=f"flight {number} of {most:g} generations",
                    expected=f"{owner}.broods.{region}",
                )
            before = days


def sowing_order(context: Context) -> Iterator[Finding]:
    """A plant is sown indoors before it is planted out."""
    facts = context.library.facts
    for fact in facts.values():
        owner, quantity, *_ = fact.id.split(".")
        later = facts.get(f"{owner}.plant-out")
        if quantity != "sow-indoors" or later is None:
            continue
        first, last = fact.preferred.time, later.preferred.time
        if first is None or last is None:
            continue
        ends = (*first.ends, *last.ends)
        if not all(isinstance(point, Offset) and point.of == "last freeze" for point in ends):
            continue
        sown, moved = (point.days for point in (ends[1], ends[3]) if isinstance(point, Offset))
        if sown >= moved:
            yield context.of_fact(
                "sowing-order", fact, found="sown indoors after planting out", expected=f"before {later.id}"
            )
