"""Freeze dates of three chances come in; two curves go out: in how many years a freeze still comes, or has come."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta

from handouts.charts import letters
from handouts.charts.axis import FrostBasis, Frosts, basis_of
from handouts.charts.strip_frost import freeze_claim
from handouts.charts.svg import (
    BLUE,
    DARK,
    GRID,
    INK,
    SIZE,
    TINT,
    Canvas,
    Chart,
    Run,
    label_width,
    number,
    paper_width,
    polyline,
)
from handouts.charts.words import mark_run, say
from handouts.model.document import Claim
from handouts.model.records import Words
from handouts.model.times import MONTHS

LEAST_WIDTH = 400.0
_GAP = 20.0
_GUTTER = 62.0
_PLOT = 84.0
_Z90 = 1.2816  # standard deviations from the median to a chance of one in ten, normal distribution
_SIDES = (("last", "spring"), ("first", "fall"))


def frost_chance(
    frosts: Frosts,
    words: Words,
    *,
    width_mm: float = 172,
    scale: float = 1.0,
    frost_basis: FrostBasis = "derived",
    chart_id: str = "frost-chance",
) -> Chart:
    """Return the chart of freeze chances, one panel for each side that `frosts` knows.

    `frosts` holds under "last" and "first" the dates of one, five and nine years in ten, in any order; between them
    half a normal distribution runs on each side of the median. Raises ValueError when no side is known, when two
    dates of a side fall together, or for a paper too narrow.
    """
    sides = [(side, part) for side, part in _SIDES if side in frosts]
    if not sides:
        raise ValueError("a chart of freeze chances needs at least one side")
    width = paper_width(width_mm, scale, LEAST_WIDTH)
    half = (width - _GAP) / 2.0
    canvas = Canvas(chart_id, width)
    bottom = 0.0
    for at, (side, part) in enumerate(sides):
        canvas.open(part)
        panel = _Panel(canvas, words, side, frosts[side], basis_of(frost_basis, side), at * (half + _GAP), half)
        bottom = max(bottom, panel.draw())
        canvas.close()
    return canvas.finish(
        height=bottom,
        width_mm=width_mm,
        title=say(words, "chart-chance-title"),
        alt=say(words, "chart-chance-alt"),
        caption=say(words, "chart-chance-caption"),
    )


class _Panel:
    """One side's curve."""

    def __init__(
        self,
        canvas: Canvas,
        words: Words,
        side: str,
        days: tuple[date, date, date],
        basis: str,
        left: float,
        width: float,
    ) -> None:
        self.canvas, self.words, self.side, self.basis = canvas, words, side, basis
        self.early, self.median, self.late = sorted(days)
        if self.early == self.median or self.median == self.late:
            raise ValueError(f"the dates of the {side} freeze fall together: {self.early}, {self.median}, {self.late}")
        self.edge, self.left, self.right = left, left + _GUTTER, left + width - 1.0
        spare = (self.late - self.early) * 0.4
        self.start, self.end = self.early - spare, self.late + spare
        self.top = 20.0
        self.bottom = self.top + _PLOT

    def x(self, day: date) -> float:
        return self.left + (day - self.start) / (self.end - self.start) * (self.right - self.left)

    def y(self, chance: float) -> float:
        return self.bottom - chance * _PLOT

    def chance(self, days: float) -> float:
        """The chance `days` after the median: falling for the last freeze, rising for the first."""
        reach = (self.late - self.median).days if days > 0 else (self.median - self.early).days
        passed = 0.5 * (1.0 + math.erf(days / (reach / _Z90) / math.sqrt(2.0)))
        return 1.0 - passed if self.side == "last" else passed

    def draw(self) -> float:
        """Draw the panel and return where it ends."""
        canvas, words = self.canvas, self.words
        canvas.text(self.edge, 10.0, say(words, f"chart-chance-{self.side}"), bold=True, fill=BLUE)
        begin, whole = (self.start - self.median).days, (self.end - self.start).days
        marked = {float((day - self.median).days) for day in (self.early, self.median, self.late)}
        offsets = sorted({begin + whole * at / 60.0 for at in range(61)} | marked)
        points = [(self.x(self.median) + days * self._per_day, self.y(self.chance(days))) for days in offsets]
        area = polyline(points) + f"L{number(points[-1][0])} {number(self.bottom)}H{number(points[0][0])}Z"
        canvas.path(area, fill=TINT)
        for first, name in self._months():
            x = self.x(first)
            if self.left < x < self.right:
                canvas.line([(x, self.top), (x, self.bottom + 3.0)], stroke=GRID, weight=0.5)
            middle = (max(x, self.left) + min(self.x(_next_month(first)), self.right)) / 2.0
            if min(self.x(_next_month(first)), self.right) - max(x, self.left) > label_width(name) + 6.0:
                canvas.text(middle, self.bottom + 24.5, name, anchor="middle", fill=BLUE, bold=True)
        canvas.line(points, weight=1.2)
        canvas.line([(self.left, self.bottom), (self.right, self.bottom)], stroke=DARK, weight=0.6)
        self._words()
        self._readings()
        return self.bottom + 29.0

    @property
    def _per_day(self) -> float:
        return (self.right - self.left) / (self.end - self.start).days

    def _months(self) -> Iterator[tuple[date, str]]:
        first = self.start.replace(day=1)
        while first <= self.end:
            yield first, MONTHS[first.month - 1][:3]
            first = _next_month(first)

    def _words(self) -> None:
        """Name the two areas on the sides where there is room."""
        likely = letters.wrap(say(self.words, "chart-frost-likely"), SIZE, self.x(self.early) - self.left - 6.0)
        unlikely = say(self.words, "chart-frost-unlikely")
        last = self.side == "last"
        for at, line in enumerate(likely):
            x = self.left + 4.0 if last else self.right - 4.0
            self.canvas.text(x, self.y(0.36) + at * 10.5, line, anchor="start" if last else "end")
        # Between the readings of nine and of five years in ten nothing else stands on the empty side.
        x = self.right if last else self.left + 4.0
        self.canvas.text(x, self.y(0.66), unlikely, anchor="end" if last else "start", plate=True)

    def _readings(self) -> None:
        """Draw the three readings: years in ten at the left, the date below, joined over the curve."""
        canvas, words = self.canvas, self.words
        order = (90, 50, 10) if self.side == "last" else (10, 50, 90)
        taken = self.left - 100.0
        for percent, day in zip(order, (self.early, self.median, self.late), strict=True):
            x, y = self.x(day), self.y(percent / 100.0)
            canvas.line([(self.left, y), (x, y), (x, self.bottom)], stroke=INK, weight=0.6, dash="1.5 2")
            canvas.path(f"M{number(x - 2)} {number(y)}a2 2 0 1 0 4 0a2 2 0 1 0 -4 0Z", fill=INK)
            years = percent // 10
            unit = say(words, "chart-year-in" if years == 1 else "chart-years-in")
            label = [Run(f"{years} {unit} 10", const="note")]
            canvas.text(self.left - 4.0, y + 3.2, label, anchor="end")
            claim: Claim = freeze_claim(
                self.side, percent, day, self.basis if percent == 50 else "derived", "chance", True
            )
            runs = [Run(claim.shown, claim), *(mark_run(words, (claim.basis,)) if percent == 50 else ())]
            wide = label_width(runs)
            start = max(x - wide / 2.0, taken + 5.0)
            canvas.text(start, self.bottom + 12.0, runs)
            taken = start + wide


def _next_month(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1)
