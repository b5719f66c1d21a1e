"""Day length comes in; its row of the year strip is drawn: the curve, the longest day, the turn to winter rest."""

from __future__ import annotations

from datetime import date

from handouts.charts.axis import DAYS, DayLength, Year, day_words, duration_words
from handouts.charts.bands import Stretch
from handouts.charts.svg import BLUE, DARK, INK, Canvas, Run, label_width, number, polyline
from handouts.charts.words import bases, mark_run, say
from handouts.model.document import Claim
from handouts.model.records import Words
from handouts.model.season import Window

PLOT = 32.0
_STEP = 4  # days between two points of the curve
_LEAST_RANGE = 360.0  # minutes from bottom to top at least, so that a flat year near the equator looks flat
ROUGH = 5  # minutes to which the hours of the turn are rounded: its days are not sharp


class Curve:
    """Day length over a season year, drawn between `top` and `bottom`; asked for every few days, straight between."""

    def __init__(self, year: Year, day_length: DayLength, top: float, bottom: float) -> None:
        self.year, self.top, self.bottom = year, top, bottom
        self._places = [*range(0, DAYS - 1, _STEP), DAYS - 1]
        self._minutes = [day_length(year.day(place)) for place in self._places]
        self.longest, self.most = self._extreme(day_length, 1.0)
        self.shortest, self.least = self._extreme(day_length, -1.0)
        spare = max(0.0, _LEAST_RANGE - (self.most - self.least)) / 2.0
        self.low, self.high = self.least - spare - 40.0, self.most + spare

    def _extreme(self, day_length: DayLength, sign: float) -> tuple[int, float]:
        """The place of the longest (`sign` 1) or shortest (-1) day and its minutes."""
        at = max(range(len(self._places)), key=lambda index: sign * self._minutes[index])
        middle = self._places[at]
        near = range(max(0, middle - _STEP + 1), min(DAYS, middle + _STEP))
        minutes = {place: day_length(self.year.day(place)) for place in near}
        best = max(near, key=lambda place: sign * minutes[place])
        return best, minutes[best]

    def y(self, minutes: float) -> float:
        """Points from the top for a day length."""
        return self.bottom - (minutes - self.low) / (self.high - self.low) * (self.bottom - self.top)

    def at(self, place: float) -> float:
        """The height of the curve at a place of the year."""
        spot = min(max(place, 0.0), DAYS - 1.0)
        index = min(int(spot / _STEP), len(self._places) - 2)
        first, last = self._places[index], self._places[index + 1]
        share = (spot - first) / (last - first)
        return self.y(self._minutes[index] * (1.0 - share) + self._minutes[index + 1] * share)

    def points(self) -> list[tuple[float, float]]:
        """The curve as points."""
        pairs = zip(self._places, self._minutes, strict=True)
        return [(self.year.x(place + 0.5), self.y(minutes)) for place, minutes in pairs]


def length_claim(day: date, minutes: float, step: int = 1, suffix: str = "") -> Claim:
    """Return the claim of a day length, rounded to `step` minutes."""
    return Claim(
        f"place.day-length.{day.month:02}-{day.day:02}{suffix}",
        duration_words(minutes, step),
        round(minutes, 1),
        "min",
        "derived",
        parents=("place.latitude",),
        label=f"day length on {day_words(day)}",
        detail="from sunrise to sunset" + (f", rounded to {step} minutes" if step > 1 else ""),
    )


def turn_hatch(curve: Curve, stretch: Stretch) -> str:
    """Return upright lines under the curve, close in the middle of the turn and sparse at its ends."""
    data, x = "", stretch.start + 1.0
    while x < stretch.end:
        if stretch.low <= x <= stretch.high:
            top = curve.at((x - curve.year.left) / curve.year.per_day)
            data += f"M{number(x)} {number(curve.bottom)}V{number(top)}"
        x += 1.9 * (1.0 + 2.0 * stretch.openness(x))
    return data


def draw(
    canvas: Canvas,
    year: Year,
    y: float,
    day_length: DayLength | None,
    turn: Window | None,
    words: Words,
    stretch: float,
) -> float:
    """Draw the row with its top at `y` and return where it ends."""
    canvas.open("day-length")
    if day_length is None:
        canvas.text(0.0, y + 9.0, say(words, "chart-light"), bold=True, fill=BLUE)
        canvas.text(year.left + 1.0, y + 9.0, say(words, "chart-light-unknown"), italic=True)
        canvas.close()
        return y + 13.0
    top = y + 22.0
    curve = Curve(year, day_length, top, top + PLOT * stretch)
    canvas.text(0.0, (top + curve.bottom) / 2.0 + 3.0, say(words, "chart-light"), bold=True, fill=BLUE)
    canvas.line([(year.left, curve.bottom), (year.right, curve.bottom)], stroke=DARK, weight=0.5)
    claim = length_claim(year.day(curve.longest), curve.most)
    peak = [Run(f"{say(words, 'chart-longest')} "), Run(claim.shown, claim), *mark_run(words, (claim.basis,))]
    middle = year.x(curve.longest + 0.5)
    if turn is not None and turn.known:
        middle = min(middle, _turn(canvas, curve, turn, day_length, words) - label_width(peak) / 2.0 - 5.0)
    canvas.path(polyline(curve.points()), stroke=INK, weight=1.2)
    half = label_width(peak) / 2.0
    middle = max(min(middle, year.right - half), year.left + half + 2.0)
    canvas.text(middle, curve.bottom - 6.0, peak, anchor="middle", plate=True)
    canvas.close()
    return curve.bottom + 1.0


def turn_label(turn: Window, day_length: DayLength, words: Words) -> tuple[list[Run], list[Run]]:
    """Return the two lines that name the turn and its day lengths, long to short."""
    assert turn.low is not None
    assert turn.high is not None
    claims = [length_claim(day, day_length(day), ROUGH, "|turn") for day in (turn.low, turn.high)]
    name = [Run(words.windows[turn.id].short), *mark_run(words, bases(turn))]
    lengths = [
        Run(f"{say(words, 'chart-days-from')} "),
        Run(claims[0].shown, claims[0]),
        Run(f" {say(words, 'chart-days-to')} "),
        Run(claims[1].shown, claims[1]),
    ]
    return name, lengths


def _turn(canvas: Canvas, curve: Curve, turn: Window, day_length: DayLength, words: Words) -> float:
    """Hatch the turn under the curve, write its name and hours above, and return where the hatching begins."""
    assert turn.low is not None
    assert turn.high is not None
    year = curve.year
    half = ((turn.high - turn.low).days + 1) / 2.0
    stretches = year.stretches(turn.low, turn.high, half, half)
    for stretch in stretches:
        canvas.path(turn_hatch(curve, stretch), stroke=BLUE, weight=0.7)
    name, lengths = turn_label(turn, day_length, words)
    wide = max(label_width(name), label_width(lengths))
    start, end = stretches[0].start, stretches[0].end
    foot = (start + end) / 2.0
    x = min(foot - 4.0, year.right - wide)
    canvas.text(x, curve.top - 14.5, name)
    canvas.text(x, curve.top - 4.0, lengths)
    at = curve.at((foot - year.left) / year.per_day)
    canvas.line([(foot, at - 1.5), (foot, curve.top - 1.0)], stroke=BLUE, weight=0.6)
    return start
