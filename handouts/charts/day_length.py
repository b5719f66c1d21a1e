"""Day length of every day comes in; its curve through the year goes out, with twilight and the turn to winter rest."""

from __future__ import annotations

import math

from handouts.charts.axis import DayLength, Year, draw_months, is_south
from handouts.charts.bands import Stretch
from handouts.charts.strip_light import Curve, length_claim, turn_label
from handouts.charts.svg import (
    BLUE,
    DARK,
    GRID,
    PT_PER_MM,
    Canvas,
    Chart,
    Run,
    label_width,
    number,
    paper_width,
)
from handouts.charts.words import mark_run, say
from handouts.model.records import Words
from handouts.model.season import Window

LEAST_WIDTH = 380.0
_GUTTER = 32.0
_TOP = 15.0
_HOUR = 60.0
_LEAST_HOURS = 8  # from bottom to top, so that a flat year near the equator looks flat


def day_length_chart(
    day_length: DayLength,
    words: Words,
    year: int,
    *,
    twilight: DayLength | None = None,
    turn: Window | None = None,
    south: bool | None = None,
    width_mm: float = 172,
    height_mm: float = 80,
    scale: float = 1.0,
    chart_id: str = "day-length",
) -> Chart:
    """Return day length through the season year `year`.

    `day_length` and `twilight` give minutes for a date: from sunrise to sunset, and with civil twilight. `turn` is
    the window "diapause-turn", hatched when it has dates. Raises ValueError for a paper too small.
    """
    width = paper_width(width_mm, scale, LEAST_WIDTH)
    height = height_mm * PT_PER_MM / scale
    if height < 120.0:
        raise ValueError(f"{height_mm:g} mm is too low; expected {120.0 * scale / PT_PER_MM:.0f} mm or more")
    turned = is_south(year, day_length, None) if south is None else south
    axis = Year(year, turned, _GUTTER, width - 1.0)
    canvas = Canvas(chart_id, width)
    curve = Curve(axis, day_length, _TOP, height - 4.0)
    upper = Curve(axis, twilight, _TOP, height - 4.0) if twilight is not None else None
    least, most = curve.least, (upper or curve).most
    low = max(0.0, math.floor(least / (2 * _HOUR)) * 2 * _HOUR)
    high = min(24 * _HOUR, math.ceil((most + 20.0) / (2 * _HOUR)) * 2 * _HOUR)
    low = max(0.0, min(low, high - _LEAST_HOURS * _HOUR))
    for each in (curve, upper):
        if each is not None:
            each.low, each.high = low, high
    draw_months(canvas, axis, 10.0, _TOP, curve.bottom)
    _hours(canvas, curve, low, high)
    canvas.open("curves")
    if upper is not None:
        canvas.path(_between(curve, upper), stroke=DARK, weight=0.35)
        canvas.line(upper.points(), weight=0.8, dash="4 2.5")
    stretches: list[Stretch] = []
    if turn is not None and turn.known:
        assert turn.low is not None
        assert turn.high is not None
        half = ((turn.high - turn.low).days + 1) / 2.0
        stretches = axis.stretches(turn.low, turn.high, half, half)
        for stretch in stretches:
            canvas.path(_upright(curve, stretch, upper), stroke=BLUE, weight=0.8)
    canvas.line(curve.points(), weight=1.4)
    canvas.close()
    _labels(canvas, curve, upper, words, stretches[0].start if stretches else axis.right)
    if turn is not None and stretches:
        _turn(canvas, curve, turn, stretches[0], day_length, words)
    kind = "" if stretches else "-plain"
    return canvas.finish(
        height=height,
        width_mm=width_mm,
        title=say(words, "chart-light-title"),
        alt=say(words, f"chart-light-alt{kind}"),
        caption=say(words, f"chart-light-caption{kind}"),
    )


def _hours(canvas: Canvas, curve: Curve, low: float, high: float) -> None:
    """Draw the scale of hours at the left with a light line every two hours."""
    canvas.open("hours")
    hours = int(low / _HOUR)
    while hours * _HOUR <= high:
        y = curve.y(hours * _HOUR)
        canvas.line([(curve.year.left, y), (curve.year.right, y)], stroke=GRID, weight=0.5)
        if hours * _HOUR > low:
            canvas.text(curve.year.left - 4.0, y + 3.2, [Run(f"{hours}\u00a0h", const="list")], anchor="end", fill=DARK)
        hours += 2
    canvas.line([(curve.year.left, curve.bottom), (curve.year.right, curve.bottom)], stroke=DARK, weight=0.6)
    canvas.close()


def _between(curve: Curve, upper: Curve) -> str:
    """Fine slanting lines between the two curves: which of them the caterpillars read is not known."""
    year = curve.year
    data = ""
    x = year.left + 2.0
    while x < year.right - 1.0:
        place = (x - year.left) / year.per_day
        data += f"M{number(x)} {number(curve.at(place))}L{number(x + 1.5)} {number(upper.at(place))}"
        x += 4.0
    return data


def _upright(curve: Curve, stretch: Stretch, upper: Curve | None) -> str:
    """Upright lines from the bottom to the upper curve, close in the middle of the turn and sparse at its ends."""
    data, x = "", stretch.start + 1.0
    while x < stretch.end:
        if stretch.low <= x <= stretch.high:
            top = (upper or curve).at((x - curve.year.left) / curve.year.per_day)
            data += f"M{number(x)} {number(curve.bottom)}V{number(top)}"
        x += 2.2 * (1.0 + 2.0 * stretch.openness(x))
    return data


def _labels(canvas: Canvas, curve: Curve, upper: Curve | None, words: Words, taken: float) -> None:
    """Name both curves beside their rising side, and the longest (left of `taken`) and shortest day."""
    canvas.open("labels")
    year = curve.year
    longest = length_claim(year.day(curve.longest), curve.most)
    shortest = length_claim(year.day(curve.shortest), curve.least)
    marks = mark_run(words, ("derived",))
    peak = [Run(f"{say(words, 'chart-longest')} "), Run(longest.shown, longest), *marks]
    rise = 70
    plain = say(words, "chart-daylight")
    left, base = year.x(rise) + 6.0, curve.at(rise) + 9.0
    canvas.text(left, base, plain, plate=True)
    if upper is not None:
        name = say(words, "chart-twilight")
        canvas.text(year.x(95) - label_width(name) - 4.0, upper.at(95) - 4.0, name, plate=True)
    wide = label_width(peak)
    x = min(year.x(curve.longest + 0.5) - wide / 2.0, min(taken, year.right) - wide - 5.0)
    x = max(x, year.left + 4.0)
    y = max(curve.at(place) for place in _places(curve, x, x + wide)) + 12.0
    written = [(left, left + label_width(plain), base)]
    written.append((x, x + wide, _below(written, x, x + wide, y)))
    canvas.text(x, written[-1][2], peak, plate=True)
    foot = [Run(f"{say(words, 'chart-shortest')} "), Run(shortest.shown, shortest), *marks]
    # The shortest day stands at an end of the year; its words stand under the curve at the end it is nearer to.
    early = curve.shortest < 182
    x = year.left + 4.0 if early else year.right - 4.0 - label_width(foot)
    clear = max(curve.at(place) for place in _places(curve, x, x + label_width(foot)))
    y = _below(written, x, x + label_width(foot), min(clear + 13.0, curve.bottom - 3.0))
    canvas.text(x, y, foot, plate=True)
    canvas.close()


def _below(written: list[tuple[float, float, float]], left: float, right: float, y: float) -> float:
    """The first baseline from `y` down that keeps clear of what is written: its left, right and baseline."""
    near = [base for start, end, base in written if left < end + 4.0 and start < right + 4.0 and abs(y - base) < 12.0]
    return _below(written, left, right, max(near) + 12.0) if near else y


def _places(curve: Curve, left: float, right: float) -> list[int]:
    """The days under a stretch of paper."""
    year = curve.year
    first, last = ((x - year.left) / year.per_day for x in (left, right))
    return list(range(max(0, int(first)), min(365, int(last) + 1)))


def _turn(canvas: Canvas, curve: Curve, turn: Window, stretch: Stretch, day_length: DayLength, words: Words) -> None:
    """Write the turn's name and hours into the corner above the falling curves."""
    canvas.open("turn")
    year = curve.year
    name, lengths = turn_label(turn, day_length, words)
    wide = max(label_width(name), label_width(lengths))
    x = min((stretch.start + stretch.end) / 2.0, year.right - wide)
    canvas.text(x, curve.top + 9.0, name, plate=True)
    canvas.text(x, curve.top + 20.0, lengths, plate=True)
    canvas.close()
