"""A register's summary in, its page out: what is due, what waits, the club's own times, and rows to mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from handouts.compose.phrase import NBSP, number
from handouts.model.document import Block, Document, Run, Runs, Slot, Text
from handouts.shelf.outlook import Chance, Ground, Outlook
from handouts.shelf.page import (
    Made,
    ShelfComposer,
    full_day,
    items,
    joined,
    many,
    para,
    span_days,
    span_parts,
)
from handouts.shelf.register import Chrysalis, Problem, Register
from handouts.shelf.show import stages, to_warmth, where
from handouts.shelf.status import Status
from handouts.shelf.summary import Item, OwnTimes, Summary

MOST_LINES = 40  # lines of one group on the page; JSON lists all
MOST_NUMBERS = 12  # numbers in one line
# The groups of the main message, in the order it names them.
_THIS_YEAR = (Status.DUE, Status.EITHER)
_WAITING = (Status.OVERDUE, Status.WAITS, Status.SPRING, Status.UNKNOWN)
_SECOND = (Status.SECOND_WINTER, Status.SECOND_SPRING, Status.LONG)
_PARTS = {"this-year": _THIS_YEAR, "waiting": _WAITING, "second": _SECOND, "gone": (Status.PAST,)}
_IN_SPRING = (Status.OVERDUE, Status.WAITS, Status.SPRING, Status.SECOND_WINTER, Status.SECOND_SPRING)
_SAYS = {
    Status.DUE: "shelf-due",
    Status.EITHER: "shelf-either",
    Status.OVERDUE: "shelf-past",
    Status.PAST: "shelf-gone",
    Status.WAITS: "shelf-waits",
    Status.SPRING: "shelf-spring",
    Status.SECOND_WINTER: "shelf-second",
    Status.SECOND_SPRING: "shelf-second-spring",
    Status.LONG: "shelf-long",
    Status.UNKNOWN: "shelf-unknown",
}


def register_page(composer: ShelfComposer, ground: Ground, summary: Summary) -> Document:
    """Return the page of a register on a day."""
    words, library = composer.words, composer.library
    species = list(dict.fromkeys(row.species for row in summary.register.rows))
    composer.subjects.update(dict.fromkeys([*species, "winter-store"]))
    _values(composer, ground, summary)
    body: list[Block] = [
        Slot("main-message", (para(_main(composer, summary), "key"),), (Text(library.say("main-message")),)),
        composer.slot("counts", "counts", items((composer.say("shelf-counted"), *_place_line(composer, ground)))),
    ]
    body.extend(_group(composer, ground, summary, status) for status in Status if summary.of(status))
    if summary.times:
        lines = [_times(composer, ground, one) for one in summary.times]
        body.append(composer.slot("own-times", "own-times", items(lines, role="plainlist")))
    body.extend(trouble(composer, summary.register))
    body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-shelf"))))
    subtitle = (*where(composer), Text(f" {words.label('as-of')} "), _given_day(composer, summary.today), Text("."))
    return composer.page("shelf", words.label("shelf-title"), subtitle, body, words.cautions["shelf"])


def _given_day(composer: ShelfComposer, day: date) -> Run:
    return composer.given("given.today", full_day(day), day.isoformat())


def _values(composer: ShelfComposer, ground: Ground, summary: Summary) -> None:
    counts = summary.counts
    # a count is shown with its word, so that no bare figure stands on the page
    opened, lost = composer.words.label("opened"), composer.words.label("lost")
    named = {
        "closed": (counts["closed"], ("closed chrysalis", "closed chrysalides")),
        "rows": (counts["rows"], ("chrysalis", "chrysalides")),
        "opened": (counts["opened"], (opened, opened)),
        "lost": (counts["lost"], (lost, lost)),
    }
    for name, (count, noun) in named.items():
        composer.values[f"own.{name}"] = _count(composer, f"own.{name}", count, noun)
    composer.values["own.parts"] = lambda: _parts(composer, counts)


def _parts(composer: ShelfComposer, counts: dict[str, int]) -> Runs:
    """Return "1 due this year, 3 waiting for a spring and 1 past the first spring"; what is none is left out."""
    shown: list[Runs] = []
    for name, statuses in _PARTS.items():
        count, word = sum(counts[status.value] for status in statuses), composer.words.label(f"count-{name}")
        if count:
            shown.append(_count(composer, f"own.{name}", count, (word, word))())
    return joined(shown) if len(shown) < 2 else (*joined(shown[:-1]), Text(" and "), *shown[-1])


def _count(composer: ShelfComposer, name: str, count: int, noun: tuple[str, str]) -> Made:
    shown = many(count, *noun)
    return lambda: (composer.own(name, shown, count, "1", "rows of the register"),)


def _main(composer: ShelfComposer, summary: Summary) -> Runs:
    if not summary.items:
        return composer.say("shelf-empty")
    return (*composer.say("shelf-main"), Text(" "), *composer.say("shelf-mixed"))


def _place_line(composer: ShelfComposer, ground: Ground) -> tuple[Runs, ...]:
    known = ground.profile.latitude is not None or bool(ground.profile.freezes) or ground.profile.zone is not None
    return () if known else (composer.say("shelf-no-place"),)


def _group(composer: ShelfComposer, ground: Ground, summary: Summary, status: Status) -> Block:
    found = summary.of(status)
    said: dict[Runs, None] = {}
    for species in dict.fromkeys(item.row.species for item in found):
        _named(composer, ground, species)
        said[composer.say(_says(composer, ground, summary, status))] = None
    blocks: list[Block] = [*(para(runs) for runs in said), items(lines_of(composer, found, status), role="plainlist")]
    if status in _IN_SPRING:
        blocks.extend(_regions(composer, [item.look for item in found]))
    return composer.slot(status.value, status.value, *blocks)


def _says(composer: ShelfComposer, ground: Ground, summary: Summary, status: Status) -> str:
    """Return the key of what is said of a group; of those that wait, whether the move into the cold lies behind."""
    if status is Status.WAITS:
        look = summary.of(status)[0].look
        cold = look.window("to-cold-by")
        if cold is not None and cold.high is not None and cold.high < summary.today:
            composer.values["out.to-warmth"] = lambda: to_warmth(composer, ground, look)
            return "shelf-resting"
    return _SAYS[status]


def _regions(composer: ShelfComposer, looks: Iterable[Outlook]) -> list[Block]:
    """Say from which regions' seasons the days in spring were taken."""
    named = dict.fromkeys(composer.region(look.window("next-spring")) for look in looks)
    places = [name for name in named if name]
    if not places:
        return []
    return [para((Text(f"{composer.words.label('spring-by')} {'; '.join(places)}."),), "small")]


def _named(composer: ShelfComposer, ground: Ground, species: str) -> None:
    """Let the sentences speak of a species."""
    for name, quantity in (("summer", "pupa.summer"), ("longest", "longest-wait")):
        stages(composer, ground, species, name, quantity)
    subject = composer.library.subject(species)
    composer.values["species.name"] = lambda: (Text(subject.names.common),)


def lines_of(composer: ShelfComposer, found: Sequence[Item], status: Status) -> list[Runs]:
    """Return a line for each day, species and place: the numbers, the day they formed, when they may open."""

    def tail(item: Item) -> Runs:
        return _expected(composer, item, status)

    return grouped(composer, [(item.row, item) for item in found], tail)


def grouped(
    composer: ShelfComposer,
    found: Sequence[tuple[Chrysalis, Item]] | Sequence[tuple[Chrysalis, Outlook]],
    tail: Callable[..., Runs],
) -> list[Runs]:
    """Return a line for rows that share species, day, place and what is said of them; at most MOST_LINES lines."""
    together: dict[tuple[str, date, str, str], list[Chrysalis]] = {}
    first: dict[tuple[str, date, str, str], Item | Outlook] = {}
    for row, what in found:
        look = what.look if isinstance(what, Item) else what
        ends = (what.state.low, what.state.high) if isinstance(what, Item) else (None, None)
        key = (row.species, row.formed, look.kept or row.kept, str(ends))
        together.setdefault(key, []).append(row)
        first.setdefault(key, what)
    lines: list[Runs] = []
    for key, rows in list(together.items())[:MOST_LINES]:
        lines.append((*_head(composer, rows, key), *tail(first[key])))
    rest = sum(len(rows) for rows in list(together.values())[MOST_LINES:])
    if rest:
        lines.append(composer.whole(f"… {rest} {composer.words.label('and-more')}"))
    return lines


def _head(composer: ShelfComposer, rows: Sequence[Chrysalis], key: tuple[str, date, str, str]) -> Runs:
    """Return "No. 3, 4, 7 (black swallowtail, formed June 20, 2026, in an unheated garage or shed)"."""
    words = composer.words
    shown = [row.number for row in rows[:MOST_NUMBERS]]
    runs: list[Run] = [Text("No."), Text(NBSP)]
    runs.extend(joined([composer.const(name, "name") for name in shown]))
    if len(rows) > MOST_NUMBERS:
        runs += [Text(" "), *composer.whole(f"+ {len(rows) - MOST_NUMBERS}")]
    species, formed, kept, _ = key
    common = composer.library.subject(species).names.common
    runs.append(Text(f" ({common}, {words.label('formed')} "))
    runs.extend(composer.const(full_day(formed), "name"))
    kind = words.kept.get(kept)
    if kind is not None:
        runs.append(Text(f", {kind.name}"))
    elif kept:
        runs += [Text(", "), *composer.const(kept, "name")]
    runs.append(Text(")"))
    return tuple(runs)


def _expected(composer: ShelfComposer, item: Item, status: Status) -> Runs:
    """Return when it may open and when to stop waiting, as far as there are days."""
    words, state = composer.words, item.state
    runs: list[Run] = []
    if state.low is not None and state.high is not None:
        this_year = status in (Status.DUE, Status.EITHER)
        exact = this_year or (status is Status.SPRING and item.row.moved is not None)
        shown = span_days(state.low, state.high) if exact else span_parts(state.low, state.high)
        window = item.look.window("this-year" if this_year else "next-spring")
        inputs, proxy = (window.inputs, window.proxy) if window is not None else ((), None)
        name = f"row-{item.row.line}.opens"
        runs.append(Text(f": {words.label('opens-about')} "))
        runs.append(_days(composer, name, shown, (state.low, state.high), inputs, proxy))
    stop = state.stop
    if stop is not None and stop.low is not None and stop.high is not None and status is not Status.WAITS:
        shown, name = span_parts(stop.low, stop.high), f"row-{item.row.line}.stop"
        runs.append(Text(f"{'; ' if runs else ': '}{words.label('stop')} "))
        runs.append(_days(composer, name, shown, (stop.low, stop.high), stop.inputs, stop.proxy))
    return tuple(runs)


def _days(
    composer: ShelfComposer, name: str, shown: str, days: tuple[date, date], inputs: Iterable[str], proxy: str | None
) -> Run:
    value = {"low": days[0].isoformat(), "high": days[1].isoformat()}
    return composer.worked(
        name, shown, value, parents=inputs, proxy=proxy, machine=f"{value['low']}/{value['high']}", tag="data", marks=()
    )


# -- own times ---------------------------------------------------------------------------------------------------------


def _times(composer: ShelfComposer, ground: Ground, own: OwnTimes) -> Runs:
    """Return the club's times of one kind, then what is published or common for it."""
    words = composer.words
    species = composer.library.subject(own.species).names.common
    kind = words.kept.get(own.kept or "")
    where_kept = f", {kind.name}" if kind is not None else ""
    place = composer.setting.profile.name or words.label("place-unnamed")
    name = f"own.times-{own.id}.{own.species}" + (f".{own.kept}" if own.kept else "")
    low, high = own.days[0], own.days[-1]
    span = many(low, "day", "days") if low == high else f"{number(low)} to {many(high, 'day', 'days')}"
    detail = f"n = {own.n}, {own.period}, {place}"
    value = {"low": low, "median": own.middle, "high": high, "n": own.n}
    runs: list[Run] = [Text(f"{words.label(f'time-{own.id}')} ({species}{where_kept}): ")]
    runs.append(composer.own(name, span, value, "d", detail))
    if own.n > 1:
        middle = f"{number(own.middle)}{NBSP}days"
        runs += [Text(f", {words.label('half-by')} "), composer.own(f"{name}.median", middle, own.middle, "d", detail)]
    runs.append(Text(f" ({composer.library.all_words().marks['own-observation']['name']}, "))
    runs.append(composer.own(f"{name}.n", f"n = {own.n}, {own.period}", own.n, "1", detail))
    runs += [Text(", "), *composer.const(place, "name"), Text(").")]
    beside = [shown for quantity in own.compare for shown in _compared(composer, ground, own.species, quantity)]
    if beside:
        runs += [Text(f" {words.label('beside')} "), *joined(beside, "; "), Text(".")]
    return tuple(runs)


def _compared(composer: ShelfComposer, ground: Ground, species: str, quantity: str) -> list[Runs]:
    """Return every public statement of a quantity, each with its mark and its conditions."""
    found = ground.stage(species, quantity)
    if found is None:
        return []
    if found.relative is not None:
        return [composer.stage(found)]
    made: list[Runs] = []
    for at, statement in enumerate(found.fact.says):
        if statement.span is None or statement.basis.kind == "memory":
            continue
        name = found.fact.id if at == 0 else f"beside-{at}.{found.fact.id}"
        runs = composer.fact(found.fact, statement, name=name)
        conditions = f" ({statement.conditions})" if statement.conditions else ""
        made.append((*runs, Text(conditions)))
    return made


# -- the whole register's outlook --------------------------------------------------------------------------------------


def outlooks_page(
    composer: ShelfComposer, ground: Ground, register: Register, found: Sequence[tuple[Chrysalis, Outlook]]
) -> Document:
    """Return the page with the outlook of every closed chrysalis of a register, by chance."""
    words = composer.words
    composer.subjects.update(dict.fromkeys([*(look.species for _, look in found), "winter-store"]))
    main = composer.say("shelf-mixed" if found else "shelf-empty")
    body: list[Block] = [Slot("main-message", (para(main, "key"),), (Text(composer.library.say("main-message")),))]
    for chance in Chance:
        rows = [(row, look) for row, look in found if look.chance is chance]
        if rows:
            lines = grouped(composer, rows, lambda look: _windows(composer, look))
            title = words.chances[chance.value]
            blocks = (items(lines, role="plainlist"), *_regions(composer, [look for _, look in rows]))
            body.append(Slot(chance.value, blocks, (Text(title[:1].upper() + title[1:]),)))
    body.append(composer.slot("changes", "changes", items(composer.lines("changes"))))
    body.extend(trouble(composer, register))
    body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-shelf"))))
    return composer.page("outlook", words.label("outlook-all-title"), where(composer), body, words.cautions["outlook"])


def _windows(composer: ShelfComposer, look: Outlook) -> Runs:
    words = composer.words
    runs: list[Run] = []
    wanted = ("next-spring",) if look.waits else ("this-year", "next-spring")
    for name in wanted:
        window = look.window(name)
        if window is None or window.low is None or window.high is None or (look.bound and name == "this-year"):
            continue
        shown = span_days(window.low, window.high) if name == "this-year" else span_parts(window.low, window.high)
        lead = f": {words.label('opens-about')} " if not runs else f", {words.label('or-else')} "
        label = f"row-{look.species}-{look.formed.isoformat()}-{look.kept or 'any'}.{name}"
        runs += [Text(lead), _days(composer, label, shown, (window.low, window.high), window.inputs, window.proxy)]
    return tuple(runs)


# -- rows to mend ------------------------------------------------------------------------------------------------------


def trouble(composer: ShelfComposer, register: Register) -> list[Block]:
    """Return the rows that were not read, those to look at again, and how dates were read."""
    words = composer.words
    made: list[Block] = []
    for level, title in (("error", "unread"), ("warning", "noticed")):
        found = [problem for problem in register.problems if problem.level == level]
        if found:
            lines = [composer.whole(_problem(words.label("line"), problem)) for problem in found[:MOST_LINES]]
            if len(found) > MOST_LINES:
                lines.append(composer.whole(f"… {len(found) - MOST_LINES} {words.label('and-more')}"))
            made.append(composer.slot(title, title, items(lines, role="plainlist")))
    if register.notes:
        notes = [composer.whole(f"{note}.") for note in register.notes]
        made.append(composer.slot("how-read", "how-read", items(notes, role="plainlist")))
    return made


def _problem(word: str, problem: Problem) -> str:
    column = f", {problem.column}" if problem.column else ""
    found = f"; found {problem.found}" if problem.found else ""
    expected = f"; expected {problem.expected}" if problem.expected else ""
    return f"{word} {problem.line}{column}: {problem.says}{found}{expected}."
