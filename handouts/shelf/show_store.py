"""A store check in, its page out: the verdict with its numbers, what to do, the log week by week; or the checklist."""

from __future__ import annotations

import re
from datetime import date

from handouts.compose.phrase import NBSP, day_words, number
from handouts.model.document import Block, Document, Picture, Run, Runs, Slot, Styled, Table, Text
from handouts.shelf.page import (
    ShelfComposer,
    difference,
    full_day,
    heat_shown,
    items,
    joined,
    many,
    para,
    steps,
    temperature,
    warmth,
)
from handouts.shelf.plot import months_of, store_chart, weeks_of
from handouts.shelf.show import where
from handouts.shelf.store import Spell, StoreCheck, Thaw, Winter

MOST_SPELLS = 8
MOST_WINTERS = 12
MOST_REJECTS = 10
CHECKLIST = ("place", "out", "refrigerator", "log")


def store_page(composer: ShelfComposer, check: StoreCheck, kept: str | None = None, *, bars: bool = True) -> Document:
    """Return the page of a check; `kept` is the kind of place, for the advice that fits it.

    `bars` draws each week in signs, for plain text, where no drawing can stand; beside the drawing months will do.
    """
    words, library = composer.words, composer.library
    composer.subjects.update(dict.fromkeys([check.species, "winter-store"]))
    composer.measured = check.basis
    _values(composer, check)
    body: list[Block] = [
        Slot(
            "main-message",
            (para(composer.say(f"store-{check.verdict}"), "key"),),
            (Text(library.say("main-message")),),
        ),
        composer.slot("verdict", "verdict", items(_findings(composer, check))),
        composer.slot("do-this", "do-this", steps(composer, _steps(composer, check, kept))),
        _chart(composer, check),
    ]
    spells = sorted(check.winter.spells, key=lambda spell: -spell.heat)[:MOST_SPELLS]
    if spells:
        body.append(composer.slot("spells", "spells", _spell_table(composer, check.winter, spells)))
    if check.winter.thaws:
        lines = [_thaw(composer, thaw) for thaw in check.winter.thaws[:MOST_SPELLS]]
        body.append(composer.slot("thaws", "thaws", items(lines, role="plainlist")))
    body.append(_weeks(composer, check) if bars else _months(composer, check))
    if len(check.winters) > 1:
        title = "winters" if len(check.winters) <= MOST_WINTERS else "winters-last"
        body.append(composer.slot("winters", title, _winter_table(composer, check)))
    body.append(composer.slot("numbers", "numbers", items(_how(composer, check))))
    if check.log.rejects:
        body.append(composer.slot("rejects", "rejects", para(composer.say("store-rejects")), _rejects(composer, check)))
    body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-store"))))
    return composer.page("store", words.label("store-title"), _subtitle(composer, check), body, words.cautions["store"])


def checklist_page(composer: ShelfComposer, kept: str | None = None) -> Document:
    """Return what to look at before any log is kept."""
    words = composer.words
    composer.subjects["winter-store"] = None
    body: list[Block] = [
        Slot(
            "main-message",
            (para(composer.say("store-list-main"), "key"),),
            (Text(composer.library.say("main-message")),),
        )
    ]
    for name in CHECKLIST:
        body.append(composer.slot(f"checklist-{name}", f"checklist-{name}", items(composer.lines(f"checklist-{name}"))))
    body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-store-list"))))
    title = words.label("store-list-title")
    return composer.page("store", title, where(composer), body, words.cautions["store"])


# -- values ------------------------------------------------------------------------------------------------------------


def _detail(check: StoreCheck, winter: Winter | None = None) -> str:
    one = winter or check.winter
    return f"n = {one.n} days, {one.first.isoformat()} to {one.last.isoformat()}, {check.log.file.name}"


def _values(composer: ShelfComposer, check: StoreCheck) -> None:
    """Give the composer the numbers that the sentences name; all are measured by the log."""
    system, winter, made = composer.setting.system, check.winter, composer.values
    library, detail = composer.library, _detail(check)

    def own(name: str, shown: str, value: object, unit: str) -> None:
        made[f"log.{name}"] = lambda: (composer.own(f"log.{name}", shown, value, unit, detail),)

    own("heat", warmth(winter.heat, system), round(winter.heat, 1), "[degF].d")
    own("coldest", _on(temperature(winter.coldest.low, system), winter.coldest.day), winter.coldest.low, "[degF]")
    own("warmest", _on(temperature(winter.warmest.high, system), winter.warmest.day), winter.warmest.high, "[degF]")
    own("middle", temperature(winter.middle, system), round(winter.middle, 1), "[degF]")
    own("swing", difference(winter.swing, system), round(winter.swing, 1), "[degF]{diff}")
    widest = winter.widest.high - winter.widest.low
    own("widest", _on(difference(widest, system), winter.widest.day), round(widest, 1), "[degF]{diff}")
    own("crossings", many(winter.crossings, "day", "days"), winter.crossings, "d")
    own("thaws", many(len(winter.thaws), "warm spell", "warm spells"), len(winter.thaws), "1")
    own("winters", many(len(check.winters), "winter", "winters"), len(check.winters), "1")
    own("rejects", many(len(check.log.rejects), "reading", "readings"), len(check.log.rejects), "1")
    made["log.share"] = lambda: (_share(composer, check),)
    made["log.relative"] = lambda: (Text(library.subject(check.base.species).names.common),)
    made["log.base"] = lambda: composer.resolve(check.base.base_fact)
    made["log.opening"] = lambda: composer.resolve(check.base.heat_fact)
    made["log.points"] = lambda: joined([_point(composer, one.fact, one.species) for one in check.relatives], " and ")


def _on(shown: str, day: date) -> str:
    return f"{shown} on {full_day(day)}"


def _share(composer: ShelfComposer, check: StoreCheck) -> Run:
    percent = check.share * 100.0
    shown = f"about {number(round(percent))}{NBSP}percent" if percent >= 1 else f"less than 1{NBSP}percent"
    parents = (check.base.base_fact, check.base.heat_fact)
    proxy = composer.library.subject(check.base.species).names.common
    return composer.worked("log.share", shown, round(percent, 1), "%", parents=parents, proxy=proxy, marks=("derived",))


def _point(composer: ShelfComposer, fact: str, species: str) -> Runs:
    return (*composer.resolve(fact), Text(f" ({composer.library.subject(species).names.common})"))


# -- parts -------------------------------------------------------------------------------------------------------------


def _subtitle(composer: ShelfComposer, check: StoreCheck) -> Runs:
    """Return "From FILE: readings, N days counted, from DAY to DAY."."""
    words, winter = composer.words, check.winter
    period = f"{full_day(winter.first)} to {full_day(winter.last)}"
    form = words.label("log-readings" if check.log.form == "readings" else "log-lows")
    runs: list[Run] = [*where(composer), Text(f" {words.label('log-line')} ")]
    runs.extend(composer.const(check.log.file.name, "name"))
    runs.append(Text(f", {form}: "))
    runs.append(composer.own("log.n", many(winter.n, "day", "days"), winter.n, "d", _detail(check)))
    value = {"low": winter.first.isoformat(), "high": winter.last.isoformat()}
    runs += [Text(f" {words.label('counted')} "), composer.own("log.period", period, value, None, _detail(check))]
    if winter.missing:
        missing = many(winter.missing, "day", "days")
        runs += [
            Text("; "),
            composer.own("log.missing", missing, winter.missing, "d"),
            Text(f" {words.label('log-missing')}"),
        ]
    return (*runs, Text("."))


def _findings(composer: ShelfComposer, check: StoreCheck) -> list[Runs]:
    """The findings, each under a word that says how serious it is."""
    lines: list[Runs] = []
    for level, name in check.findings:
        word = Styled("strong", (Text(composer.words.label(f"level-{level}")),))
        lines.append((word, Text(" "), *composer.say(name)))
    return lines


def _steps(composer: ShelfComposer, check: StoreCheck, kept: str | None) -> list[Runs]:
    """What to do about what was found, each step once."""
    found = [name for level, name in check.findings if level != "good" or name == "swings-wide"]
    keys = [f"do-{name}" for name in found if f"do-{name}" in composer.words.lists] or ["do-good"]
    lines = list(dict.fromkeys(line for key in keys for line in composer.words.lines(key)))
    kind = composer.words.kept.get(kept or "")
    if kind is not None and kind.store:
        lines.extend(composer.words.lines(kind.store))
    return [composer.inline(line, composer.words.origin) for line in lines]


def _chart(composer: ShelfComposer, check: StoreCheck) -> Picture:
    chart = store_chart(check, composer.words, composer.library, composer.setting.system, check.freeze)
    for claim in chart.claims:
        composer.figure(claim)
    for run in _listed(chart.svg):
        composer.constants[run] = None
    return Picture(chart.id, chart.svg, chart.title, chart.alt, (Text(chart.caption),), 172.0, "chart")


def _listed(svg: str) -> list[str]:
    """The figures of the drawing's scale."""
    return re.findall(r'data-const="list">([^<]+)<', svg)


def _spell_table(composer: ShelfComposer, winter: Winter, spells: list[Spell]) -> Table:
    words, system = composer.words, composer.setting.system
    rows: list[tuple[Runs, ...]] = []
    for spell in spells:
        key, days = spell.first.isoformat(), _stretch(spell.first, spell.last)
        value = {"low": key, "high": spell.last.isoformat()}
        rows.append(
            (
                (composer.own(f"log.spell-{key}", days, value, None),),
                _heat(composer, f"log.spell-{key}.heat", spell.heat),
                (
                    composer.own(
                        f"log.spell-{key}.highest", temperature(spell.highest, system), spell.highest, "[degF]"
                    ),
                ),
            )
        )
    head = (words.label("spell"), words.label(f"heat-{system}"), words.label("highest"))
    return Table(words.label("spells-caption"), head, tuple(rows), "plain")


def _heat(composer: ShelfComposer, name: str, value: float, detail: str = "") -> Runs:
    """Return degree-days for a column whose head names the scale."""
    amount, words = heat_shown(value, composer.setting.system), composer.words
    shown = f"{number(amount)}{NBSP}{words.label('degree-day-one' if amount == 1 else 'degree-days')}"
    return (composer.own(name, shown, round(value, 1), "[degF].d", detail),)


def _stretch(first: date, last: date) -> str:
    if first == last:
        return full_day(first)
    start = day_words(first) if first.year == last.year else full_day(first)
    return f"{start} to {full_day(last)}"


def _thaw(composer: ShelfComposer, thaw: Thaw) -> Runs:
    """Return "Warm until DAY, then 18 °F on DAY"."""
    words, system = composer.words, composer.setting.system
    key = thaw.spell.last.isoformat()
    low = _on(temperature(thaw.low, system), thaw.freeze)
    return (
        Text(f"{words.label('warm-until')} "),
        composer.own(f"log.thaw-{key}", full_day(thaw.spell.last), key, None),
        Text(f", {words.label('then')} "),
        composer.own(f"log.thaw-{key}.freeze", low, thaw.low, "[degF]"),
        Text("."),
    )


def _months(composer: ShelfComposer, check: StoreCheck) -> Slot:
    """The log month by month: the numbers of the drawing."""
    words, system = composer.words, composer.setting.system
    rows: list[tuple[Runs, ...]] = []
    for month in months_of(check.winter, check.base.base):
        key = f"log.month-{month.first:%Y-%m}"
        rows.append(
            (
                composer.const(f"{month.first:%B} {month.first.year}", "name"),
                (composer.own(f"{key}.low", temperature(month.low, system), month.low, "[degF]"),),
                (composer.own(f"{key}.high", temperature(month.high, system), month.high, "[degF]"),),
                _heat(composer, f"{key}.heat", month.heat),
            )
        )
    head = (words.label("month"), words.label("coldest"), words.label("warmest"), words.label(f"heat-{system}"))
    return composer.slot("months", "months", Table(words.label("months-caption"), head, tuple(rows), "plain"))


def _weeks(composer: ShelfComposer, check: StoreCheck) -> Slot:
    """The log a line a week, with its bar of text."""
    words, system = composer.words, composer.setting.system
    lines: list[Runs] = []
    for week in weeks_of(check.winter, check.base.base, check.freeze):
        key = week.first.isoformat()
        span = f"{temperature(week.low, system)} to {temperature(week.high, system)}"
        name = f"{week.first:%b} {week.first.day}".replace(" ", NBSP)
        runs: list[Run] = [*composer.const(name, "name"), Text(f" {week.bar} ")]
        runs.append(composer.own(f"log.week-{key}", span, {"low": week.low, "high": week.high}, "[degF]"))
        if week.heat >= 1.0:
            heat = number(round(heat_shown(week.heat, system)))
            shown = f"{words.label('heat').lower()}{NBSP}{heat}"
            runs += [Text("; "), composer.own(f"log.week-{key}.heat", shown, round(week.heat, 1), "[degF].d")]
        lines.append(tuple(runs))
    legend = para((Text(words.label("weeks-key")),), "small")
    return composer.slot("weeks", "weeks", legend, items(lines, role="plainlist"))


def _winter_table(composer: ShelfComposer, check: StoreCheck) -> Table:
    """A line a winter, the latest last; the earliest are left to the JSON output."""
    words, system = composer.words, composer.setting.system
    rows: list[tuple[Runs, ...]] = []
    for winter in check.winters[-MOST_WINTERS:]:
        key, detail = winter.first.isoformat(), _detail(check, winter)
        period = _stretch(winter.first, winter.last)
        name = f"log.winter-{key}"
        rows.append(
            (
                (composer.own(name, period, {"low": key, "high": winter.last.isoformat()}, None, detail),),
                _heat(composer, f"{name}.heat", winter.heat, detail),
                (
                    composer.own(
                        f"{name}.cold", temperature(winter.coldest.low, system), winter.coldest.low, "[degF]", detail
                    ),
                ),
                (
                    composer.own(
                        f"{name}.thaws",
                        many(len(winter.thaws), words.label("thaw"), words.label("thaws-many")),
                        len(winter.thaws),
                        "1",
                        detail,
                    ),
                ),
            )
        )
    head = (words.label("winter"), words.label(f"heat-{system}"), words.label("coldest"), words.label("thaws"))
    return Table(words.label("winters-caption"), head, tuple(rows), "plain")


def _how(composer: ShelfComposer, check: StoreCheck) -> list[Runs]:
    """How the numbers were made."""
    keys = ["store-station" if check.log.station else "store-own", "store-middle"]
    months = "store-counted-south" if composer.setting.profile.south else "store-counted-months"
    keys.append(months if check.how == "months" else f"store-counted-{check.how}")
    if len(check.winters) > 1:
        keys.append("store-judged" if check.winter.whole else "store-judged-part")
    keys.append("store-hours" if check.log.form == "readings" else "store-sine")
    keys.append("degree-day")
    lines = [composer.say(key) for key in keys]
    lines.extend(composer.whole(note) for note in check.log.notes)
    return lines


def _rejects(composer: ShelfComposer, check: StoreCheck) -> Block:
    words = composer.words
    lines: list[Runs] = []
    for reject in check.log.rejects[:MOST_REJECTS]:
        line = f" ({words.label('line').lower()} {reject.line})" if reject.line else ""
        lines.append(composer.whole(f"{full_day(reject.day)}: {reject.value}, {reject.why}{line}."))
    rest = len(check.log.rejects) - MOST_REJECTS
    if rest > 0:
        lines.append(composer.whole(f"… {rest} {words.label('and-more')}."))
    return items(lines, role="plainlist")
