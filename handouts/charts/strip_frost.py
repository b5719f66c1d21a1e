"""Freeze dates come in; the frost row of the year strip is drawn: likely, possible, unlikely, with the medians."""

from __future__ import annotations

from datetime import date

from handouts.charts.axis import DAYS, FrostBasis, Frosts, Year, basis_of, day_words
from handouts.charts.bands import Stretch, band
from handouts.charts.svg import BLUE, INK, Canvas, Label, Run, label_width
from handouts.charts.words import mark_run, say
from handouts.model.document import Claim
from handouts.model.records import Words

_BAND = 13.0
_LINE = 11.0


def freeze_claim(side: str, percent: int, day: date, basis: str, chart: str = "chart", short: bool = False) -> Claim:
    """Return the claim of a freeze date that a chart shows; `short` cuts the month's name."""
    when = "on this date or later" if side == "last" else "by this date"
    outer = ("late", "early") if side == "last" else ("early", "late")
    name = {10: outer[0], 50: "median", 90: outer[1]}[percent]
    return Claim(
        f"place.{side}-freeze.p{percent}|{chart}",
        day_words(day, short),
        day.isoformat(),
        None,
        basis,
        label=f"{name} {side} freeze",
        detail=f"chance {percent} percent that it freezes {when}",
    )


def draw(
    canvas: Canvas, year: Year, y: float, frosts: Frosts, words: Words, basis: FrostBasis, stretch: float
) -> float:
    """Draw the row with its top at `y` and return where it ends."""
    canvas.open("frost")
    height = _BAND * stretch
    canvas.text(0.0, y + height / 2.0 + 3.2, say(words, "chart-frost"), bold=True, fill=BLUE)
    if not frosts:
        end = _unknown(canvas, year, y, words)
        canvas.close()
        return end
    middle = y + height / 2.0 + 3.2
    gaps: dict[str, float] = {}
    for side in ("last", "first"):
        if side not in frosts:
            continue
        early, median, late = places(year, frosts[side])
        first, last = (0.0, late) if side == "last" else (early, float(DAYS))
        fade = (late - early) * year.per_day
        whole = Stretch(
            year.x(first),
            year.x(last),
            fade if side == "first" else 0.0,
            fade if side == "last" else 0.0,
            year.left,
            year.right,
        )
        band(canvas, whole, y, height, "solid")
        left, right = whole.whole
        word = say(words, "chart-frost-likely")
        if right - left > label_width(word) + 6.0:
            canvas.text((left + right) / 2.0, middle, word, anchor="middle")
        gaps[side] = year.x(last if side == "last" else first)
        x = year.x(median)
        if year.left < x < year.right:
            bottom = y + height
            canvas.path(f"M{x:.2f} {bottom + 0.5:.2f}l-2.6 4.4h5.2Z", fill=INK)
    left, right = gaps.get("last", year.left), gaps.get("first", year.right)
    word = say(words, "chart-frost-unlikely")
    if len(gaps) == 2 and right - left > label_width(word) + 6.0:
        canvas.text((left + right) / 2.0, middle, word, anchor="middle")
    end = _labels(canvas, year, y + height + 4.6 + 8.0, frosts, words, basis)
    canvas.close()
    return end


def places(year: Year, days: tuple[date, date, date]) -> tuple[float, float, float]:
    """The three places of a freeze in the year in order; the outer ones may lie outside the year."""
    early, median, late = sorted(days)
    middle = year.at(median) + 0.5
    return middle - (median - early).days, middle, middle + (late - median).days


def _labels(canvas: Canvas, year: Year, y: float, frosts: Frosts, words: Words, basis: FrostBasis) -> float:
    """Write both medians under their marks, on one line where both fit, else on two."""
    possible = say(words, "chart-frost-possible")
    labels: list[tuple[float, list[Label]]] = []
    for side in ("last", "first"):
        if side in frosts:
            median = sorted(frosts[side])[1]
            kind = basis_of(basis, side)
            claim = freeze_claim(side, 50, median, kind)
            lead = f"{say(words, f'chart-{side}-freeze')} "
            figure = [Run(claim.shown, claim), *mark_run(words, (kind,))]
            two: list[Label] = [possible, [Run(lead), *figure]]
            labels.append((year.x(year.at(median) + 0.5), [[Run(f"{possible}, {lead}"), *figure], *two]))
        else:
            said = say(words, f"chart-{side}-unknown")
            labels.append((year.left if side == "last" else year.right, [said, said]))
    one = [(at, lines[:1]) for at, lines in labels]
    if sum(label_width(lines[0]) for _, lines in one) + 12.0 > year.right - year.left or not _near(year, one):
        one = [(at, lines[1:]) for at, lines in labels]
    starts = _starts(year, one)
    for start, (_, lines) in zip(starts, one, strict=True):
        wide = max(label_width(line) for line in lines)
        for at, line in enumerate(lines):
            canvas.text(start + wide / 2.0, y + at * _LINE, line, anchor="middle")
    return y + (max(len(lines) for _, lines in one) - 1) * _LINE + 3.0


def _starts(year: Year, labels: list[tuple[float, list[Label]]]) -> list[float]:
    """Where the two labels begin: under their marks, on the paper, and apart from each other."""
    widths = [max(label_width(line) for line in lines) for _, lines in labels]
    starts = [
        min(max(at - width / 2.0, year.left + 1.0), year.right - width)
        for (at, _), width in zip(labels, widths, strict=True)
    ]
    meet = starts[0] + widths[0] + 10.0 - starts[1]
    if meet > 0:
        starts[0] = max(year.left + 1.0, starts[0] - meet / 2.0)
        starts[1] = min(starts[0] + widths[0] + 10.0, year.right - widths[1])
    return starts


def _near(year: Year, labels: list[tuple[float, list[Label]]]) -> bool:
    """Whether each label still stands over or beside its own mark and the two keep apart."""
    starts = _starts(year, labels)
    widths = [max(label_width(line) for line in lines) for _, lines in labels]
    if starts[0] + widths[0] + 16.0 > starts[1]:
        return False
    return all(
        start - 8.0 <= at <= start + width + 8.0 for start, width, (at, _) in zip(starts, widths, labels, strict=True)
    )


def _unknown(canvas: Canvas, year: Year, y: float, words: Words) -> float:
    """Say that the freezes are not known and leave two lines to write them on."""
    canvas.text(year.left + 1.0, y + 9.0, say(words, "chart-frost-unknown"), italic=True)
    half = (year.right - year.left) / 2.0
    for at, side in enumerate(("last", "first")):
        x = year.left + 1.0 + at * half
        width = canvas.text(x, y + 25.0, say(words, f"chart-my-{side}"))
        canvas.line([(x + width + 4.0, y + 26.5), (x + half - 14.0, y + 26.5)], stroke=INK, weight=0.6)
    return y + 30.0
