"""A season without dates comes in; a strip in weeks from the reader's own freezes goes out, with boxes to write in."""

from __future__ import annotations

from collections.abc import Mapping

from handouts.charts import letters
from handouts.charts.bands import Stretch, band
from handouts.charts.strip_gardener import applies
from handouts.charts.strip_insects import STAGES
from handouts.charts.svg import BLUE, DARK, GRID, INK, SIZE, Canvas, Chart, Run, label_width, paper_width
from handouts.charts.words import row_name, say
from handouts.model.records import Words
from handouts.model.season import Season

SIDES = {
    "last": ("hosts-ready", "to-warmth", "stop-waiting"),
    "first": ("last-release", "overwinter-from", "to-cold-by"),
}
WEEKS = 8  # before and after a freeze
_GAP = 18.0
FADE_WEEKS = 2.0  # about eight years in ten lie this near the median when the spread is the assumed twelve days


class _Panel:
    """One half of the strip: the weeks around one freeze."""

    def __init__(self, canvas: Canvas, words: Words, side: str, left: float, right: float) -> None:
        self.canvas, self.words, self.side, self.left, self.right = canvas, words, side, left, right

    def x(self, week: float) -> float:
        return self.left + 8.0 + (week + WEEKS) / (2.0 * WEEKS) * (self.right - self.left - 16.0)

    def head(self, y: float) -> float:
        """Draw the name, the box for the reader's date, the band and the scale; return where they end."""
        canvas, words = self.canvas, self.words
        name = say(words, "chart-spring" if self.side == "last" else "chart-fall")
        used = canvas.text(self.left, y + 12.0, name, bold=True, size=11.0, fill=BLUE)
        label = f"{say(words, f'chart-my-{self.side}').capitalize()}:"
        width = canvas.text(self.left + used + 12.0, y + 12.0, label)
        box = self.left + used + width + 16.0
        canvas.rect(box, y, self.right - box, 17.0, stroke=INK, weight=0.9)
        y += 23.0
        fade = self.x(FADE_WEEKS) - self.x(-FADE_WEEKS)
        first, last = (self.left, self.x(FADE_WEEKS)) if self.side == "last" else (self.x(-FADE_WEEKS), self.right)
        out = self.side == "last"
        stretch = Stretch(first, last, 0.0 if out else fade, fade if out else 0.0, self.left, self.right)
        band(canvas, stretch, y, 13.0, "solid")
        likely, unlikely = say(words, "chart-frost-likely"), say(words, "chart-frost-unlikely")
        before, after = (likely, unlikely) if out else (unlikely, likely)
        canvas.text((self.left + self.x(-FADE_WEEKS)) / 2.0, y + 9.7, before, anchor="middle")
        canvas.text((self.x(FADE_WEEKS) + self.right) / 2.0, y + 9.7, after, anchor="middle")
        y += 13.0
        canvas.path(f"M{self.x(0):.2f} {y + 0.5:.2f}l-2.6 4.4h5.2Z", fill=INK)
        y += 14.0
        for week in range(-WEEKS, WEEKS + 1, 2):
            if week:
                canvas.text(self.x(week), y, [Run(str(abs(week)), const="list")], anchor="middle", fill=DARK)
        y += 11.0
        canvas.text(self.left, y, say(words, "chart-weeks-before"), fill=DARK)
        canvas.text(self.x(0), y, say(words, "chart-frost-possible"), anchor="middle")
        canvas.text(self.right, y, say(words, "chart-weeks-after"), anchor="end", fill=DARK)
        return y + 5.0

    def grid(self, top: float, bottom: float) -> None:
        """Draw the light lines at every second week."""
        for week in range(-WEEKS, WEEKS + 1, 2):
            line = [(self.x(week), top), (self.x(week), bottom)]
            self.canvas.line(line, stroke=DARK if week == 0 else GRID, weight=0.5)

    def task(self, y: float, name: str, offset: tuple[float, float] | None, dates: bool) -> float:
        """Draw one task: its words, its weeks where they are known, and with `dates` a box for the reader's date."""
        canvas, said = self.canvas, self.words.windows[name]
        for line in letters.wrap(said.short, SIZE, self.right - self.left, bold=True):
            canvas.text(self.left, y + 8.0, line, bold=True, plate=True)
            y += 11.0
        if offset is not None:
            low, high = offset
            fade = (self.x(high) - self.x(low)) / 2.0
            stretch = Stretch(self.x(low), self.x(high), fade, fade, self.left, self.right)
            band(canvas, stretch, y + 1.0, 8.0, "solid", fill=BLUE)
            y += 11.0
        for line in letters.wrap(said.unknown, SIZE, self.right - self.left):
            canvas.text(self.left, y + 8.0, line, plate=True)
            y += 11.0
        if not dates:
            return y + 5.0
        label = f"{say(self.words, 'chart-my-date').capitalize()}:"
        width = canvas.text(self.left, y + 12.0, label, fill=DARK, plate=True)
        canvas.rect(self.left + width + 4.0, y + 1.5, 92.0, 15.0, fill="#ffffff", stroke=INK, weight=0.6)
        return y + 23.0


def weeks_strip(
    season: Season,
    words: Words,
    *,
    width_mm: float = 172,
    scale: float = 1.0,
    offsets: Mapping[str, tuple[float, float]] | None = None,
    dates: bool = True,
    chart_id: str = "year-strip",
) -> Chart:
    """Return the strip for a place of which no date is known; without `dates` only the freezes get a box to write in.

    `offsets` gives weeks after (negative: before) the reader's last freeze for spring tasks and first freeze for
    fall tasks, by window id; a task without them shows its words. Raises ValueError for too narrow a paper.
    """
    width = paper_width(width_mm, scale, 400.0)
    half = (width - _GAP) / 2.0

    def drawn(grid: tuple[float, float] | None) -> tuple[Canvas, float, float]:
        canvas = Canvas(chart_id, width)
        bottom = head = 0.0
        for at, (side, names) in enumerate(SIDES.items()):
            left = at * (half + _GAP)
            panel = _Panel(canvas, words, side, left + 0.5, left + half - 0.5)
            canvas.open("spring" if side == "last" else "fall")
            head = y = panel.head(1.0)
            if grid is not None and offsets:
                panel.grid(*grid)
            y += 4.0
            for name in names:
                window = season.window(name)
                if window is not None and applies(window):
                    y = panel.task(y, name, (offsets or {}).get(name), dates)
            canvas.close()
            bottom = max(bottom, y)
        return canvas, head, bottom

    _, head, bottom = drawn(None)
    canvas, _, _ = drawn((head, bottom - 3.0))
    height = _insects(canvas, season, words, bottom, width)
    return canvas.finish(
        height=height,
        width_mm=width_mm,
        title=say(words, "chart-weeks-title"),
        alt=say(words, "chart-weeks-alt"),
        caption=say(words, "chart-weeks-caption" if offsets else "chart-words-caption"),
    )


def _insects(canvas: Canvas, season: Season, words: Words, y: float, width: float) -> float:
    """Say in words when each stage is about, and when the turn to winter rest comes; return where it ends."""
    canvas.open("insects")
    canvas.line([(0.0, y), (width, y)], stroke=BLUE, weight=0.9)
    y += 3.0
    rows = [(row_name(words, stage), season.window(f"{stage}-1")) for stage in STAGES]
    turn = season.window("diapause-turn")
    if turn is not None and applies(turn):
        rows.append((words.windows[turn.id].short.capitalize(), turn))
    column = max(label_width(name, bold=True) for name, _ in rows) + 8.0
    for name, window in rows:
        if window is not None:
            canvas.text(0.5, y + 8.5, name, bold=True, fill=BLUE)
            canvas.text(column, y + 8.5, words.windows[window.id].unknown)
            y += 12.0
    canvas.close()
    return y + 2.0
