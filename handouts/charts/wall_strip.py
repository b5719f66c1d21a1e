"""A season, day length and freezes come in; the year in rows for a wall goes out, its letters as large as paper allows.

The rows are those of the year strip. A row's name does not stand in a column of its own but in the row, before its
first bar or above it, so that the months share the whole width and names are larger than the words on bars.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from handouts.charts import letters, wall_frost, wall_light, wall_tasks
from handouts.charts.axis import DAYS, DayLength, FrostBasis, Frosts, Year, is_south, part_words
from handouts.charts.bands import band
from handouts.charts.lanes import Option, pack
from handouts.charts.strip_insects import STAGES, Bar, Writing, bars_of, borrowed, options
from handouts.charts.svg import BLUE, GRID, PT_PER_MM, Canvas, Chart, label_width
from handouts.charts.wall_sizes import LARGEST, SMALLEST, STEP, Sizes
from handouts.charts.wall_weeks import wall_weeks
from handouts.charts.words import bases, mark_run, row_name, say
from handouts.model.records import Words
from handouts.model.season import Season

_MOST_STRETCH = 1.4  # rows further apart than this fall to pieces


def wall_strip(
    season: Season,
    day_length: DayLength | None,
    frosts: Frosts | None,
    words: Words,
    *,
    width_mm: float,
    height_mm: float,
    frost_basis: FrostBasis = "derived",
    offsets: Mapping[str, tuple[float, float]] | None = None,
    chart_id: str = "year-strip",
) -> Chart:
    """Return the year of a place, drawn to fill `height_mm` at most, with the largest letters that allow it.

    At scale two names are 36 points, words 24, notes 16; notes never go below nine. The months' names are as large as
    their columns. When even the smallest letters need more height, the drawing is that much higher. Arguments are those
    of `year_strip`.
    """
    if day_length is None and not frosts and not any(window.known for window in season.windows):
        return wall_weeks(season, words, width_mm=width_mm, height_mm=height_mm, offsets=offsets, chart_id=chart_id)
    south = is_south(season.year, day_length, frosts)
    cached = lru_cache(maxsize=DAYS + 20)(day_length) if day_length is not None else None
    scale, wall = LARGEST, None
    while wall is None or (wall.height > height_mm * PT_PER_MM / scale and scale > SMALLEST):
        scale = scale if wall is None else round(scale - STEP, 2)
        wall = _Wall(season, cached, frosts or {}, words, Sizes.at(scale, width_mm), south, frost_basis, chart_id)
    wall.fill(height_mm * PT_PER_MM / scale)
    return wall.canvas.finish(
        height=wall.height,
        width_mm=width_mm,
        title=say(words, "chart-year-title"),
        alt=wall.alt(),
        caption=say(words, "chart-year-caption"),
    )


class _Wall:
    """The drawing at one size of letters."""

    def __init__(
        self,
        season: Season,
        day_length: DayLength | None,
        frosts: Frosts,
        words: Words,
        sizes: Sizes,
        south: bool,
        frost_basis: FrostBasis,
        name: str,
    ) -> None:
        self.season, self.day_length, self.frosts, self.words = season, day_length, frosts, words
        self.sizes, self.frost_basis, self.name = sizes, frost_basis, name
        self.year = Year(season.year, south, 0.5, sizes.width - 0.5)
        self.tasks = wall_tasks.laid(season, self.year, words, sizes)
        self.canvas, self.height = self._draw(1.0)

    def fill(self, height: float) -> None:
        """Draw again with the rows apart so far that the drawing becomes `height` points high."""
        more = self._draw(2.0)[1] - self.height
        stretch = 1.0 + (height - self.height) / more
        if stretch > 1.0:
            self.canvas, self.height = self._draw(min(stretch, _MOST_STRETCH))

    def _draw(self, stretch: float) -> tuple[Canvas, float]:
        """Draw everything; the grid lies under the rows, so that they are measured first."""
        bottom = self._rows(Canvas(self.name, self.sizes.width), stretch)[0]
        canvas = Canvas(self.name, self.sizes.width)
        self._months(canvas, bottom)
        return canvas, self._rows(canvas, stretch)[1]

    def _months(self, canvas: Canvas, bottom: float) -> None:
        year, size = self.year, self.sizes.months
        canvas.open("months")
        for at, (name, left, right) in enumerate(year.months()):
            canvas.text((left + right) / 2.0, 0.72 * size, name[:3], anchor="middle", size=size, bold=True, fill=BLUE)
            if at:
                canvas.line([(left, self.sizes.head), (left, bottom)], stroke=GRID, weight=0.5)
        canvas.close()

    def _rows(self, canvas: Canvas, stretch: float) -> tuple[float, float]:
        """Draw the rows; return where they end and where the drawing ends."""
        year, words, sizes = self.year, self.words, self.sizes
        gap = 4.0 * stretch
        y = sizes.head
        self._rule(canvas, y)
        y = wall_frost.draw(canvas, year, y + gap, self.frosts, words, self.frost_basis, sizes)
        turn = self.season.window("diapause-turn")
        y = wall_light.draw(canvas, year, y + gap, self.day_length, turn, words, sizes, stretch)
        self._rule(canvas, y + 1.0)
        y += 1.0 + gap
        canvas.open("insects")
        for stage in STAGES:
            bars, unknown = bars_of(self.season, stage, year, words)
            if bars or unknown:
                y = self._stage(canvas, y, row_name(words, stage), bars, unknown, stretch) + 2.0 * stretch
        canvas.close()
        self._rule(canvas, y)
        y = wall_tasks.draw(canvas, year, y + gap, self.tasks, self.season, words, sizes, stretch)
        self._rule(canvas, y)
        return y, borrowed(canvas, year, y, self.season, words, sizes.least) - 2.0

    def _rule(self, canvas: Canvas, y: float) -> None:
        canvas.line([(0.0, y), (self.sizes.width, y)], stroke=BLUE, weight=0.9)

    def _stage(self, canvas: Canvas, y: float, name: str, bars: list[Bar], unknown: list[str], stretch: float) -> float:
        """Draw one stage: its name first, its bars in the same lane where they begin after it, else below."""
        year, words, sizes = self.year, self.words, self.sizes
        kinds = tuple(kind for bar in bars for window in bar.windows for kind in bases(window))
        taken = sizes.draw_name(canvas, y, name, mark_run(words, kinds))
        own = [Option(((0.0, taken),), Writing("", (), True))]
        season, bars = _season(bars)
        things = [_inside_first(options(year, bar, sizes.word)) for bar in bars]
        if season is not None:  # it frames the generations in it, in their own lane
            things[0] = [Option(tuple(part.seen for part in season.stretches), things[0][0].what)]
        placed = pack([own, *things], 4.0)[1:]
        last = max((lane for lane, _ in placed), default=0)
        first = y + sizes.named - sizes.bar - 2.5  # in the name's lane bars stand on its line
        if season is not None:
            beside = placed[0][1].what
            after = max((x + label_width(beside.word, sizes.word) + 6.0 for x in beside.places), default=0.0)
            self._frame(canvas, first + placed[0][0] * sizes.lane * stretch, season, bars[0], after)
        for bar, (lane, option) in zip(bars, placed, strict=True):
            top = first + lane * sizes.lane * stretch
            for part in bar.stretches:
                band(canvas, part, top, sizes.bar, bar.pattern)
            plate = option.what.inside and bar.pattern != "solid"
            for x in option.what.places:
                base = sizes.middle(top, sizes.bar, sizes.word)
                canvas.text(x, base, option.what.word, size=sizes.word, plate=plate)
        y += sizes.named + last * sizes.lane * stretch
        if unknown:
            said = f"{say(words, 'chart-none')}: {'; '.join(unknown)}"
            for line in letters.wrap(said, sizes.note, year.right):
                y += sizes.line
                canvas.text(0.0, y - 2.0, line, size=sizes.note, italic=True, plate=True)
        return y

    def _frame(self, canvas: Canvas, top: float, season: Bar, inner: Bar, after: float) -> None:
        """Draw the whole flying season as an open bar, its word in the part behind the generation and its word."""
        sizes = self.sizes
        for part in season.stretches:
            band(canvas, part, top, sizes.bar, season.pattern)
        word = season.forms[-1]
        left, right = max(inner.stretches[0].seen[1], after), season.stretches[0].whole[1]
        if right - left > label_width(word, sizes.word) + 6.0:
            base = sizes.middle(top, sizes.bar, sizes.word)
            canvas.text((left + right) / 2.0, base, word, size=sizes.word, anchor="middle", plate=True)

    def alt(self) -> str:
        """The description in words, without figures."""
        if "last" in self.frosts and "first" in self.frosts:
            last, first = (part_words(self.frosts[side][1]).replace("\u00a0", " ") for side in ("last", "first"))
            return say(self.words, "chart-year-alt-frost").format(last=last, first=first)
        return say(self.words, "chart-year-alt")


def _inside_first(found: list[Option[Writing]]) -> list[Option[Writing]]:
    """A short word on its bar reads better from afar than a long one beside it."""
    return sorted(found, key=lambda option: not option.what.inside)


def _season(bars: list[Bar]) -> tuple[Bar | None, list[Bar]]:
    """Take out the bar of the whole season when one generation's bar lies inside it: (season, the others)."""
    whole = [bar for bar in bars if len(bar.windows) == 1 and bar.windows[0].id.endswith("-season")]
    others = [bar for bar in bars if bar not in whole]
    flights = [bar for bar in others if bar.pattern != "open"]
    if len(whole) != 1 or len(flights) != 1 or len(flights[0].stretches) != 1 or len(whole[0].stretches) != 1:
        return None, bars
    (outer,), (inner,) = whole[0].stretches, flights[0].stretches
    if not (outer.start <= inner.start + 1.0 and inner.end <= outer.end + 1.0):
        return None, bars
    return whole[0], [flights[0], *(bar for bar in others if bar is not flights[0])]
