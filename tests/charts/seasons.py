"""Invented seasons for the chart tests: a few numbers in, windows with dates like those of a real place out."""

from __future__ import annotations

from datetime import date, timedelta

from handouts.model.season import Season, Window

YEAR = 2027
Frosts = dict[str, tuple[date, date, date]]
UNKNOWN = (
    "flight-1", "eggs-1", "caterpillars-1", "chrysalides-1", "diapause-turn", "overwinter-from", "to-cold-by",
    "to-warmth", "spring-opening", "stop-waiting", "hosts-ready", "last-release",
)  # fmt: skip


def window(name: str, low: date | None, high: date | None, basis: str = "derived", proxy: str | None = None) -> Window:
    """A window whose best day lies in the middle."""
    middle = low + (high - low) / 2 if low and high else None
    inputs = ("spicebush-swallowtail.larva", "a-source#key") if low else ()
    return Window(name, f"label of {name}", low, middle, high, basis if low else "not-known", proxy, inputs, "")


def frosts(last: date, first: date, spread: int = 15) -> Frosts:
    """Both freezes, ten to ninety percent `spread` days to either side, the rarer chance first."""
    days = timedelta(days=spread)
    return {"last": (last + days, last, last - days), "first": (first - days, first, first + days)}


def season(last: date, first: date, generations: int = 2, turn: date | None = None, year: int = YEAR) -> Season:
    """A season that hangs on its freezes: flights from the last freeze on, the turn in late summer."""
    days = timedelta
    made: list[Window] = []
    span = max(20, ((first - last).days - 20) // generations)
    for count in range(1, generations + 1):
        start = last + days(days=(count - 1) * span - 10)
        end = start + days(days=span // 2 + 15)
        region = "Wisconsin" if count % 2 else "region 7 north"
        made.append(window(f"flight-{count}", start, end, "common-practice", region))
        made.append(window(f"eggs-{count}", start, end + days(days=9), proxy=region))
        made.append(window(f"caterpillars-{count}", start + days(days=4), end + days(days=39), proxy=region))
        made.append(window(f"chrysalides-{count}", start + days(days=14), end + days(days=57), proxy=region))
    turn = turn or last + (first - last) * 0.55
    donor = "spicebush swallowtail"
    made += [
        window("diapause-turn", turn - days(days=20), turn + days(days=20), "proxy", donor),
        window("overwinter-from", turn - days(days=12), turn + days(days=36), proxy=donor),
        window("to-cold-by", first + days(days=7), first + days(days=35)),
        window("to-warmth", last, last + days(days=21)),
        window("spring-opening", last - days(days=15), last + days(days=20), proxy="Wisconsin"),
        window("stop-waiting", last + days(days=46), last + days(days=90), proxy=donor),
        window("hosts-ready", last - days(days=15), last + days(days=2), proxy="Wisconsin"),
        window("last-release", first - days(days=39), first - days(days=14)),
    ]
    return Season("black-swallowtail", "a garden", year, tuple(made))


def bare(note: str = "needs a latitude", year: int = YEAR, absent: bool = False) -> Season:
    """A season of which nothing has dates, or (`absent`) never will for this species."""
    empty = tuple(Window(name, name, None, None, None, "not-known", None, (), note, absent) for name in UNKNOWN)
    return Season("black-swallowtail", "a garden", year, empty)
