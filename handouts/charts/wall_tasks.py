"""The gardener's windows come in; their bars with words and times are laid into lanes of a wall chart and drawn."""

from __future__ import annotations

from dataclasses import dataclass

from handouts.charts import letters
from handouts.charts.axis import Year
from handouts.charts.bands import band
from handouts.charts.lanes import Option, pack_tight
from handouts.charts.strip_gardener import TASKS, Task, applies, task_of
from handouts.charts.svg import BLUE, DARK, INK, Anchor, Canvas, label_width
from handouts.charts.wall_sizes import Sizes
from handouts.charts.words import say
from handouts.model.records import Words
from handouts.model.season import Season, Window

_GAP = 8.0
_ARROW = 5.0
_AIR = 3.0


@dataclass(frozen=True)
class Placing:
    """Where a task's words stand: right or left of its bar, or below; its time behind the words or under them."""

    x: float
    anchor: Anchor
    below: bool
    under: bool
    task: Task | None


Laid = list[tuple[int, Option[Placing]]]


def laid(season: Season, year: Year, words: Words, sizes: Sizes) -> Laid:
    """Put the tasks into lanes: of times behind the words and times under them, the way that needs less height."""
    windows = [window for name in TASKS if (window := season.window(name)) is not None and applies(window)]
    known = sorted((window for window in windows if window.known), key=lambda window: _begin(window, year))
    forms = [
        [task_of(window, year, season.species, words, size=sizes.word, most=most) for most in (1.0, 0.43)]
        for window in known
    ]
    name = label_width(say(words, "chart-gardener"), sizes.name, bold=True) + 6.0
    own = [Option(((0.0, name),), Placing(0.0, "start", False, False, None))]
    ways = [
        pack_tight([own, *(_options(pair, year, sizes, first) for pair in forms)], _GAP)[1:] for first in (False, True)
    ]
    return min(ways, key=lambda way: sum(_heights(way, sizes)))


def _begin(window: Window, year: Year) -> int:
    assert window.low is not None
    return year.at(window.low)


def _words_width(task: Task, sizes: Sizes, under: bool) -> float:
    """The width of a task's words and its time."""
    *said, when = task.lines
    own = max(label_width(line, sizes.word) for line in said)
    time = label_width(when, sizes.note)
    return max(own, time) if under else max(own, label_width(said[-1], sizes.word) + _AIR + time)


def _options(forms: list[Task], year: Year, sizes: Sizes, under: bool) -> list[Option[Placing]]:
    """The places for a task's words: beside its bar on one line, with the time under them, broken, or below the bar."""
    whole, broken = forms
    tries = ((whole, True), (broken, True)) if under else ((whole, False), (whole, True), (broken, True))
    for task, stacked in tries:
        if found := _beside(task, year, sizes, stacked):
            return found
    own = _spans(whole)
    width = _words_width(whole, sizes, under)
    x = max(year.left, min(own[0][0], year.right - width))
    return [Option((*own, (x, x + width)), Placing(x, "start", True, under, whole))]


def _beside(task: Task, year: Year, sizes: Sizes, under: bool) -> list[Option[Placing]]:
    own = _spans(task)
    width = _words_width(task, sizes, under)
    right = own[0][1] + (_ARROW if task.goes_on else 0.0) + 4.0
    left = own[0][0] - 4.0
    found: list[Option[Placing]] = []
    if right <= year.right - width:
        found.append(Option((*own, (right, right + width)), Placing(right, "start", False, under, task)))
    if left >= year.left + width:
        found.append(Option((*own, (left - width, left)), Placing(left, "end", False, under, task)))
    return found


def _spans(task: Task) -> tuple[tuple[float, float], ...]:
    return tuple((max(part.start, part.low), min(part.end, part.high)) for part in task.stretches)


def _heights(way: Laid, sizes: Sizes) -> list[float]:
    """The height of each lane."""
    lanes = [sizes.named] + [0.0] * max((lane for lane, _ in way), default=0)
    for lane, option in way:
        placing = option.what
        if placing.task is not None:
            said = len(placing.task.lines) - 1 + placing.below
            height = said * (sizes.word + 1.5) + (sizes.line if placing.under else 0.0) + 2.5
            lanes[lane] = max(lanes[lane], height)
    return lanes


def draw(
    canvas: Canvas, year: Year, y: float, way: Laid, season: Season, words: Words, sizes: Sizes, stretch: float
) -> float:
    """Draw the tasks with their top at `y` and return where they end."""
    canvas.open("gardener")
    sizes.draw_name(canvas, y, say(words, "chart-gardener"))
    for at, height in enumerate(_heights(way, sizes)):
        for lane, option in way:
            if lane == at:
                _draw_task(canvas, year, y + (sizes.named - sizes.lane if at == 0 else 0.0), option.what, sizes)
        y += height + 3.0 * (stretch - 1.0)
    unknown = [
        f"{words.windows[window.id].short}: {words.windows[window.id].unknown}"
        for name in TASKS
        if (window := season.window(name)) is not None and applies(window) and not window.known
    ]
    if unknown:
        y += sizes.line
        canvas.text(year.left, y - 2.0, f"{say(words, 'chart-none')}:", size=sizes.note, italic=True, plate=True)
        for text in unknown:
            for line in letters.wrap(text, sizes.note, year.right - year.left):
                y += sizes.line
                canvas.text(year.left, y - 2.0, line, size=sizes.note, plate=True)
    canvas.close()
    return y + 1.0


def _draw_task(canvas: Canvas, year: Year, top: float, placing: Placing, sizes: Sizes) -> None:
    task = placing.task
    assert task is not None
    height = 0.8 * sizes.word
    for part in task.stretches:
        band(canvas, part, top + 1.0, height, "solid", fill=BLUE)
    end = task.stretches[0].end
    if task.goes_on and end < year.right - 4.0:
        middle = top + 1.0 + height / 2.0
        canvas.path(
            f"M{end + 1:.2f} {top + 1:.2f}L{end + 4.5:.2f} {middle:.2f}L{end + 1:.2f} {top + 1 + height:.2f}",
            stroke=BLUE,
            weight=1.2,
        )
    *said, when = task.lines
    base = top + 0.83 * sizes.word + (sizes.word + 1.5 if placing.below else 0.0)
    time = label_width(when, sizes.note)
    for at, line in enumerate(said):
        x = placing.x
        if at == len(said) - 1 and not placing.under:
            if placing.anchor == "end":
                canvas.text(x, base, when, size=sizes.note, anchor="end", fill=DARK, plate=True)
                x -= time + _AIR
            else:
                canvas.text(
                    x + label_width(line, sizes.word) + _AIR, base, when, size=sizes.note, fill=DARK, plate=True
                )
        canvas.text(x, base, line, size=sizes.word, anchor=placing.anchor, fill=INK, plate=True)
        base += sizes.word + 1.5
    if placing.under:
        base += sizes.line - sizes.word - 1.5
        canvas.text(placing.x, base, when, size=sizes.note, anchor=placing.anchor, fill=DARK, plate=True)
