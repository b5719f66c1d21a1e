"""A year of temperatures and a heat sum come in; the warmth adding up until chrysalides open goes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate

from handouts.charts.axis import Year, part_words
from handouts.charts.bands import Stretch, band
from handouts.charts.svg import (
    BLUE,
    DARK,
    GRID,
    INK,
    PT_PER_MM,
    Canvas,
    Chart,
    Run,
    declared,
    label_width,
    number,
    paper_width,
)
from handouts.charts.words import mark_run, say
from handouts.model.document import Claim
from handouts.model.records import Words
from handouts.season import yearday
from handouts.season.curve import TemperatureCurve, expected_heat, reach, usual_shift

LEAST_WIDTH = 380.0
_GUTTER = 34.0
_TOP = 15.0
_SPARE = 21  # days drawn after a cold year's opening
_STEPS = (50, 100, 200, 250, 500, 1000)


@dataclass(frozen=True)
class HeatTarget:
    """The warmth a rested chrysalis needs: degree-days (°F) from `low` to `high` above `base` (°F).

    `heat` and `floor` are the fact ids, `proxy` the relative or place they were measured on.
    """

    low: float
    high: float
    base: float
    heat: str
    floor: str
    basis: str = "derived"
    proxy: str | None = None
    references: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Sums:
    """Heat added up from the start of the season year, each day, in a usual, a warm and a cold year."""

    usual: Sequence[float]
    warm: Sequence[float]
    cold: Sequence[float]


def heat_opening(
    curve: TemperatureCurve,
    target: HeatTarget,
    words: Words,
    year: int,
    *,
    south: bool = False,
    width_mm: float = 172,
    height_mm: float = 85,
    scale: float = 1.0,
    chart_id: str = "heat-opening",
) -> Chart:
    """Return the warmth of the season year `year` adding up toward opening.

    The band runs from a warm to a cold year, eight years in ten. Raises ValueError for a target that is not above
    zero, one that a usual year never reaches, or a paper too small.
    """
    if not 0.0 < target.low <= target.high:
        raise ValueError(f"a heat sum from {target.low:g} to {target.high:g} cannot be reached")
    width = paper_width(width_mm, scale, LEAST_WIDTH)
    height = height_mm * PT_PER_MM / scale
    if height < 130.0:
        raise ValueError(f"{height_mm:g} mm is too low; expected {130.0 * scale / PT_PER_MM:.0f} mm or more")
    sums = _sums(curve, target, south)
    plot = _Plot(Canvas(chart_id, width), words, year, south, target, sums, curve, width, height)
    plot.draw()
    return plot.canvas.finish(
        height=height,
        width_mm=width_mm,
        title=say(words, "chart-heat-title"),
        alt=say(words, "chart-heat-alt"),
        caption=say(words, "chart-heat-caption"),
    )


def reached_in(curve: TemperatureCurve, target: HeatTarget, south: bool) -> bool:
    """Whether a usual year here gathers the middle of the heat sum, so that a chart can be drawn."""
    return reached(_added(curve, target, south, 0.0), (target.low + target.high) / 2.0) is not None


def _added(curve: TemperatureCurve, target: HeatTarget, south: bool, shift: float) -> list[float]:
    """Heat added up from the start of the season year; `shift` is how much warmer than usual the year is."""
    heat = expected_heat(curve, target.base, shift=shift)
    turn = yearday.index(7, 1) if south else 0
    return list(accumulate([*heat[turn:], *heat[:turn]]))


def _sums(curve: TemperatureCurve, target: HeatTarget, south: bool) -> _Sums:
    usual = _added(curve, target, south, 0.0)
    middle = (target.low + target.high) / 2.0
    day = reached(usual, middle)
    if day is None:
        raise ValueError(f"a usual year here never reaches {middle:g} degree-days")
    shift = usual_shift(middle / max(usual[day] - (usual[day - 1] if day else 0.0), 1e-6))
    return _Sums(usual, _added(curve, target, south, shift), _added(curve, target, south, -shift))


def reached(sums: Sequence[float], target: float) -> int | None:
    """The first place of the year at which a sum is reached."""
    return next((place for place, value in enumerate(sums) if value >= target), None)


class _Plot:
    """The drawing of one place."""

    def __init__(
        self,
        canvas: Canvas,
        words: Words,
        year: int,
        south: bool,
        target: HeatTarget,
        sums: _Sums,
        curve: TemperatureCurve,
        width: float,
        height: float,
    ) -> None:
        self.canvas, self.words, self.target, self.sums, self.source = canvas, words, target, sums, curve
        self.year, self.south = year, south
        found = reached(sums.warm, target.low), reached(sums.cold, target.high)
        self.first, self.last = found[0] or 0, found[1] if found[1] is not None else 364
        # The months before anything gathers are cut to one, whole months at both ends.
        started = reached(sums.warm, target.low * 0.02) or 0
        self.start, self.end = self._month(max(0, started - 5), 0), self._month(min(364, self.last + _SPARE), 1)
        left, right = _GUTTER, width - 1.0
        step = (right - left) / (self.end - self.start)
        self.axis = Year(year, south, left - self.start * step, left + (365 - self.start) * step)
        self.left, self.right = left, right
        self.top, self.bottom = _TOP, height - 30.0
        self.most = target.high * 1.45

    def _month(self, place: int, after: int) -> int:
        """The start of the month around a place, or `after` months later."""
        starts = [*(round(left) for _, left, _ in Year(self.year, self.south, 0.0, 365.0).months()), 365]
        at = max(index for index, start in enumerate(starts[:-1]) if start <= place)
        return starts[at + after]

    def y(self, heat: float) -> float:
        return self.bottom - min(heat, self.most) / self.most * (self.bottom - self.top)

    def at(self, sums: Sequence[float], place: float) -> float:
        return self.y(sums[min(364, max(0, int(place)))])

    def draw(self) -> None:
        """Draw scale, band, target and opening."""
        self._scale()
        self._target()
        self._band()
        self._opening()

    def _scale(self) -> None:
        canvas = self.canvas
        canvas.open("scale")
        for name, left, right in self.axis.months():
            if right <= self.left + 1.0 or left >= self.right - 1.0:
                continue
            canvas.text((left + right) / 2.0, 10.0, name[:3], anchor="middle", bold=True, fill=BLUE)
            canvas.line([(left, self.top), (left, self.bottom)], stroke=GRID, weight=0.5)
        step = next((step for step in _STEPS if self.most / step <= 5), 2000)
        for heat in range(step, int(self.most) + 1, step):
            y = self.y(heat)
            canvas.line([(self.left, y), (self.right, y)], stroke=GRID, weight=0.5)
            canvas.text(self.left - 4.0, y + 3.2, [Run(f"{heat:,}", const="list")], anchor="end", fill=DARK)
        canvas.line([(self.left, self.bottom), (self.right, self.bottom)], stroke=DARK, weight=0.6)
        canvas.close()

    def _target(self) -> None:
        """Draw the level of opening as a dotted band and say what it is and on whom it was measured."""
        canvas, target, words = self.canvas, self.target, self.words
        canvas.open("target")
        top, bottom = self.y(target.high), self.y(target.low)
        x, row = self.left + 2.0, 0
        data = ""
        while x < self.right:
            y = top + (2.0 if row % 2 else 4.0)
            while y < bottom - 0.5:
                data += f"M{number(x)} {number(y)}h0.01"
                y += 4.0
            x, row = x + 3.0, row + 1
        canvas.path(data, stroke=DARK, weight=1.0, cap="round")
        for y in (top, bottom):
            canvas.line([(self.left, y), (self.right, y)], weight=0.6)
        amount = Claim(
            f"{target.heat}|chart",
            f"{target.low:,.0f} to {target.high:,.0f}\u00a0{say(words, 'chart-heat-unit')}",
            {"low": target.low, "high": target.high},
            "[degF].d",
            target.basis,
            target.references,
            proxy=target.proxy,
            label=say(words, "chart-opens"),
        )
        floor = Claim(
            f"{target.floor}|chart",
            f"{target.base:.1f}".removesuffix(".0") + "\u00a0°F",
            target.base,
            "[degF]",
            target.basis,
            target.references,
            proxy=target.proxy,
            label=say(words, "chart-above"),
        )
        kinds = (target.basis, "proxy") if target.proxy and target.basis != "proxy" else (target.basis,)
        lines = [
            [Run(f"{say(words, 'chart-opens')}: "), Run(amount.shown, amount), *mark_run(words, kinds)],
            [Run(f"{say(words, 'chart-above')} "), Run(floor.shown, floor)],
        ]
        if target.proxy:
            lines[1] += [Run(" ("), *declared(target.proxy, "name"), Run(")")]
        middle = (top + bottom) / 2.0
        canvas.text(self.left + 6.0, middle - 2.0, lines[0], plate=True)
        canvas.text(self.left + 6.0, middle + 9.0, lines[1], plate=True)
        canvas.close()

    def _band(self) -> None:
        """Hatch between a warm and a cold year and draw the usual one."""
        canvas, sums = self.canvas, self.sums
        canvas.open("warmth")
        data = ""
        x = self.left + 1.0
        while x < self.right:
            place = (x - self.axis.left) / self.axis.per_day
            high, low = self.at(sums.warm, place), self.at(sums.cold, place)
            if low - high > 0.6:
                data += f"M{number(x)} {number(low)}V{number(high)}"
            x += 2.2
        canvas.path(data, stroke=INK, weight=0.45)
        points = [
            (self.axis.x(place + 0.5), self.y(sums.usual[place]))
            for place in range(self.start, self.end)
            if sums.usual[place] <= self.most
        ]
        canvas.line(points, weight=1.4)
        self._years()
        canvas.close()

    def _years(self) -> None:
        """Name the two edges above the level of opening, and the usual year from the free side below it."""
        canvas, sums = self.canvas, self.sums
        above, below = self.target.high * 1.22, self.target.low * 0.45
        warm, cold, usual = (say(self.words, f"chart-{name}-year") for name in ("warm", "cold", "usual"))
        x = self._x_at(sums.warm, above) - 6.0
        canvas.text(max(x, self.left + label_width(warm) + 4.0), self.y(above) + 3.0, warm, anchor="end", plate=True)
        x = min(self._x_at(sums.cold, above) + 6.0, self.right - label_width(cold))
        canvas.text(x, self.y(above) + 3.0, cold, plate=True)
        x, y = min(self._x_at(sums.cold, below) + 14.0, self.right - label_width(usual)), self.y(below)
        canvas.line([(self._x_at(sums.usual, below) + 1.5, y), (x - 2.0, y)], stroke=BLUE, weight=0.6)
        canvas.text(x, y + 3.0, usual, plate=True)

    def _x_at(self, sums: Sequence[float], heat: float) -> float:
        """Where a sum reaches a level, or the end of the drawing."""
        place = reached(sums, heat)
        return self.axis.x(min(place if place is not None else self.end, self.end - 1) + 0.5)

    def _opening(self) -> None:
        """Draw the days of opening below the axis, from a warm to a cold year, and say them in words."""
        canvas, words = self.canvas, self.words
        canvas.open("opening")
        low, mid, high = self._days()
        first, middle, last = (self.axis.at(day) for day in (low, mid, high))
        start, end = self.axis.x(first), self.axis.x(last + 1)
        half = self.axis.x(middle) - start
        stretch = Stretch(start, end, half, end - start - half, self.left, self.right)
        y = self.bottom + 6.0
        band(canvas, stretch, y, 10.0, "solid", fill=BLUE)
        claim = self._claim(low, mid, high)
        label = [Run(f"{say(words, 'chart-opens')} "), Run(claim.shown, claim), *mark_run(words, (claim.basis,))]
        wide = label_width(label)
        x = start - 5.0 - wide if start - 5.0 - wide >= self.left else min(end + 5.0, self.right - wide)
        below = x < end and x + wide > start
        canvas.text(x, y + (20.0 if below else 8.2), label)
        canvas.close()

    def _days(self) -> tuple[date, date, date]:
        """Early in a warm year, in a usual year, late in a cold one."""
        target, begin = self.target, self.axis.start
        ends = [reach(self.source, begin, heat, target.base) for heat in (target.low, target.high)]
        middle = reach(self.source, begin, (target.low + target.high) / 2.0, target.base).mid
        low, high, end = ends[0].low, ends[1].high, self.axis.day(364)
        assert low is not None and middle is not None
        return low, middle, high if high is not None and high <= end else end

    def _claim(self, low: date, mid: date, high: date) -> Claim:
        first, last = part_words(low), part_words(high)
        return Claim(
            "place.opening-by-heat|chart",
            f"in {first}" if first == last else f"from {first} to {last}",
            {"low": low.isoformat(), "mid": mid.isoformat(), "high": high.isoformat()},
            None,
            "derived",
            self.target.references,
            (self.target.heat, self.target.floor),
            proxy=self.target.proxy,
            label=say(self.words, "chart-opens"),
            detail=f"heat sum from {self.source.source}, {self.source.period}; eight years in ten",
        )
