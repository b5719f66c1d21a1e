"""A stretch of time in points and a pattern come in; a band with dissolving ends is drawn.

A band has no hard end where a date is not sharp: its stripes grow thin, its hatching and dots grow sparse. All of it
is plain path data, so that every renderer draws the same and nothing refers to anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from handouts.charts.svg import DARK, INK, TINT, Canvas, number

Pattern = Literal["solid", "hatch", "dots", "open", "back"]
PATTERNS: tuple[Pattern, ...] = ("solid", "hatch", "dots", "back")
_STRIPE = 2.4  # points from one stripe of a dissolving end to the next
_STEP = {"hatch": 3.2, "back": 3.2, "dots": 2.6}


@dataclass(frozen=True)
class Stretch:
    """From `start` to `end` in points along the time axis; the first and last so many points dissolve.

    `low` and `high` are the ends of the paper: what lies outside is not drawn, and an end that is cut there stays
    open.
    """

    start: float
    end: float
    fade_in: float
    fade_out: float
    low: float
    high: float

    def openness(self, x: float) -> float:
        """0 where the band is whole, rising to 1 at a dissolving end."""
        into = 1.0 - (x - self.start) / self.fade_in if self.fade_in > 0 else 0.0
        out = 1.0 - (self.end - x) / self.fade_out if self.fade_out > 0 else 0.0
        return min(1.0, max(into, out, 0.0))

    @property
    def whole(self) -> tuple[float, float]:
        """The part that does not dissolve, on the paper; empty when the first is not below the second."""
        return max(self.start + self.fade_in, self.low), min(self.end - self.fade_out, self.high)

    @property
    def seen(self) -> tuple[float, float]:
        """The part on the paper."""
        return max(self.start, self.low), min(self.end, self.high)


def band(
    canvas: Canvas, stretch: Stretch, y: float, height: float, pattern: Pattern, *, fill: str = TINT, ink: str = INK
) -> None:
    """Draw a band with its top at `y`."""
    left, right = stretch.seen
    if right <= left:
        return
    if pattern == "solid":
        canvas.path(_solid(stretch, y, height), fill=fill)
    elif pattern == "dots":
        canvas.path(_dots(stretch, y, height), stroke=ink, weight=1.2, cap="round")
    elif pattern != "open":
        canvas.path(_hatch(stretch, y, height, back=pattern == "back"), stroke=ink, weight=0.5)
    canvas.path(_edges(stretch, y, height), stroke=ink if pattern != "solid" else DARK, weight=0.6)


def _solid(stretch: Stretch, y: float, height: float) -> str:
    first, last = stretch.whole
    boxes = [(first, last)] if last > first else []
    boxes += list(_stripes(stretch))
    return "".join(f"M{number(a)} {number(y)}H{number(b)}V{number(y + height)}H{number(a)}Z" for a, b in boxes)


def _stripes(stretch: Stretch) -> Iterator[tuple[float, float]]:
    """The stripes of both dissolving ends, broad at the whole part, thin at the end."""
    first, last = stretch.start + stretch.fade_in, stretch.end - stretch.fade_out
    for origin, length, sign in ((first, stretch.fade_in, -1), (last, stretch.fade_out, 1)):
        for place in range(int(length / _STRIPE)):
            share = 1.0 - (place + 0.5) * _STRIPE / length
            near = origin + sign * (place + 1.0 - 0.85 * share) * _STRIPE
            far = origin + sign * (place + 1.0) * _STRIPE
            a, b = sorted((near, far))
            if a >= stretch.low and b <= stretch.high:
                yield a, b


def _places(stretch: Stretch, step: float) -> Iterator[float]:
    """Places along the band: `step` apart where it is whole, up to two and a half toward a dissolving end."""
    x = stretch.start + step / 2.0
    while x < stretch.end:
        if stretch.low <= x <= stretch.high:
            yield x
        x += step * (1.0 + 1.6 * stretch.openness(x))


def _hatch(stretch: Stretch, y: float, height: float, *, back: bool) -> str:
    left, right = stretch.seen
    lines = []
    for x in _places(stretch, _STEP["hatch"]):
        half = min(height / 2.0, x - left, right - x)
        if half > 0.4:
            a, b = (x + half, x - half) if back else (x - half, x + half)
            middle = y + height / 2.0
            lines.append(f"M{number(a)} {number(middle + half)}L{number(b)} {number(middle - half)}")
    return "".join(lines)


def _dots(stretch: Stretch, y: float, height: float) -> str:
    rows = (0.22, 0.78), (0.5,)
    return "".join(
        f"M{number(x)} {number(y + height * part)}h0.01"
        for at, x in enumerate(_places(stretch, _STEP["dots"]))
        for part in rows[at % 2]
    )


def _edges(stretch: Stretch, y: float, height: float) -> str:
    """The long edges: whole lines along the whole part, dashes along a dissolving end; sharp ends are closed."""
    first, last = stretch.whole
    spans = [(first, last)] if last > first else []
    spans += list(_stripes(stretch))
    data = "".join(f"M{number(a)} {number(edge)}H{number(b)}" for a, b in spans for edge in (y, y + height))
    for end, fade in ((stretch.start, stretch.fade_in), (stretch.end, stretch.fade_out)):
        if fade <= 0 and stretch.low < end < stretch.high:
            data += f"M{number(end)} {number(y)}V{number(y + height)}"
    return data
