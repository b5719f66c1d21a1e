"""An outlook in, the page that says it out: the chance in words, what to do, the windows, and what they rest on."""

from __future__ import annotations

from datetime import date

from handouts.compose.phrase import day_words
from handouts.model.document import Blank, Block, Document, Run, Runs, Slot, Table, Text
from handouts.model.facts import Fact
from handouts.model.season import Window
from handouts.shelf.outlook import Chance, Ground, Outlook
from handouts.shelf.page import Made, ShelfComposer, full_day, items, many, para, steps
from handouts.shelf.status import State, Status
from handouts.shelf.summary import ALIKE_DAYS, Alike

_MAIN = {
    Status.PAST: "main-past-its-time",
    Status.SPRING: "main-due-in-spring",
    Status.SECOND_WINTER: "main-second-winter",
    Status.SECOND_SPRING: "main-second-spring",
    Status.LONG: "main-waits-longer",
}
_STEPS = {
    Status.SPRING: "do-spring",
    Status.SECOND_WINTER: "do-second",
    Status.SECOND_SPRING: "do-second-spring",
    Status.LONG: "do-second",
}
_SUMMER = ("this-year", "this-year-in-heat")
_LATER = ("second-spring", "stop-second-spring")
_TABLE = (*_SUMMER, "to-cold-by", "next-spring", "stop-next-spring", *_LATER)
# The warmth of a room at which the stand-in was tested; the season's own stop-waiting uses it too.
_ROOM_TEST = "warm-to-opening.at-22c"


def outlook_page(
    composer: ShelfComposer,
    ground: Ground,
    look: Outlook,
    state: State | None = None,
    alike: Alike | None = None,
    today: date | None = None,
) -> Document:
    """Return the page of one outlook; `state` is how it stands today, `alike` what the club's own register shows."""
    composer.subjects[look.species] = None
    if look.chance is not Chance.NO_WINTER:
        composer.subjects.update(dict.fromkeys(["winter-store", "bringing-out"]))
    values(composer, ground, look)
    words = composer.words
    main = composer.say(_main(look, state))
    body: list[Block] = [
        Slot("main-message", (para(main, "key"),), (Text(composer.library.say("main-message")),)),
        composer.slot(
            "do-this", "do-this", steps(composer, composer.lines(_steps(look, state, _is_cold(composer, look))))
        ),
    ]
    table = _table(composer, ground, look, today)
    if table.rows:
        body.append(composer.slot("windows", "windows", table, *_boxes(composer, look)))
    body.append(composer.slot("rests-on", "rests-on", items(_rests(composer, ground, look))))
    if alike is not None:
        body.append(composer.slot("own-records", "own-records", para(_alike(composer, alike))))
    if look.chance is not Chance.NO_WINTER:
        body.append(composer.slot("changes", "changes", items(composer.lines("changes"))))
        body.append(composer.slot("stop-waiting", "stop-waiting", items(_stop(composer, look))))
        body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-outlook"))))
    title = words.label("outlook-title")
    return composer.page("outlook", title, _subtitle(composer, look, today), body, words.cautions["outlook"])


def _main(look: Outlook, state: State | None) -> str:
    """The key of the main sentence: how it stands today where that is known, else the chance."""
    if state is not None:
        if state.status in _MAIN:
            return _MAIN[state.status]
        if state.status is Status.OVERDUE or (state.status is Status.WAITS and not look.waits):
            return "main-past"
    if look.chance is Chance.CANNOT_SAY and look.window("this-year") is None:
        return "main-cannot-say-no-time"
    bound = "bound-" if (look.bound or look.words_only) and look.chance is not Chance.CANNOT_SAY else ""
    return f"main-{bound}{look.chance.value}"


def _is_cold(composer: ShelfComposer, look: Outlook) -> bool:
    kind = composer.words.kept.get(look.kept or "")
    return kind is not None and kind.opens is not None


def _steps(look: Outlook, state: State | None, cold: bool) -> str:
    if look.chance is Chance.NO_WINTER:
        return "do-no-winter"
    if state is not None and state.status in _STEPS:
        return _STEPS[state.status]
    if look.waits or (state is not None and state.status in (Status.WAITS, Status.OVERDUE)):
        # a warm room is no place for the winter, and an unknown one can't be judged
        return "do-winter-kept" if cold else "do-winter"
    return "do-summer" if look.chance in (Chance.THIS_YEAR, Chance.LIKELY_THIS_YEAR) else "do-either"


def values(composer: ShelfComposer, ground: Ground, look: Outlook) -> None:
    """Give the composer the values that the sentences of an outlook name."""
    made = composer.values
    made["out.this-year"] = lambda: _window(composer, look.window("this-year"), "summer-unknown", exact=True)
    made["out.this-year-end"] = lambda: _summer_end(composer, look)
    made["out.next-spring"] = lambda: _window(composer, look.window("next-spring"), "spring-unknown")
    made["out.second-spring"] = lambda: _window(composer, look.window("second-spring"), "spring-unknown")
    made["out.stop"] = lambda: _window(composer, look.window("stop-next-spring"), "stop-unknown")
    made["out.stop-two"] = lambda: _window(composer, look.window("stop-second-spring"), "stop-unknown")
    made["out.to-warmth"] = lambda: to_warmth(composer, ground, look)
    made["out.why"] = lambda: (Text(look.why),)
    made["out.kept-text"] = lambda: composer.const(look.kept_text, "name")
    kind = composer.words.kept.get(look.kept or "")
    made["out.kept-name"] = _text(kind.name if kind is not None else "")
    opens = kind.opens if kind is not None and kind.opens not in (None, "spring") else "warm-to-opening.room"
    quantities = {
        "summer": "pupa.summer",
        "hot": "pupa.hot-spell",
        "opens": opens or "warm-to-opening.room",
        "longest": "longest-wait",
    }
    for name, quantity in quantities.items():
        stages(composer, ground, look.species, name, quantity)
    subject = composer.library.subject(look.species)
    made["species.name"] = lambda: (Text(subject.names.common),)
    made["species.relative"] = lambda: (Text(_tested_on(composer, look)),)
    made["species.summer-relative"] = lambda: (Text(_stand_in(composer, look.species, "pupa")),)
    made["species.opens-relative"] = lambda: (Text(_stand_in(composer, look.species, "warm-to-opening")),)


def stages(composer: ShelfComposer, ground: Ground, species: str, name: str, quantity: str) -> None:
    """Give the composer the value stage.NAME: how long a stage takes, or that it is not known."""
    found = ground.stage(species, quantity)
    unknown: Runs = (Text(composer.words.label("time-unknown")),)
    composer.values[f"stage.{name}"] = lambda: composer.stage(found) if found is not None else unknown


def _tested_on(composer: ShelfComposer, look: Outlook) -> str:
    """The relatives that the turn was worked out from, else the one that stands in."""
    if look.turn is not None and look.turn.proxy:
        return look.turn.proxy
    return _stand_in(composer, look.species, "critical-day-length")


def _stand_in(composer: ShelfComposer, species: str, quantity: str) -> str:
    subject = composer.library.subject(species)
    other = subject.stand_ins.get(quantity, species)
    return composer.library.subject(other).names.common


def _window(composer: ShelfComposer, window: Window | None, unknown: str, *, exact: bool = False) -> Runs:
    if window is None:
        return (Text(composer.words.label(unknown)),)
    return composer.days(window, exact=exact)


def _summer_end(composer: ShelfComposer, look: Outlook) -> Runs:
    window = look.window("this-year")
    if window is None or window.high is None:
        return (Text(composer.words.label("summer-end-unknown")),)
    shown = f"after about {day_words(window.high)}"
    figure = composer.worked(
        "out.this-year-end", shown, window.high.isoformat(), parents=window.inputs, machine=window.high.isoformat(),
        tag="time", proxy=window.proxy, label=window.label,
    )  # fmt: skip
    return (figure,)


def to_warmth(composer: ShelfComposer, ground: Ground, look: Outlook) -> Runs:
    """Return the move to warmth of the spring after; without dates the rule in weeks from the reader's own freeze."""
    window = ground.known(look.species, look.year + 1, "to-warmth")
    if window is not None:
        return composer.days(window, name="out.to-warmth")
    words = composer.library.all_words().windows["to-warmth"]
    rule = composer.library.facts.get(words.rule or "")
    return composer.fact(rule, rule.preferred) if rule is not None else (Text(words.unknown),)


def _table(composer: ShelfComposer, ground: Ground, look: Outlook, today: date | None) -> Table:
    """The windows one below the other, those that are over left out; what has no date here is said in words."""
    rows: list[tuple[Runs, ...]] = []
    for name in _TABLE:
        window = next((one for one in look.windows if one.id == name), None)
        if window is None or (name in _SUMMER and look.chance is Chance.WAITS):
            continue
        if today is not None and window.high is not None and window.high < today:
            continue
        if name in _LATER and not window.known:
            continue
        dated = window.known and not look.words_only
        when = composer.days(window, exact=name in _SUMMER) if dated else _in_words(composer, ground, look, name)
        rows.append(((Text(_label(composer, look, window)),), when))
    words = composer.words
    return Table(words.label("windows-caption"), (words.label("what"), words.label("when")), tuple(rows), "plan")


def _label(composer: ShelfComposer, look: Outlook, window: Window) -> str:
    """The name of a window; unless it is sure to wait, the later ones begin with an if."""
    if window.id in _SUMMER or look.waits or look.chance is Chance.NO_WINTER:
        return window.label
    key = f"{window.id}-if"
    return composer.words.labels.get(key, window.label)


def _in_words(composer: ShelfComposer, ground: Ground, look: Outlook, name: str) -> Runs:
    """What stands in the place of a date: days after a step, weeks from the reader's own freeze, or plain words."""
    words = composer.words
    if name in _SUMMER:
        found = ground.stage(look.species, "pupa.summer" if name == "this-year" else "pupa.hot-spell")
        if found is not None:
            return (Text(f"{words.label('after')} "), *composer.stage(found))
        return (Text(words.label("summer-unknown")),)
    if name == "to-cold-by":
        return composer.resolve("season.to-cold-by")
    if name.startswith("stop"):
        return (Text(words.label("stop-unknown")),)
    kind = words.kept.get(look.kept or "")
    opens = kind.opens if kind is not None else "warm-to-opening.room"
    if opens is None:
        return (Text(words.label("any-time")),)
    stage = ground.stage(look.species, opens) if opens != "spring" else None
    if stage is None:
        return (Text(words.label("spring-unknown")),)
    return (Text(f"{words.label('after')} "), *composer.stage(stage), Text(f" {words.label('of-warmth')}"))


def _boxes(composer: ShelfComposer, look: Outlook) -> tuple[Block, ...]:
    """Boxes for the reader's own freezes, where the place has none."""
    if look.chance is Chance.NO_WINTER or composer.setting.frosts.last or composer.setting.frosts.first:
        return ()
    return tuple(Blank(composer.words.label(name)) for name in ("your-last", "your-first"))


def _rests(composer: ShelfComposer, ground: Ground, look: Outlook) -> list[Runs]:
    """What the words rest on, one sentence or two each."""
    subject = composer.library.subject(look.species)
    said: list[Runs] = []
    if look.turn is not None:
        own = subject.stand_ins.get("critical-day-length", look.species) == look.species
        said.append(composer.say("rests-light-own" if own else "rests-light-relative"))
    elif look.bound:
        for name, (_, fact) in zip(("south", "north"), _ends(ground.populations(look.species)), strict=False):
            region = composer.library.regions[fact.id.rpartition(".")[2]].name
            composer.values[f"out.tested-{name}"] = _text(region)
        said.append(composer.say("rests-bound"))
    elif look.chance is not Chance.NO_WINTER:
        said.append(composer.say("rests-no-light"))
    if look.spring:
        said.append(composer.say("rests-spring"))
    said.extend(composer.inline(lean.says, composer.words.origin) for lean in look.leans)
    summer = ground.stage(look.species, "pupa.summer")
    if summer is not None:
        said.append(composer.say("rests-summer" if summer.relative is None else "rests-summer-relative"))
    if ground.stage(look.species, "pupa.hot-spell") is not None:
        said.append(composer.say("rests-hot"))
    if look.chance is Chance.NO_WINTER:
        return said
    frosts = composer.setting.frosts
    said.append(composer.say("rests-frost" if frosts.last and frosts.first else "rests-no-frost"))
    said.extend(_opening(composer, ground, look))
    return said


def _ends(found: list[tuple[float, Fact]]) -> list[tuple[float, Fact]]:
    return [found[0], found[-1]] if found else []


def _text(words: str) -> Made:
    return lambda: (Text(words),)


def _opening(composer: ShelfComposer, ground: Ground, look: Outlook) -> list[Runs]:
    """What the opening in spring rests on, and what the place where it is kept means."""
    kind = composer.words.kept.get(look.kept or "")
    said: list[Runs] = []
    opens = kind.opens if kind is not None else "warm-to-opening.room"
    stage = ground.stage(look.species, opens) if opens not in (None, "spring") else None
    # without a move to warmth that has a date, or without own times, the season's window stands in
    counted = stage is not None and (look.words_only or ground.known(look.species, look.year + 1, "to-warmth"))
    if opens is not None and not counted and look.window("next-spring") is not None:
        said.append(composer.say("rests-spring-flight"))
    elif stage is not None:
        said.append(composer.say("rests-room"))
        tested = ground.stage(look.species, _ROOM_TEST)
        if tested is not None and tested.relative is not None:
            composer.values["stage.opens-relative"] = lambda: composer.fact(tested.fact, tested.statement)
            said.append(composer.say("rests-relative-opens"))
    if kind is not None and kind.says:
        said.append(composer.say(kind.says))
    elif look.kept_text:
        said.append(composer.say("kept-unclear"))
    return said


def _stop(composer: ShelfComposer, look: Outlook) -> list[Runs]:
    said: list[Runs] = []
    if not look.waits and not look.words_only and look.window("this-year") is not None:
        said.append(composer.say("stop-summer"))
    known = look.window("stop-next-spring") is not None
    said.append(composer.say("stop-spring" if known else "stop-spring-unknown"))
    if look.window("stop-second-spring") is not None:
        said.append(composer.say("stop-second"))
    if look.window("longest-wait") is not None:
        said.append(composer.say("stop-longest"))
    said.append(composer.say("stop-signs"))
    return said


def _alike(composer: ShelfComposer, alike: Alike) -> Runs:
    if not alike.n:
        return composer.say("own-none")
    detail = f"n = {alike.n}, {alike.period}, {composer.setting.profile.name or 'own register'}"
    for name, count in (("alike", alike.n), ("same-year", alike.same_year), ("waited", alike.waited)):
        shown = many(count, "chrysalis", "chrysalides") if name == "alike" else f"{count} {composer.words.label(name)}"
        composer.values[f"own.{name}"] = _own(composer, f"own.{name}", shown, count, detail)
    reach = many(ALIKE_DAYS, "day", "days")
    composer.values["own.reach"] = _own(composer, "own.reach", reach, ALIKE_DAYS, "the reach of the count")
    return composer.say("own-alike")


def _own(composer: ShelfComposer, name: str, shown: str, value: object, detail: str) -> Made:
    return lambda: (composer.own(name, shown, value, "1", detail),)


def _subtitle(composer: ShelfComposer, look: Outlook, today: date | None) -> Runs:
    """Return "For PLACE. Black swallowtail, formed DAY, kept WHERE."""
    words = composer.words
    runs: list[Run] = [*where(composer), Text(" ")]
    common = composer.library.subject(look.species).names.common
    runs.append(Text(f"{common[:1].upper()}{common[1:]}, {words.label('formed')} "))
    runs.append(composer.given("given.formed", full_day(look.formed), look.formed.isoformat()))
    kind = words.kept.get(look.kept or "")
    if kind is not None:
        runs.append(Text(f", {words.label('kept')} {kind.name}"))
    if today is not None:
        runs.append(Text(f". {words.label('as-of')} "))
        runs.append(composer.given("given.today", full_day(today), today.isoformat()))
    return (*runs, Text("."))


def where(composer: ShelfComposer) -> Runs:
    """Return "For NAME, zone Z."."""
    runs: list[Run] = [Text(f"{composer.words.label('for')} "), *composer.resolve("place.name")]
    if composer.setting.profile.zone:
        runs += [Text(", "), *composer.resolve("place.zone")]
    return (*runs, Text("."))
