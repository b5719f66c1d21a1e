"""The gardener's windows come in; their marks with words and times are drawn into lanes where nothing collides."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from handouts.charts import letters
from handouts.charts.axis import Year, part_words
from handouts.charts.bands import Stretch, band
from handouts.charts.lanes import Option, pack_tight
from handouts.charts.svg import BLUE, DARK, INK, SIZE, Anchor, Canvas, Run, label_width
from handouts.charts.words import bases, mark_run, say
from handouts.model.document import Claim
from handouts.model.records import Words
from handouts.model.season import Season, Window

TASKS = ("hosts-ready", "to-warmth", "stop-waiting", "last-release", "overwinter-from", "to-cold-by")
_LEAD = 14  # days before a "by" and after a "from" that are drawn whole, to show which way the time is open
_BAR = 8.0
_LINE = 10.5
_GAP = 12.0  # so that words stand nearer to their own bar than to any other
_ARROW = 5.0


@dataclass(frozen=True)
class Task:
    """A window of the gardener as it is drawn: its stretches, whether it goes on, and its lines of words."""

    window: Window
    stretches: tuple[Stretch, ...]
    goes_on: bool
    lines: tuple[tuple[Run, ...], ...]

    @property
    def width(self) -> float:
        """The width of the widest line."""
        return max(label_width(line) for line in self.lines)


@dataclass(frozen=True)
class Placing:
    """Where a task's words begin, or end when they stand left of the bar; `below` moves them under it."""

    x: float
    anchor: Anchor
    below: bool = False


def applies(window: Window) -> bool:
    """Whether a window can ever have dates for this species: winter tasks are not for those that leave or hide."""
    return not window.absent


def when_claim(window: Window, species: str, says: str) -> Claim:
    """Return the claim of a window in thirds of months: "by about early May"."""
    assert window.low is not None
    assert window.high is not None
    middle = window.mid or window.low + (window.high - window.low) / 2
    low, high = part_words(window.low), part_words(window.high)
    shown = {
        "span": f"in {low}" if low == high else f"from {low} to {high}",
        "from": f"from about {part_words(middle)}",
        "by": f"by about {part_words(middle)}",
        "by-first": f"by about {part_words(window.said_by(says) or middle)}",
        "in": f"in about {part_words(middle)}",
    }[says]
    return Claim(
        f"season.{species}.{window.id}|chart",
        shown,
        {"low": window.low.isoformat(), "mid": middle.isoformat(), "high": window.high.isoformat()},
        None,
        window.basis,
        references=tuple(item for item in window.inputs if "#" in item),
        parents=tuple(item for item in window.inputs if "#" not in item),
        proxy=window.proxy,
        label=window.label,
        detail=window.note,
    )


def task_of(
    window: Window, year: Year, species: str, words: Words, times: bool = True, size: float = SIZE, most: float = 0.43
) -> Task:
    """Return a dated window ready to draw; without `times` its words alone, with their marks.

    Words of `size` are broken into lines that take at most the share `most` of the year's width.
    """
    assert window.low is not None
    assert window.high is not None
    said = words.windows[window.id]
    stretches = _stretches(window.low, window.high, said.says, year)
    claim = when_claim(window, species, said.says)
    room = (year.right - year.left) * most
    lines: list[tuple[Run, ...]] = [(Run(line),) for line in letters.wrap(said.short, size, room)]
    marks = mark_run(words, bases(window))
    if times:
        lines.append((Run(claim.shown, claim), *marks))
    else:
        lines[-1] = (*lines[-1], *marks)
    return Task(window, tuple(stretches), said.says == "from", tuple(lines))


def _stretches(low: date, high: date, says: str, year: Year) -> list[Stretch]:
    """A "by" or "by-first" dissolves to the right, a "from" from the left, an "in" to both sides."""
    days = (high - low).days + 1
    lead = timedelta(days=_LEAD)
    if says in ("by", "by-first"):
        return year.stretches(low - lead, high, 0.0, days)
    if says == "from":
        return year.stretches(low, high + lead, days, 0.0)
    return year.stretches(low, high, days / 2.0, days / 2.0)


def draw(canvas: Canvas, year: Year, y: float, season: Season, words: Words, stretch: float, times: bool) -> float:
    """Draw the tasks with their top at `y` and return where they end; `times` adds when in words."""
    canvas.open("gardener")
    canvas.text(0.0, y + 7.5, say(words, "chart-gardener"), bold=True, fill=BLUE)
    windows = [window for name in TASKS if (window := season.window(name)) is not None and applies(window)]
    tasks = [task_of(window, year, season.species, words, times) for window in windows if window.known]
    y = _tasks(canvas, year, y, sorted(tasks, key=lambda task: task.stretches[0].start), stretch)
    unknown = [
        f"{words.windows[window.id].short}: {words.windows[window.id].unknown}"
        for window in windows
        if not window.known
    ]
    if unknown:
        canvas.text(year.left + 1.0, y + 7.5, f"{say(words, 'chart-none')}:", italic=True, plate=True)
        y += 11.0
        for text in unknown:
            canvas.path(f"M{year.left + 3:.2f} {y + 4.6:.2f}h3", stroke=INK, weight=0.9)
            for line in letters.wrap(text, SIZE, year.right - year.left - 12.0):
                canvas.text(year.left + 9.0, y + 7.5, line, plate=True)
                y += 11.0
    canvas.close()
    return y + 1.0


def _options(task: Task, year: Year) -> list[Option[Placing]]:
    """The places for a task's words: right of its bar, left of it, and below it where neither side has room."""
    own = tuple((max(part.start, part.low), min(part.end, part.high)) for part in task.stretches)
    right = own[0][1] + (_ARROW if task.goes_on else 0.0) + 4.0
    left = own[0][0] - 4.0
    found: list[Option[Placing]] = []
    if right <= year.right - task.width:
        found.append(Option((*own, (right, right + task.width)), Placing(right, "start")))
    if left >= year.left + task.width:
        found.append(Option((*own, (left - task.width, left)), Placing(left, "end")))
    x = max(year.left, min(own[0][0], year.right - task.width))
    return found or [Option((*own, (x, x + task.width)), Placing(x, "start", below=True))]


def _tasks(canvas: Canvas, year: Year, y: float, tasks: list[Task], stretch: float) -> float:
    """Draw the tasks in as few lanes as their words allow and return where they end."""
    placed = pack_tight([_options(task, year) for task in tasks], _GAP)
    for lane in range(max((lane for lane, _ in placed), default=-1) + 1):
        lines = 0
        for task, (here, option) in zip(tasks, placed, strict=True):
            if here == lane:
                _draw_task(canvas, task, option.what, y, year)
                lines = max(lines, len(task.lines) + (1 if option.what.below else 0))
        y += lines * _LINE + 4.0 * stretch
    return y


def _draw_task(canvas: Canvas, task: Task, placing: Placing, top: float, year: Year) -> None:
    for part in task.stretches:
        band(canvas, part, top, _BAR, "solid", fill=BLUE)
    end = task.stretches[0].end
    if task.goes_on and end < year.right - 4.0:
        middle = top + _BAR / 2.0
        canvas.path(
            f"M{end + 1:.2f} {top:.2f}L{end + 4.5:.2f} {middle:.2f}L{end + 1:.2f} {top + _BAR:.2f}",
            stroke=BLUE,
            weight=1.2,
        )
    for at, line in enumerate(task.lines):
        last = at == len(task.lines) - 1 and line[0].claim is not None
        base = top + 7.2 + (at + placing.below) * _LINE
        canvas.text(placing.x, base, line, anchor=placing.anchor, fill=DARK if last else INK, plate=True)
