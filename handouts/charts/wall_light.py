"""Day length comes in; its row of a wall chart is drawn: the name over winter's short days, the curve, the turn."""

from __future__ import annotations

from handouts.charts import letters
from handouts.charts.axis import DayLength, Year
from handouts.charts.strip_light import Curve, length_claim, turn_hatch, turn_label
from handouts.charts.svg import BLUE, DARK, INK, Canvas, Label, Run, label_width, polyline
from handouts.charts.wall_sizes import Sizes
from handouts.charts.words import mark_run, say
from handouts.model.records import Words
from handouts.model.season import Window

_PLOT = {2: 34.0, 3: 42.0}  # by the lines of words that stand above the curve
_CLEAR = 2.0  # between words and curve


def draw(
    canvas: Canvas,
    year: Year,
    y: float,
    day_length: DayLength | None,
    turn: Window | None,
    words: Words,
    sizes: Sizes,
    stretch: float,
) -> float:
    """Draw the row with its top at `y` and return where it ends."""
    canvas.open("day-length")
    name = sizes.draw_name(canvas, y, say(words, "chart-light"))
    if day_length is None:
        for at, line in enumerate(letters.wrap(say(words, "chart-light-unknown"), sizes.note, year.right - name)):
            canvas.text(name, y + (at + 1) * sizes.line, line, size=sizes.note, italic=True, plate=True)
        canvas.close()
        return y + sizes.named
    known = turn if turn is not None and turn.known else None
    lines = _turn_lines(year, known, day_length, words, sizes) if known is not None else []
    plot = _PLOT.get(len(lines), _PLOT[3]) * stretch
    curve = Curve(year, day_length, y, y + plot)
    while not _clear(curve, year, y, name, lines):  # words above the curve on both sides push it down
        curve = Curve(year, day_length, curve.top + 2.0, curve.bottom + 2.0)
    canvas.line([(year.left, curve.bottom), (year.right, curve.bottom)], stroke=DARK, weight=0.5)
    claim = length_claim(year.day(curve.longest), curve.most)
    peak = [Run(f"{say(words, 'chart-longest')} "), Run(claim.shown, claim), *mark_run(words, (claim.basis,))]
    half = label_width(peak, sizes.note) / 2.0
    middle = year.x(curve.longest + 0.5)
    if known is not None:
        middle = min(middle, _turn(canvas, curve, known, y, lines) - half - 5.0)
    canvas.path(polyline(curve.points()), stroke=INK, weight=1.2)
    middle = max(min(middle, year.right - half), year.left + half + 2.0)
    canvas.text(middle, curve.bottom - 4.0, peak, anchor="middle", size=sizes.note, plate=True)
    canvas.close()
    return curve.bottom + 1.0


Line = tuple[Label, float, float]
"""A line of words, its size, its baseline below the row's top."""


def _turn_lines(year: Year, turn: Window, day_length: DayLength, words: Words, sizes: Sizes) -> list[Line]:
    """The turn's name, and below it from how long to how short a day: on one line where the fall has room, else two."""
    assert turn.high is not None
    name, lengths = turn_label(turn, day_length, words)
    base = 0.8 * sizes.word
    room = year.right - year.x(year.at(turn.high) + 1)
    if label_width(lengths, sizes.note) < room:
        return [(name, sizes.word, base), (lengths, sizes.note, base + sizes.line)]
    upper, lower = [*lengths[:2]], [Run(lengths[2].text.strip() + " "), *lengths[3:]]
    return [
        (name, sizes.word, base),
        (upper, sizes.note, base + sizes.line),
        (lower, sizes.note, base + 2.0 * sizes.line),
    ]


def _clear(curve: Curve, year: Year, y: float, name: float, lines: list[Line]) -> bool:
    """Whether the curve passes below the row's name on the left and the turn's words on the right."""
    boxes = [(year.left, name, y + 20.0)]
    boxes += [(year.right - label_width(label, size), year.right, y + base + 2.0) for label, size, base in lines]
    return all(
        bottom + _CLEAR <= min(curve.at((x - year.left) / year.per_day) for x in (left, (left + right) / 2.0, right))
        for left, right, bottom in boxes
    )


def _turn(canvas: Canvas, curve: Curve, turn: Window, y: float, lines: list[Line]) -> float:
    """Hatch the turn under the curve, write its words at the right above it; return where the hatching begins."""
    assert turn.low is not None
    assert turn.high is not None
    year = curve.year
    half = ((turn.high - turn.low).days + 1) / 2.0
    stretches = year.stretches(turn.low, turn.high, half, half)
    for stretch in stretches:
        canvas.path(turn_hatch(curve, stretch), stroke=BLUE, weight=0.7)
    for label, size, base in lines:
        canvas.text(year.right, y + base, label, size=size, anchor="end", plate=True)
    label, size, base = lines[0]
    foot = (stretches[0].start + stretches[0].end) / 2.0
    start = year.right - label_width(label, size) - 3.0
    level = y + base - 0.3 * size
    at = curve.at((foot - year.left) / year.per_day)
    if foot < start and level < at - 3.0:
        canvas.line([(start, level), (foot, level), (foot, at - 1.5)], stroke=BLUE, weight=0.6)
    return stretches[0].start
