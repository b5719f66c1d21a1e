"""A season, day length and freeze dates come in; the year in rows goes out: frost, light, the insects, the gardener.

The rows are laid from the top down; each takes the height its labels need. A window without dates shows its words
and no place on the axis. With nothing dated at all the strip turns into weeks from the reader's own freezes.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from handouts.charts import strip_frost, strip_gardener, strip_insects, strip_light
from handouts.charts.axis import DAYS, DayLength, FrostBasis, Frosts, Year, draw_months, is_south, part_words
from handouts.charts.svg import BLUE, PT_PER_MM, Canvas, Chart, paper_width
from handouts.charts.weeks_strip import weeks_strip
from handouts.charts.words import say
from handouts.model.records import Words
from handouts.model.season import Season

LEAST_WIDTH = 400.0  # points: narrower, and the longest labels find no room beside their bars
_GUTTER = 80.0
_HEAD = 15.0
_GAP = 5.0


def year_strip(
    season: Season,
    day_length: DayLength | None,
    frosts: Frosts | None,
    words: Words,
    *,
    width_mm: float = 172,
    height_mm: float | None = None,
    scale: float = 1.0,
    south: bool | None = None,
    frost_basis: FrostBasis = "derived",
    offsets: Mapping[str, tuple[float, float]] | None = None,
    chart_id: str = "year-strip",
) -> Chart:
    """Return the year strip.

    `day_length` gives minutes for a date (None: no latitude). `frosts` holds under "last" and "first" three dates
    each, of one, five and nine years in ten in any order; a missing side is not known. Letters are nine points
    times `scale`. The height is what the rows need; given a larger `height_mm` they stretch to it, given a smaller
    one the tasks lose their times in words, which a plan beside the chart repeats, and nothing else shrinks.
    `south` is found out from day length or freezes when left out. `frost_basis` is how the median freezes are
    known. `offsets` are weeks from the reader's freezes, by window id, for a place without dates. Raises ValueError
    for a width that leaves under 141 mm at scale 1.
    """
    width = paper_width(width_mm, scale, LEAST_WIDTH)
    if day_length is None and not frosts and not any(window.known for window in season.windows):
        return weeks_strip(season, words, width_mm=width_mm, scale=scale, offsets=offsets, chart_id=chart_id)
    turned = is_south(season.year, day_length, frosts) if south is None else south
    year = Year(season.year, turned, _GUTTER, width - 1.0)
    cached = lru_cache(maxsize=DAYS + 20)(day_length) if day_length is not None else None  # several passes ask
    strip = _Strip(season, cached, frosts or {}, words, year, frost_basis, chart_id)
    stretch = 1.0
    if height_mm:
        wanted = height_mm * PT_PER_MM / scale
        strip.times = strip.measure(1.0)[1] <= wanted
        natural, doubled = strip.measure(1.0)[1], strip.measure(2.0)[1]
        stretch = max(1.0, 1.0 + (wanted - natural) / (doubled - natural))
    canvas, height = strip.draw(stretch)
    return canvas.finish(
        height=height,
        width_mm=width_mm,
        title=say(words, "chart-year-title"),
        alt=strip.alt(),
        caption=say(words, "chart-year-caption"),
    )


class _Strip:
    """The parts of one strip; `draw` lays them out anew for each stretch of the row heights."""

    def __init__(
        self,
        season: Season,
        day_length: DayLength | None,
        frosts: Frosts,
        words: Words,
        year: Year,
        frost_basis: FrostBasis,
        name: str,
    ) -> None:
        self.season, self.day_length, self.frosts, self.words = season, day_length, frosts, words
        self.year, self.frost_basis, self.name = year, frost_basis, name
        self.times = True

    def measure(self, stretch: float) -> tuple[float, float]:
        """Where the rows and the whole drawing end, with row heights times `stretch`."""
        return self._rows(Canvas(self.name, self.year.right + 1.0), stretch)

    def draw(self, stretch: float) -> tuple[Canvas, float]:
        """Draw all rows; the canvas and its height. The grid lies under the rows, so they are measured first."""
        canvas = Canvas(self.name, self.year.right + 1.0)
        draw_months(canvas, self.year, 10.0, _HEAD, self.measure(stretch)[0])
        return canvas, self._rows(canvas, stretch)[1]

    def _rows(self, canvas: Canvas, stretch: float) -> tuple[float, float]:
        year, words = self.year, self.words
        y = _HEAD
        rule(canvas, year, y)
        y = strip_frost.draw(canvas, year, y + _GAP * stretch, self.frosts, words, self.frost_basis, stretch)
        turn = self.season.window("diapause-turn")
        y = strip_light.draw(canvas, year, y + _GAP * stretch, self.day_length, turn, words, stretch)
        rule(canvas, year, y + 2.0)
        y = strip_insects.draw(canvas, year, y + 2.0 + _GAP * stretch, self.season, words, stretch)
        rule(canvas, year, y + 1.0)
        y = strip_gardener.draw(canvas, year, y + 1.0 + _GAP * stretch, self.season, words, stretch, self.times)
        rule(canvas, year, y + 1.0)
        return y + 1.0, strip_insects.borrowed(canvas, year, y + 2.0, self.season, words)

    def alt(self) -> str:
        """The description in words, without figures."""
        if "last" in self.frosts and "first" in self.frosts:
            last, first = (part_words(self.frosts[side][1]).replace("\u00a0", " ") for side in ("last", "first"))
            return say(self.words, "chart-year-alt-frost").format(last=last, first=first)
        return say(self.words, "chart-year-alt")


def rule(canvas: Canvas, year: Year, y: float) -> None:
    """Draw the rule between two groups of rows across the whole width."""
    canvas.line([(0.0, y), (year.right, y)], stroke=BLUE, weight=0.9)
