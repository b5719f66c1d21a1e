"""The calendar poster: twelve months of one place, or weeks from the reader's own frosts with boxes to write in."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.pictures import chart_block
from handouts.model.document import Block, Claim, Document, Para, Runs, Slot, Table, Text
from handouts.model.records import Plan
from handouts.model.season import Season, Task, Window
from handouts.model.times import MONTHS, Offset
from handouts.season.sun import DEFINITION, Event, day_length

STAGES = ("flight", "caterpillars", "chrysalides")
# On these the source list gives names only.
SMALL = ("letter", "a4")
# Sheet (upright) -> width of the strip between the margins and the height it may take, in mm.
STRIPS = {"tabloid": (249.4, 192.0), "a3": (267.0, 180.0), "letter": (189.9, 90.0), "a4": (184.0, 104.0)}

# The table of weeks, with its boxes to write in, needs more room than that of months.
WEEKS_SHARE = 0.85


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the poster of a plan's species; without dates it becomes the sheet of weeks."""
    setting, library = composer.setting, composer.library
    species = library.subject(setting.species)
    composer.subjects.update(dict.fromkeys([species.id, *plan.subjects]))
    season = setting.season_of(setting.species, setting.year)
    dated = setting.profile.latitude is not None or setting.profile.freeze_day("last", setting.year) is not None
    width, height = STRIPS.get(setting.paper, STRIPS["letter"])
    height *= setting.strip * (1.0 if dated else WEEKS_SHARE)
    body: list[Block] = [
        chart_block(composer, "year-strip", width_mm=width, height_mm=height, wall=True),
        _months(composer, season, plan) if dated else _weeks(composer, season, plan),
    ]
    cautions = caution_slot(
        composer, tuple(body), plan.cautions, length="short", brief="names" if setting.paper in SMALL else "titles"
    )
    where = shared.where(composer)
    if dated:
        lead: Runs = (Text(f"{library.say('the-year')} "), *composer.const(str(setting.year), "event"), Text(" "))
    else:
        lead = (Text(f"{library.say('the-year-in-weeks')}, "),)
    assert isinstance(where[0], Text)
    return finish(
        composer,
        kind="poster",
        topic=plan.id,
        title=f"{species.names.common[:1].upper()}{species.names.common[1:]}",
        subtitle=(*lead, Text(where[0].text[:1].lower() + where[0].text[1:]), *where[1:]),
        body=tuple(body),
        cautions=cautions,
        brief="names" if setting.paper in SMALL else "titles",
        plan=plan,
    )


def _months(composer: Composer, season: Season, plan: Plan) -> Slot:
    """The real table under the strip: a month a row, so that it can be read aloud and words need not be broken."""
    library, profile = composer.library, composer.setting.profile
    order = list(range(1, 13)) if (profile.latitude or 0) >= 0 else [*range(7, 13), *range(1, 7)]
    tasks = [window for window in season.windows if window.known and _row(composer, window) == "gardener"]
    # sowing and planting stand on the poster of a plan that speaks of them
    named = {task.when.strip("{}") for task in plan.table}
    planting = [task for task in season.tasks if task.inputs[0] in named]
    columns: list[tuple[str, list[Runs]]] = [
        ("insects", [_said(_insects(composer, season, month)) for month in order]),
        ("gardener", [_said(_due(composer, tasks, planting, season.year, month)) for month in order]),
    ]
    frost = [_frost(composer, month) for month in order]
    if any(frost):
        columns.insert(0, ("frost", [_said(word) for word in frost]))
    if profile.latitude is not None:
        columns.insert(0, ("light", [_light(composer, profile.latitude, month) for month in order]))
    rows = tuple(((Text(MONTHS[month - 1]),), *(cells[at] for _, cells in columns)) for at, month in enumerate(order))
    head = (library.say("month"), *(library.say(name) for name, _ in columns))
    caption = library.say("months-caption")
    blocks: list[Block] = [Table(caption, head, rows, "months")]
    text = _regions(composer, season)
    if text:
        blocks.append(Para((Text(text),), "small"))
    return Slot("months", tuple(blocks), (Text(caption),))


def _said(words: str) -> Runs:
    """Words for a cell; a dash where there is nothing to say, for an empty cell is a place to write."""
    return (Text(words or "\u2013"),)


def _insects(composer: Composer, season: Season, month: int) -> str:
    """Say which stages are about in a month; when none is, whether chrysalides wait through the winter."""
    found: dict[str, None] = {}
    for stage in STAGES:
        windows = [window for window in season.windows if window.id.startswith(f"{stage}-") and window.known]
        single = [window for window in windows if not window.id.endswith("-season")]
        said = _overlap(composer, single, season.year, month) or _overlap(composer, windows, season.year, month)
        found.update(dict.fromkeys(filter(None, said.split("; "))))
    if found:
        return ", ".join(found)
    begin, opening = season.window("overwinter-from"), season.window("spring-opening")
    if begin is None or opening is None or begin.low is None or opening.high is None:
        return ""
    waiting = (month - begin.low.month) % 12 <= (opening.high.month - begin.low.month) % 12
    return composer.library.say("wintering") if waiting else ""


def _regions(composer: Composer, season: Season) -> str:
    """Name the regions whose flight times the poster shows, and note those windows as claims."""
    say = composer.library.say
    found: dict[str, dict[str, None]] = {}
    for window in season.windows:
        if window.id.startswith("flight") and window.known and window.proxy:
            composer.window(window, season.species)
            backed = any("#" in item for item in window.inputs)
            names = found.setdefault(say("flights-published") if backed else say("flights-practice"), {})
            names.update(dict.fromkeys(window.proxy.split(", ")))
    if not found:
        return ""
    parts = [f"{how} {' and '.join(names)}" for how, names in found.items()]
    return f"{say('flights-from')} {', '.join(parts)}{say('flights-widened')}"


def _light(composer: Composer, latitude: float, month: int) -> Runs:
    day = date(composer.setting.year, month, 21)
    minutes = day_length(latitude, day)
    hours = round(minutes / 60, 1)
    claim = Claim(
        f"place.day-length.{month:02}-21|hours",
        f"{hours:.1f}\u00a0h",
        hours,
        "h",
        "derived",
        parents=("place.latitude",),
        label=f"day length on {MONTHS[month - 1]} 21",
        detail=DEFINITION[Event.SUNRISE_SUNSET],
    )
    return (composer.figure(claim, marked=False),)


def _frost(composer: Composer, month: int) -> str:
    """Say how likely frost is in a month from the early and late dates of both sides."""
    spread = composer.setting.freeze_spread()
    if not spread:
        return ""
    year = composer.setting.year
    first, last = date(year, month, 1), date(year, month, monthrange(year, month)[1])
    spring, fall = spread.get("last"), spread.get("first")
    says = composer.library.say
    if (spring and first <= spring[0]) or (fall and last >= fall[2]):
        return says("frost-likely")
    if (spring and first <= spring[2]) or (fall and last >= fall[0]):
        return says("frost-possible")
    return says("frost-rare")


def _overlap(composer: Composer, windows: list[Window], year: int, month: int) -> str:
    first, last = date(year, month, 1), date(year, month, monthrange(year, month)[1])
    words = composer.library.all_words().windows
    met = [w for w in windows if w.low and w.high and w.low <= last and w.high >= first]
    return "; ".join(dict.fromkeys(words[window.id].short for window in met))


def _due(composer: Composer, windows: list[Window], planting: list[Task], year: int, month: int) -> str:
    """Say what falls into a month: windows by the day they are said by, sowing and planting by their middle."""
    words = composer.library.all_words().windows
    days = {window.id: window.said_by(words[window.id].says) for window in windows}
    due = [words[name].short for name, day in days.items() if day and (day.year, day.month) == (year, month)]
    for task in planting:
        middle = task.low + (task.high - task.low) / 2
        if (middle.year, middle.month) == (year, month):
            due.append(task.what[:1].lower() + task.what[1:])
    return "; ".join(dict.fromkeys(due))


def _row(composer: Composer, window: Window) -> str:
    words = composer.library.all_words().windows.get(window.id)
    return words.row if words else "insect"


def _weeks(composer: Composer, season: Season, plan: Plan) -> Slot:
    """The table of weeks: the plan's tasks and the gardener's windows, with a box for the reader's date."""
    library = composer.library
    rows: list[tuple[float, Runs, Runs]] = []
    told = {task.when.strip("{}").removeprefix("season.") for task in plan.table}
    for task in plan.table:
        when = composer.inline(task.when, plan.origin, task.line)
        rows.append((_rank(composer, task.when.strip("{}")), when, composer.inline(task.do, plan.origin, task.line)))
    for name, word in library.all_words().windows.items():
        window = season.window(name)
        if word.row == "gardener" and name not in told and window is not None and not window.absent:
            rows.append(
                (_rank(composer, f"season.{name}"), composer.resolve(f"season.{name}"), (Text(f"{word.label}."),))
            )
    rows.sort(key=lambda row: row[0])
    head = (library.say("weeks"), library.say("what"), library.say("my-date"))
    whens = shared.capitals([when for _, when, _ in rows])
    cells = tuple((when, what, ()) for when, (_, _, what) in zip(whens, rows, strict=True))
    caption = library.say("weeks-caption")
    return Slot("weeks", (Table(caption, head, cells, "weeks"),), (Text(caption),))


# Where a task without weeks stands among the others, in days from the last freeze; only the order of rows hangs on it.
_FALL = 150.0
_ABOUT = {
    "hosts-ready": 0.0,
    "flight-1": 10.0,
    "eggs-1": 15.0,
    "spring-opening": 22.0,
    "caterpillars-1": 25.0,
    "stop-waiting": 70.0,
    "flight-2": 80.0,
    "last-release": _FALL - 30.0,
    "overwinter-from": _FALL - 40.0,
}


def _rank(composer: Composer, name: str) -> float:
    """Where a row stands: by its weeks from the last freeze, then from the first; what has no time comes last."""
    window = name.removeprefix("season.")
    if window in _ABOUT:
        return _ABOUT[window]
    words = composer.library.all_words().windows.get(window)
    fact = composer.library.facts.get((words.rule if words else None) or name)
    point = fact.preferred.time.ends[0] if fact is not None and fact.preferred.time is not None else None
    if not isinstance(point, Offset):
        return 2.0 * _FALL
    return point.days.days + (_FALL if point.of == "first freeze" else 0.0)
