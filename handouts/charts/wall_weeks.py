"""A season without dates in; the year in weeks from the reader's own freezes out, as large as a wall allows."""

from __future__ import annotations

from collections.abc import Mapping

from handouts.charts.bands import Stretch, band
from handouts.charts.letters import wrap
from handouts.charts.strip_gardener import applies
from handouts.charts.strip_insects import STAGES
from handouts.charts.svg import BLUE, DARK, GRID, INK, PT_PER_MM, WHITE, Canvas, Chart, Run, label_width
from handouts.charts.wall_sizes import LARGEST, SMALLEST, STEP, Sizes
from handouts.charts.weeks_strip import FADE_WEEKS, SIDES, WEEKS, weeks_strip
from handouts.charts.words import row_name, say
from handouts.model.records import Words
from handouts.model.season import Season

_EDGE = 8.0
_AIR = 5.0
_STACKED_MM, _SMALL_SCALE = 220.0, 1.0


def wall_weeks(
    season: Season,
    words: Words,
    *,
    width_mm: float,
    height_mm: float,
    offsets: Mapping[str, tuple[float, float]] | None = None,
    chart_id: str = "year-strip",
) -> Chart:
    """Return spring above fall, each with a box for the reader's own freeze, its tasks and their weeks.

    On a sheet for the refrigerator door they stand side by side. Letters are as large as `height_mm` allows, as in
    `wall_strip`; `offsets` are those of `weeks_strip`.
    """
    if width_mm < _STACKED_MM:
        return weeks_strip(
            season, words, width_mm=width_mm, scale=_SMALL_SCALE, offsets=offsets, dates=False, chart_id=chart_id
        )
    scale = LARGEST
    while True:
        drawn = _Weeks(season, words, Sizes.at(scale, width_mm), offsets or {}, chart_id)
        height = drawn.draw()
        if height <= height_mm * PT_PER_MM / scale or scale <= SMALLEST:
            break
        scale = round(scale - STEP, 2)
    return drawn.canvas.finish(
        height=height,
        width_mm=width_mm,
        title=say(words, "chart-weeks-title"),
        alt=say(words, "chart-weeks-alt"),
        caption=say(words, "chart-weeks-caption" if offsets else "chart-words-caption"),
    )


class _Weeks:
    """The drawing at one size of letters."""

    def __init__(
        self, season: Season, words: Words, sizes: Sizes, offsets: Mapping[str, tuple[float, float]], name: str
    ) -> None:
        self.season, self.words, self.sizes, self.offsets, self.name = season, words, sizes, offsets, name
        self.left, self.right = 0.5, sizes.width - 0.5
        self.canvas = Canvas(name, sizes.width)

    def x(self, week: float) -> float:
        """Where a week stands, counted from the freeze."""
        return self.left + _EDGE + (week + WEEKS) / (2.0 * WEEKS) * (self.right - self.left - 2.0 * _EDGE)

    def draw(self) -> float:
        """Draw both seasons and the insects; return the height."""
        y = 1.0
        for side, names in SIDES.items():
            self.canvas.open("spring" if side == "last" else "fall")
            y = self._head(y, side)
            shown = [name for name in names if (window := self.season.window(name)) is not None and applies(window)]
            top = y
            self._grid(top, top + sum(self._height(name) for name in shown))
            for name in shown:
                y = self._task(y, name)
            self.canvas.close()
            y += 4.0
            self.canvas.line([(0.0, y), (self.sizes.width, y)], stroke=BLUE, weight=0.9)
            y += 5.0
        return self._insects(y - 2.0)

    def _head(self, y: float, side: str) -> float:
        """The season's name, the box for the reader's date, the band of frost and the weeks."""
        canvas, sizes, words = self.canvas, self.sizes, self.words
        after = sizes.draw_name(canvas, y, say(words, "chart-spring" if side == "last" else "chart-fall")) + 6.0
        used = canvas.text(
            after, y + 0.78 * sizes.name, f"{say(words, f'chart-my-{side}').capitalize()}:", size=sizes.word
        )
        box = after + used + _AIR
        canvas.rect(box, y, self.right - box, sizes.name + 3.0, fill=WHITE, stroke=INK, weight=0.9)
        y += sizes.name + 7.0
        fade = self.x(FADE_WEEKS) - self.x(-FADE_WEEKS)
        out = side == "last"
        first, last = (self.left, self.x(FADE_WEEKS)) if out else (self.x(-FADE_WEEKS), self.right)
        band(
            canvas,
            Stretch(first, last, 0.0 if out else fade, fade if out else 0.0, self.left, self.right),
            y,
            sizes.bar,
            "solid",
        )
        likely, unlikely = say(words, "chart-frost-likely"), say(words, "chart-frost-unlikely")
        base = sizes.middle(y, sizes.bar, sizes.word)
        ends = ((self.left + self.x(-FADE_WEEKS)) / 2.0, (self.x(FADE_WEEKS) + self.right) / 2.0)
        for at, word in zip(ends, (likely, unlikely) if out else (unlikely, likely), strict=True):
            canvas.text(at, base, word, anchor="middle", size=sizes.word)
        y += sizes.bar
        canvas.path(f"M{self.x(0):.2f} {y + 0.5:.2f}l-2.6 4.4h5.2Z", fill=INK)
        y += sizes.line + 1.0
        for week in range(-WEEKS, WEEKS + 1, 2):
            if week:
                canvas.text(self.x(week), y, [Run(str(abs(week)), const="list")], anchor="middle", size=sizes.note)
        y += sizes.line
        canvas.text(self.left, y, say(words, "chart-weeks-before"), size=sizes.note, fill=DARK)
        canvas.text(self.x(0), y, say(words, "chart-frost-possible"), anchor="middle", size=sizes.note)
        canvas.text(self.right, y, say(words, "chart-weeks-after"), anchor="end", size=sizes.note, fill=DARK)
        return y + 4.0

    def _grid(self, top: float, bottom: float) -> None:
        for week in range(-WEEKS, WEEKS + 1, 2):
            line = [(self.x(week), top), (self.x(week), bottom)]
            self.canvas.line(line, stroke=DARK if week == 0 else GRID, weight=0.5)

    def _lines(self, name: str) -> list[str]:
        """When a task is due, in words."""
        return wrap(self.words.windows[name].unknown, self.sizes.note, self.right - self.left)

    def _height(self, name: str) -> float:
        return self.sizes.lane + len(self._lines(name)) * self.sizes.line + 3.0

    def _task(self, y: float, name: str) -> float:
        """One task: its words beside its weeks, or alone where no weeks are known, and when it is due in words."""
        canvas, sizes, said = self.canvas, self.sizes, self.words.windows[name].short
        x, base = self.left, sizes.middle(y, sizes.bar, sizes.word)
        if name in self.offsets:
            low, high = (self.x(week) for week in self.offsets[name])
            fade = (high - low) / 2.0
            band(canvas, Stretch(low, high, fade, fade, self.left, self.right), y, sizes.bar - 2.0, "solid", fill=BLUE)
            width = label_width(said, sizes.word, bold=True)
            x = high + _AIR if high + _AIR + width <= self.right else max(self.left, low - _AIR - width)
        canvas.text(x, base, said, size=sizes.word, bold=True, plate=True)
        y += sizes.lane - 1.0
        for line in self._lines(name):
            width = label_width(line, sizes.note)
            canvas.text(min(x, self.right - width), y + 0.8 * sizes.note, line, size=sizes.note, plate=True)
            y += sizes.line
        return y + 4.0

    def _insects(self, y: float) -> float:
        """Say in words when each stage is about, and when the turn to winter rest comes."""
        canvas, sizes, words = self.canvas, self.sizes, self.words
        canvas.open("insects")
        rows = [(row_name(words, stage), self.season.window(f"{stage}-1")) for stage in STAGES]
        turn = self.season.window("diapause-turn")
        if turn is not None and applies(turn):
            rows.append((words.windows[turn.id].short.capitalize(), turn))
        column = max(label_width(name, sizes.word, bold=True) for name, _ in rows) + 8.0
        for name, window in rows:
            if window is not None:
                y += sizes.word + 2.0
                canvas.text(self.left, y, name, size=sizes.word, bold=True, fill=BLUE)
                said = words.windows[window.id].unknown
                fits = label_width(said, sizes.word) <= self.right - column
                canvas.text(column, y, said, size=sizes.word if fits else sizes.note)
        canvas.close()
        return y + 4.0
