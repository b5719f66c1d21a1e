"""The days of a winter store in; a drawing of them and their heat, and the same as bars of plain text, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from handouts.charts.svg import BLUE, DARK, GRID, INK, TINT, Canvas, Chart, Label, Run, number, paper_width
from handouts.charts.words import mark_run
from handouts.model.document import Claim
from handouts.model.library import Library
from handouts.model.times import MONTHS
from handouts.shelf.log import LogDay
from handouts.shelf.page import temperature
from handouts.shelf.store import HEAT_DAY, StoreCheck, Winter, day_heat
from handouts.shelf.words import ShelfWords

WIDTH_MM, HEIGHT_MM = 172.0, 92.0
_LEAST_WIDTH = 380.0
_GUTTER, _TOP, _FOOT = 36.0, 16.0, 14.0
_MARGIN, _LINE = 122.0, 11.0  # points beside the drawing for the names of levels, and from line to line
_STEPS_F, _STEPS_C = (10.0, 20.0, 40.0), (9.0, 18.0, 36.0)  # lines every so many °F: whole tens of °F, fives of °C
BAR = 30  # signs in a bar of text


@dataclass(frozen=True)
class Week:
    """A week of the log: its first day, lowest and highest °F, its heat (°F degree-days) and its bar of text."""

    first: date
    low: float
    high: float
    heat: float
    bar: str


@dataclass(frozen=True)
class Month:
    """A calendar month of the log: its first day counted, lowest and highest °F, and its heat (°F degree-days)."""

    first: date
    low: float
    high: float
    heat: float


def store_chart(check: StoreCheck, words: ShelfWords, library: Library, system: str, freeze: float) -> Chart:
    """Return the drawing of the winter judged: a line a day from lowest to highest, and a row of days that add heat."""
    plot = _Plot(Canvas("store", paper_width(WIDTH_MM, 1.0, _LEAST_WIDTH)), check, words, library, system, freeze)
    plot.draw()
    return plot.canvas.finish(
        height=plot.height,
        width_mm=WIDTH_MM,
        title=words.label("plot-title"),
        alt=words.label("plot-alt"),
        caption=words.label("plot-caption"),
    )


@dataclass(frozen=True)
class _Level:
    """A line across the drawing: its temperature in °F, its dashes, and its name in lines."""

    value: float
    dash: str
    lines: Sequence[Label]


class _Plot:
    """One drawing."""

    def __init__(
        self, canvas: Canvas, check: StoreCheck, words: ShelfWords, library: Library, system: str, freeze: float
    ) -> None:
        self.canvas, self.check, self.words, self.library = canvas, check, words, library
        self.labels, self.system, self.freeze = library.all_words(), system, freeze
        winter = check.winter
        self.days = winter.days
        self.first, self.span = winter.first, max(1, (winter.last - winter.first).days + 1)
        self.height = HEIGHT_MM * 72.0 / 25.4
        self.left, self.right = _GUTTER, canvas.width - _MARGIN
        self.top, self.bottom = _TOP, self.height - _FOOT
        points = [one.point for one in check.relatives]
        low, high = winter.coldest.low, max(winter.warmest.high, check.base.base)
        # the relatives' points are drawn only where the cold comes near them
        self.cold = low <= max(points) + 15.0
        self.low = min(low, freeze, *(points if self.cold else ())) - 4.0
        self.high = high + 6.0

    def x(self, day: date) -> float:
        return self.left + ((day - self.first).days + 0.5) / self.span * (self.right - self.left)

    def y(self, value: float) -> float:
        return self.bottom - (value - self.low) / (self.high - self.low) * (self.bottom - self.top)

    def draw(self) -> None:
        """Draw scale, levels, days and the row of heat."""
        self._scale()
        self._days()
        self._levels()
        self._heat()

    def _scale(self) -> None:
        canvas = self.canvas
        canvas.open("scale")
        for start, end in _months(self.first, self.first + timedelta(days=self.span - 1)):
            left, right = self.x(start) - 0.5, self.x(end) + 0.5
            canvas.line([(left, self.top), (left, self.bottom)], stroke=GRID, weight=0.5)
            if right - left > 24.0:
                name = MONTHS[start.month - 1][:3]
                canvas.text((left + right) / 2.0, 10.0, name, anchor="middle", bold=True, fill=BLUE)
        steps, zero = (_STEPS_F, 0.0) if self.system == "us" else (_STEPS_C, 32.0)
        step = next((one for one in steps if (self.high - self.low) / one <= 7), steps[-1])
        at = zero + step * round((self.low - zero) / step)
        while at <= self.high:
            if at >= self.low:
                y = self.y(at)
                canvas.line([(self.left, y), (self.right, y)], stroke=GRID, weight=0.5)
                shown = temperature(at, self.system)
                canvas.text(self.left - 4.0, y + 3.2, [Run(shown, const="list")], anchor="end", fill=DARK)
            at += step
        canvas.close()

    def _days(self) -> None:
        canvas = self.canvas
        canvas.open("days")
        width = max(0.6, min(3.0, (self.right - self.left) / self.span * 0.62))
        data = "".join(
            f"M{number(self.x(day.day))} {number(self.y(day.low))}V{number(self.y(day.high) - 0.4)}"
            for day in self.days
        )
        canvas.path(data, stroke=DARK, weight=width)
        canvas.close()

    def _levels(self) -> None:
        """The freezing point, the base for heat and the relatives' points, each named beside the drawing."""
        check, words = self.check, self.words
        found = [
            self._level(check.base.base, words.label("plot-base"), check.base.base_fact, check.base.species, "5 3"),
            self._level(self.freeze, words.label("plot-freezing"), "last-freeze.freeze", None, ""),
        ]
        if self.cold:
            label = words.label("plot-cold")
            found += [self._level(one.point, label, one.fact, one.species, "1 3") for one in check.relatives]
        self.canvas.open("levels")
        for level in found:
            y = self.y(level.value)
            self.canvas.line([(self.left, y), (self.right, y)], stroke=BLUE, weight=1.1, dash=level.dash)
        self._names(sorted(found, key=lambda level: -level.value))
        self.canvas.close()

    def _level(self, value: float, label: str, fact: str, species: str | None, dash: str) -> _Level:
        proxy = self.library.subject(species).names.common if species else None
        shown = temperature(value, self.system)
        claim = Claim(
            f"{fact}|store", shown, round(value, 1), "[degF]", "derived", parents=(fact,), proxy=proxy, label=label
        )
        lines: list[Label] = [label, [Run(shown, claim), *mark_run(self.labels, (claim.basis,))]]
        if proxy:
            lines.insert(1, proxy)
        return _Level(value, dash, lines)

    def _names(self, levels: Sequence[_Level]) -> None:
        """Write the levels' names in the right margin, from the top down and never over one another."""
        lowest = self.bottom
        places: list[float] = []
        for level in reversed(levels):
            tall = len(level.lines) * _LINE
            top = min(self.y(level.value) - tall / 2.0, lowest - tall)
            places.insert(0, top)
            lowest = top - 3.0
        for level, top in zip(levels, places, strict=True):
            middle = top + len(level.lines) * _LINE / 2.0
            self.canvas.line([(self.right, self.y(level.value)), (self.right + 5.0, middle)], stroke=BLUE, weight=0.6)
            for at, line in enumerate(level.lines):
                self.canvas.text(self.right + 8.0, top + _LINE * (at + 0.75), line)

    def _heat(self) -> None:
        """A row of blocks under the days that add heat."""
        canvas = self.canvas
        canvas.open("heat")
        width = max(1.0, (self.right - self.left) / self.span)
        canvas.rect(self.left, self.bottom + 3.0, self.right - self.left, 6.0, fill=TINT)
        for day in self.days:
            if day_heat(day, self.check.base.base) >= HEAT_DAY:
                canvas.rect(self.x(day.day) - width / 2.0, self.bottom + 3.0, width, 6.0, fill=INK)
        canvas.close()


def _months(first: date, last: date) -> list[tuple[date, date]]:
    """The parts of months from `first` to `last`."""
    found = []
    start = first
    while start <= last:
        after = date(start.year + start.month // 12, start.month % 12 + 1, 1)
        found.append((start, min(last, after - timedelta(days=1))))
        start = after
    return found


def months_of(winter: Winter, base: float) -> list[Month]:
    """Return the months of a winter in order; `base` in °F."""
    found: dict[tuple[int, int], list[LogDay]] = {}
    for day in winter.days:
        found.setdefault((day.day.year, day.day.month), []).append(day)
    return [
        Month(
            days[0].day,
            min(day.low for day in days),
            max(day.high for day in days),
            sum(day_heat(day, base) for day in days),
        )
        for days in found.values()
    ]


def weeks_of(winter: Winter, base: float, freeze: float) -> list[Week]:
    """Return the weeks of a winter with a bar of text each, all on one scale."""
    groups: dict[date, list[LogDay]] = {}
    for day in winter.days:
        groups.setdefault(winter.first + timedelta(weeks=(day.day - winter.first).days // 7), []).append(day)
    low = min(min(day.low for day in winter.days), freeze) - 1.0
    high = max(max(day.high for day in winter.days), base) + 1.0
    return [
        Week(
            first,
            min(day.low for day in days),
            max(day.high for day in days),
            sum(day_heat(day, base) for day in days),
            _bar(days, low, high, base, freeze),
        )
        for first, days in groups.items()
    ]


def _bar(days: Sequence[LogDay], low: float, high: float, base: float, freeze: float) -> str:
    """A bar from the week's lowest to its highest on a line that shows the freezing point (I) and the base (H)."""

    def at(value: float) -> int:
        return min(BAR - 1, max(0, int((value - low) / (high - low) * BAR)))

    signs = ["."] * BAR
    for place in range(at(min(day.low for day in days)), at(max(day.high for day in days)) + 1):
        signs[place] = "="
    signs[at(freeze)] = "I"
    signs[at(base)] = "H"
    return "".join(signs)
