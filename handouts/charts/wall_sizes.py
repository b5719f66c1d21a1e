"""The width of a wall chart and a scale in; the sizes of its letters and lanes out, in the chart's own points."""

from __future__ import annotations

from dataclasses import dataclass

from handouts.charts import letters
from handouts.charts.svg import BLUE, PT_PER_MM, Canvas, Run, label_width
from handouts.model.times import MONTHS

LARGEST, SMALLEST, STEP = 2.0, 0.72, 0.04  # scales to try: at two, names are 36 points
LEAST = 9.0  # points on paper; no word is smaller
_NAME, _WORD, _NOTE = 18.0, 12.0, 8.0
_MONTH_AIR = 3.0
_NAME_AIR = 6.0  # between a row's name and its first bar


@dataclass(frozen=True)
class Sizes:
    """Sizes in the chart's points: of which `scale` make up one on paper."""

    width: float
    name: float
    months: float
    word: float
    note: float
    least: float

    @classmethod
    def at(cls, scale: float, width_mm: float) -> Sizes:
        """The sizes at a scale; the months' names fill their columns but are never larger than the rows' names."""
        width = width_mm * PT_PER_MM / scale
        widest = max(letters.width(name[:3], 1.0, bold=True) for name in MONTHS)
        months = min(_NAME, (width / 12.0 - _MONTH_AIR) / widest)
        least = LEAST / scale
        return cls(width, _NAME, months, max(_WORD, least), max(_NOTE, least), least)

    @property
    def head(self) -> float:
        """Where the rows begin below the months' names."""
        return 0.72 * self.months + 4.0

    @property
    def line(self) -> float:
        """From one line of notes to the next."""
        return self.note + 1.6

    @property
    def bar(self) -> float:
        """The height of a bar that holds a word."""
        return self.word + 1.0

    @property
    def lane(self) -> float:
        """From one lane of bars to the next."""
        return self.bar + 3.0

    @property
    def named(self) -> float:
        """The height of the lane that holds the row's name."""
        return self.name + 1.0

    def draw_name(self, canvas: Canvas, y: float, name: str, marks: tuple[Run, ...] = ()) -> float:
        """Write a row's name with its top at `y`, its marks small behind it, and return where bars may begin."""
        base = y + 0.78 * self.name
        end = canvas.text(0.0, base, name, size=self.name, bold=True, fill=BLUE)
        if marks:
            canvas.text(end, base - 0.35 * self.name, marks, size=self.note, fill=BLUE)
            end += label_width(marks, self.note)
        return end + _NAME_AIR

    def middle(self, top: float, height: float, size: float) -> float:
        """The baseline of letters that stand in the middle of a bar."""
        return top + height / 2.0 + 0.34 * size
