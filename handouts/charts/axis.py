"""Dates in, places along a year of paper out: January to December, in the south July to June."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from handouts.charts.bands import Stretch
from handouts.charts.svg import BLUE, GRID, Canvas
from handouts.model.times import MONTHS
from handouts.season import yearday

NBSP = "\u00a0"
DAYS = 365
DayLength = Callable[[date], float]
Frosts = Mapping[str, tuple[date, date, date]]
"""The freeze dates of a side, "last" or "first": of one, five and nine years in ten."""


FrostBasis = str | Mapping[str, str]
"""How the median freezes are known: one basis, or one a side."""


@dataclass(frozen=True)
class Year:
    """A season year laid from `left` to `right` (points)."""

    year: int
    south: bool
    left: float
    right: float

    @property
    def start(self) -> date:
        """The first day of the season year."""
        return date(self.year, 7 if self.south else 1, 1)

    @property
    def per_day(self) -> float:
        """Points a day."""
        return (self.right - self.left) / DAYS

    def at(self, day: date) -> int:
        """The place of a day in the season year, from 0; its calendar year does not matter."""
        return yearday.number(day, self.south) - 1

    def x(self, place: float) -> float:
        """Points along the axis; `place` may lie outside the year."""
        return self.left + place * self.per_day

    def stretches(self, low: date, high: date, fade_in: float = 0.0, fade_out: float = 0.0) -> list[Stretch]:
        """The one or two stretches that the days `low` to `high` cover; the fades are in days."""
        first = self.at(low)
        return self.places(first, first + (high - low).days + 1, fade_in, fade_out)

    def places(self, first: float, last: float, fade_in: float = 0.0, fade_out: float = 0.0) -> list[Stretch]:
        """The stretches from one place to another; what runs over an end of the year comes in again at the other."""
        made = []
        for turn in (0, DAYS, -DAYS):
            start, end = first + turn, last + turn
            if start < DAYS and end > 0:
                step = self.per_day
                made.append(Stretch(self.x(start), self.x(end), fade_in * step, fade_out * step, self.left, self.right))
        return made

    def months(self) -> Iterator[tuple[str, float, float]]:
        """The twelve months' names with their ends in points."""
        at = 0
        for step in range(12):
            month = (step + (6 if self.south else 0)) % 12
            length = yearday.MONTH_DAYS[month]
            yield MONTHS[month], self.x(at), self.x(at + length)
            at += length

    def day(self, place: int) -> date:
        """The date at a place of the year, 0 to 364."""
        day = yearday.on(place + 1, self.year, self.south)
        assert day is not None
        return day


def draw_months(canvas: Canvas, year: Year, y: float, top: float, bottom: float, gaps: bool = True) -> None:
    """Write the months' names with the baseline at `y` and draw the light grid at their starts."""
    canvas.open("months")
    for at, (name, left, right) in enumerate(year.months()):
        canvas.text((left + right) / 2.0, y, name[:3], anchor="middle", fill=BLUE, bold=True)
        if at or not gaps:
            canvas.line([(left, top), (left, bottom)], stroke=GRID, weight=0.5)
    canvas.close()


def basis_of(basis: FrostBasis, side: str) -> str:
    """Return how the median freeze of a side is known."""
    return basis if isinstance(basis, str) else basis.get(side, "derived")


def is_south(year: int, day_length: DayLength | None, frosts: Frosts | None) -> bool:
    """Whether the place lies in the south, by its longest day or the order of its freezes; unknown counts as north."""
    if day_length is not None:
        return day_length(date(year, 12, 21)) > day_length(date(year, 6, 21)) + 1.0  # on the equator neither is longer
    if frosts and "last" in frosts and "first" in frosts:
        last, first = frosts["last"][1], frosts["first"][1]
        return (last.month, last.day) > (first.month, first.day)
    return False


def day_words(day: date, short: bool = False) -> str:
    """Write "August 26", or "Aug 26" for narrow places."""
    name = MONTHS[day.month - 1]
    return f"{name[:3] if short else name}{NBSP}{day.day}"


def part_words(day: date) -> str:
    """Write a day as a third of its month: "mid August"."""
    part = "early" if day.day <= 10 else "mid" if day.day <= 20 else "late"
    return f"{part}{NBSP}{MONTHS[day.month - 1]}"


def duration_words(minutes: float, step: int = 1) -> str:
    """Write minutes as "15 h 6 min", rounded to `step` minutes."""
    whole = round(minutes / step) * step
    hours, rest = divmod(whole, 60)
    return f"{hours}{NBSP}h{NBSP}{rest}{NBSP}min" if rest else f"{hours}{NBSP}h"
