"""Freeze dates come in; the frost row of a wall chart is drawn: its name, both medians, and the band below them."""

from __future__ import annotations

from handouts.charts import letters
from handouts.charts.axis import DAYS, FrostBasis, Frosts, Year, basis_of
from handouts.charts.bands import Stretch, band
from handouts.charts.strip_frost import freeze_claim, places
from handouts.charts.svg import INK, Canvas, Label, Run, label_width
from handouts.charts.wall_sizes import Sizes
from handouts.charts.words import mark_run, say
from handouts.model.records import Words

_ARROW = 5.0


def draw(canvas: Canvas, year: Year, y: float, frosts: Frosts, words: Words, basis: FrostBasis, sizes: Sizes) -> float:
    """Draw the row with its top at `y` and return where it ends."""
    canvas.open("frost")
    name = sizes.draw_name(canvas, y, say(words, "chart-frost"))
    if not frosts:
        end = _unknown(canvas, year, y, name, words, sizes)
        canvas.close()
        return end
    labels = [_label(side, frosts, words, basis) for side in ("last", "first")]
    marks = [year.x(places(year, frosts[side])[1]) if side in frosts else None for side in ("last", "first")]
    widths = [label_width(label, sizes.note) for label in labels]
    above = _starts(marks, widths, name, year.right)
    top = y + sizes.named + _ARROW - 2.0
    band_end = _bands(canvas, year, top, frosts, words, sizes)
    if above is not None:
        starts, base, tip = above, top - _ARROW - 1.5, top - 0.5
    else:
        starts = _starts(marks, widths, year.left, year.right) or [year.left, year.right - widths[1]]
        base, tip = band_end + _ARROW + 0.78 * sizes.note, band_end + 0.5
    for label, start, mark in zip(labels, starts, marks, strict=True):
        canvas.text(start, base, label, size=sizes.note, plate=True)
        if mark is not None and year.left < mark < year.right:
            down = tip < top
            canvas.path(f"M{mark:.2f} {tip:.2f}l-2.6 {-4.4 if down else 4.4}h5.2Z", fill=INK)
    canvas.close()
    return band_end if above is not None else base + 3.0


def _label(side: str, frosts: Frosts, words: Words, basis: FrostBasis) -> Label:
    if side not in frosts:
        return say(words, f"chart-{side}-unknown")
    kind = basis_of(basis, side)
    claim = freeze_claim(side, 50, sorted(frosts[side])[1], kind)
    return [Run(f"{say(words, f'chart-{side}-freeze')} "), Run(claim.shown, claim), *mark_run(words, (kind,))]


def _starts(marks: list[float | None], widths: list[float], left: float, right: float) -> list[float] | None:
    """Where both labels begin, near their marks and apart; None when the room between `left` and `right` is short."""
    if left + sum(widths) + 8.0 > right:
        return None
    ends = (left, right - widths[1])
    wanted = [
        mark - width / 2.0 if mark is not None else end for mark, width, end in zip(marks, widths, ends, strict=True)
    ]
    first = min(max(wanted[0], left), right - widths[1] - 8.0 - widths[0])
    second = max(min(wanted[1], right - widths[1]), first + widths[0] + 8.0)
    return [first, second]


def _bands(canvas: Canvas, year: Year, top: float, frosts: Frosts, words: Words, sizes: Sizes) -> float:
    """Draw the bands with their words and return where they end."""
    height = sizes.bar + 2.0
    base = sizes.middle(top, height, sizes.word)
    gaps = {"last": year.left, "first": year.right}
    for side in frosts:
        early, _, late = places(year, frosts[side])
        first, last = (0.0, late) if side == "last" else (early, float(DAYS))
        fade = (late - early) * year.per_day
        fades = (0.0, fade) if side == "last" else (fade, 0.0)
        whole = Stretch(year.x(first), year.x(last), *fades, year.left, year.right)
        band(canvas, whole, top, height, "solid")
        left, right = whole.whole
        word = say(words, "chart-frost-likely")
        if right - left > label_width(word, sizes.word) + 4.0:
            canvas.text((left + right) / 2.0, base, word, size=sizes.word, anchor="middle")
        gaps[side] = year.x(last if side == "last" else first)
    word = say(words, "chart-frost-unlikely")
    if len(frosts) == 2 and gaps["first"] - gaps["last"] > label_width(word, sizes.word) + 6.0:
        canvas.text((gaps["first"] + gaps["last"]) / 2.0, base, word, size=sizes.word, anchor="middle")
    return top + height


def _unknown(canvas: Canvas, year: Year, y: float, name: float, words: Words, sizes: Sizes) -> float:
    """Say that the freezes are not known and leave two boxes to write them in."""
    for at, line in enumerate(letters.wrap(say(words, "chart-frost-unknown"), sizes.note, year.right - name)):
        canvas.text(name, y + (at + 1) * sizes.line, line, size=sizes.note, italic=True, plate=True)
    half = (year.right - year.left) / 2.0
    top = y + sizes.named + 3.0
    height = sizes.name
    for at, side in enumerate(("last", "first")):
        x = year.left + at * half
        base = sizes.middle(top, height, sizes.note)
        used = canvas.text(x, base, say(words, f"chart-my-{side}"), size=sizes.note, plate=True)
        canvas.rect(x + used + 4.0, top, half - used - 12.0, height, fill="#ffffff", stroke=INK, weight=0.6)
    return top + height + 1.0
