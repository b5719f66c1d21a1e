"""The insect's windows come in; its rows of the year strip are drawn: one row a stage, generations side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from handouts.charts import letters
from handouts.charts.axis import DAYS, Year
from handouts.charts.bands import PATTERNS, Pattern, Stretch, band
from handouts.charts.lanes import Option, pack
from handouts.charts.svg import BLUE, DARK, SIZE, Canvas, Run, declared, label_width
from handouts.charts.words import bases, mark_run, row_name, say
from handouts.model.records import Words
from handouts.model.season import Season, Window

STAGES = ("flight", "eggs", "caterpillars", "chrysalides")
_LANE = 13.0
_BAR = 10.0
_GAP = 4.0
_BORROWED = {
    "diapause-turn": "winter",
    "overwinter-from": "winter",
    "spring-opening": "opening",
    "hosts-ready": "opening",
    "stop-waiting": "opening",
}
_MOST_FADE = 10.0  # days of a bar's end that dissolve; a stage's first and last days are never sharp


@dataclass(frozen=True)
class Bar:
    """The stretches of one window, its pattern and its words, the longest form first; the winter bar says it twice."""

    stretches: tuple[Stretch, ...]
    pattern: Pattern
    forms: tuple[str, ...]
    windows: tuple[Window, ...]


@dataclass(frozen=True)
class Writing:
    """Where a bar's word stands, and whether it stands on the bar."""

    word: str
    places: tuple[float, ...]
    inside: bool


def draw(canvas: Canvas, year: Year, y: float, season: Season, words: Words, stretch: float) -> float:
    """Draw the four rows with their top at `y` and return where they end."""
    canvas.open("insects")
    for stage in STAGES:
        bars, unknown = bars_of(season, stage, year, words)
        if not bars and not unknown:
            continue
        y = _row(canvas, year, y, row_name(words, stage), bars, unknown, words, stretch)
    canvas.close()
    return y


def bars_of(season: Season, stage: str, year: Year, words: Words) -> tuple[list[Bar], list[str]]:
    """Return a stage's bars, and the words of its windows without dates."""
    bars: list[Bar] = []
    unknown: list[str] = []
    if stage == "chrysalides" and (winter := _winter(season, year, words)) is not None:
        bars.append(winter)
    for window in season.windows:
        kind, _, count = window.id.rpartition("-")
        if kind == stage and count == "season" and window.low is not None and window.high is not None:
            whole = tuple(year.stretches(window.low, window.high, _MOST_FADE, _MOST_FADE))
            bars.append(Bar(whole, "open", (words.windows[window.id].short,), (window,)))
        if kind != stage or not count.isdigit():
            continue
        place = int(count)
        if not window.known:
            said = words.windows[window.id].unknown
            unknown.append(said if place == 1 else f"{_ordinal(words, place)}: {said}")
            continue
        assert window.low is not None
        assert window.high is not None
        fade = min(_MOST_FADE, ((window.high - window.low).days + 1) / 4.0)
        pattern = PATTERNS[(place - 1) % len(PATTERNS)]
        stretches = tuple(year.stretches(window.low, window.high, fade, fade))
        word = _ordinal(words, place)
        forms = (f"{word} {say(words, 'chart-generation')}", word) if stage == STAGES[0] and place == 1 else (word,)
        bars.append(Bar(stretches, pattern, forms, (window,)))
    return bars, unknown


def _ordinal(words: Words, place: int) -> str:
    return say(words, f"chart-generation-{min(place, 4)}")


def _winter(season: Season, year: Year, words: Words) -> Bar | None:
    """The chrysalides that pass the winter: from the turn to the opening, over the turn of the year."""
    begin, opening = season.window("overwinter-from"), season.window("spring-opening")
    known = [window for window in (begin, opening) if window is not None and window.known]
    if not known:
        return None
    first, fade_in, last, fade_out = 0, 0, DAYS, 0
    if begin in known:
        first, _, fade_in = _places(year, begin)
    if opening in known:
        _, last, fade_out = _places(year, opening)
        if last <= first:
            last += DAYS
    stretches = year.places(first, last, fade_in, fade_out)
    return Bar(tuple(stretches), "open", (say(words, "chart-waiting"), say(words, "chart-winter")), tuple(known))


def _places(year: Year, window: Window | None) -> tuple[int, int, int]:
    """First place of a window in the year, the place after its last, and its days."""
    assert window is not None and window.low is not None and window.high is not None
    first = year.at(window.low)
    return first, year.at(window.high) + 1, (window.high - window.low).days + 1


def options(year: Year, bar: Bar, size: float = SIZE) -> list[Option[Writing]]:
    """The ways to write a bar's word: on it, right of it, left of it."""
    own = tuple((max(part.start, part.low), min(part.end, part.high)) for part in bar.stretches)
    found: list[Option[Writing]] = []
    for word in bar.forms:
        width = label_width(word, size)
        rooms = [part.whole for part in bar.stretches if part.whole[1] - part.whole[0] > width + 8.0]
        if rooms:
            places = tuple((left + right - width) / 2.0 for left, right in rooms)
            found.append(Option(own, Writing(word, places, True)))
        for x in (own[0][1] + 3.0, own[0][0] - 3.0 - width):
            if year.left <= x <= year.right - width:
                found.append(Option((*own, (x, x + width)), Writing(word, (x,), False)))
    return found or [Option(own, Writing("", (), True))]


def place(year: Year, bars: list[Bar]) -> list[tuple[int, Option[Writing]]]:
    """Put each bar into a lane; long words give way where they would cost a lane."""
    short = [replace(bar, forms=bar.forms[-1:]) for bar in bars]
    long_way, short_way = (pack([options(year, bar) for bar in way], _GAP) for way in (bars, short))
    return long_way if _lanes(long_way) <= _lanes(short_way) else short_way


def _lanes(placed: list[tuple[int, Option[Writing]]]) -> int:
    return max((lane for lane, _ in placed), default=-1) + 1


def _row(
    canvas: Canvas,
    year: Year,
    y: float,
    name: str,
    bars: list[Bar],
    unknown: list[str],
    words: Words,
    stretch: float,
) -> float:
    """Draw one stage and return where its row ends."""
    lane_height, bar_height = _LANE * stretch, _BAR * stretch
    placed = place(year, bars)
    kinds = tuple(kind for bar in bars for window in bar.windows for kind in bases(window))
    canvas.text(0.0, y + bar_height / 2.0 + 3.2, (Run(name), *mark_run(words, kinds)), bold=True, fill=BLUE)
    for bar, (lane, option) in zip(bars, placed, strict=True):
        top = y + lane * lane_height
        for part in bar.stretches:
            band(canvas, part, top, bar_height, bar.pattern)
        plate = option.what.inside and bar.pattern != "solid"
        for x in option.what.places:
            canvas.text(x, top + bar_height / 2.0 + 3.2, option.what.word, plate=plate)
    y += lane_height * _lanes(placed)
    if unknown:
        said = f"{say(words, 'chart-none')}: {'; '.join(unknown)}"
        canvas.text(year.left + 1.0, y + bar_height / 2.0 + 3.2, said, italic=True, plate=True)
        y += lane_height
    return y + 2.0


def borrowed_words(season: Season, words: Words) -> str:
    """Name every region and relative that a window was taken from, with what; empty when there is none."""
    sources: dict[str, dict[str, None]] = {}
    for window in season.windows:
        if window.known and window.proxy:
            what = _BORROWED.get(window.id, "insects")
            for name in window.proxy.split(", "):
                sources.setdefault(name, {})[say(words, f"chart-of-{what}")] = None
    said = "; ".join(f"{name} ({', '.join(what)})" for name, what in sources.items())
    return f"{say(words, 'chart-borrowed')}: {said}" if said else ""


def borrowed(canvas: Canvas, year: Year, y: float, season: Season, words: Words, size: float = SIZE) -> float:
    """Write what was borrowed below the rows, and return the drawing's height."""
    said = borrowed_words(season, words)
    if not said:
        return y + 1.0
    canvas.open("borrowed")
    for line in letters.wrap(said, size, year.right):
        y += size + 1.5
        canvas.text(0.0, y, declared(line, "name"), size=size, fill=DARK)
    canvas.close()
    return y + 4.0
