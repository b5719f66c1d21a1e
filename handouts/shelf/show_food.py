"""Food plans in, their page out: how many plants, when to sow and sow again, when a failed sowing is felt."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from handouts import units
from handouts.compose.phrase import NBSP, day_words, quantity
from handouts.model.document import Blank, Block, Document, Run, Runs, Slot, Table, Text
from handouts.shelf.food import SAFETY, FoodPlan, Sowing
from handouts.shelf.outlook import Ground
from handouts.shelf.page import Made, ShelfComposer, items, many, para
from handouts.shelf.show import where


def food_page(composer: ShelfComposer, ground: Ground, plans: Sequence[FoodPlan]) -> Document:
    """Return the page of one plan or several, each enough by itself."""
    words = composer.words
    for plan in plans:
        composer.subjects.update(dict.fromkeys([plan.species, plan.plant, "feeding"]))
    first = plans[0]
    _values(composer, first)
    kinds = " or ".join(composer.library.subject(plan.plant).names.common for plan in plans)
    shown = f"{many(first.plants, words.label('plant'), words.label('plants'))} of {kinds}"
    composer.values["food.plants-any"] = _worked(composer, first, "plants-any", shown, first.plants, "1")
    main = composer.say(_main(first) if len(plans) == 1 else "food-main-both")
    body: list[Block] = [Slot("main-message", (para(main, "key"),), (Text(composer.library.say("main-message")),))]
    for plan in plans:
        _values(composer, plan)
        body.append(_section(composer, plan))
    if composer.setting.frosts.last is None:
        boxes = tuple(Blank(words.label(name)) for name in ("your-last", "your-first"))
        body.append(composer.slot("weeks", "your-dates", para(composer.say("food-weeks")), *boxes))
    body.append(composer.slot("not-known", "not-known", items(composer.lines("not-known-food"))))
    runs = (*where(composer), Text(" "), *composer.say("food-subtitle"))
    if composer.setting.frosts.last is not None:
        made = composer.values
        made["food.year"] = lambda: composer.const(str(composer.setting.year), "name")
        runs = (*runs, Text(" "), *composer.say("food-year"))
    return composer.page("food", words.label("food-title"), runs, body, words.cautions["food"])


def _main(plan: FoodPlan) -> str:
    """Return the key of the main sentence for one plant."""
    twice = _twice(plan)
    if twice == "food-twice-up":
        return "food-main-least"
    if plan.per_fact is None:
        return "food-main-given"
    return "food-main" if twice == "food-twice" else "food-main-about"


def _twice(plan: FoodPlan) -> str:
    """Return the key of what is said of the doubling: exact, or to which side it was rounded."""
    twice = SAFETY * plan.need[1]
    if abs(twice - plan.plants) < 1e-6:
        return "food-twice"
    return "food-twice-down" if plan.plants < twice else "food-twice-up"


def _values(composer: ShelfComposer, plan: FoodPlan) -> None:
    """Give the composer the values that a plan's sentences name."""
    made, words, library = composer.values, composer.words, composer.library
    common = library.subject(plan.plant).names.common
    one, more = words.label("plant"), words.label("plants")
    made["food.plant"] = lambda: (Text(common),)
    made["food.species"] = lambda: (Text(library.subject(plan.species).names.common),)
    noun = (words.label("caterpillar"), words.label("caterpillars"))
    made["food.caterpillars"] = lambda: (
        composer.given("food.caterpillars", many(plan.caterpillars, *noun), plan.caterpillars),
    )
    made["food.count"] = _worked(composer, plan, "plants", many(plan.plants, one, more), plan.plants, "1")
    kinds = f"{plan.plants}{NBSP}{common} {one if plan.plants == 1 else more}"
    made["food.plants"] = _worked(composer, plan, "plants-named", kinds, plan.plants, "1")
    least = round(plan.need[1], 1)
    made["food.need"] = _worked(composer, plan, "need", quantity(least, least, "1", (one, more)), plan.need[1], "1")
    if plan.per_fact is None:
        shown = quantity(*plan.per_plant, "1", noun)
        made["food.per"] = lambda: (composer.given("food.per-plant", shown, plan.per_plant[0]),)
    else:
        made["food.per"] = lambda: composer.resolve(plan.per_fact or "")
    for name, fact in (("spacing", "spacing"), ("again", "sow-again-every"), ("cut", "first-cutting")):
        made[f"food.{name}"] = _resolved(composer, plan, fact)
    for name in ("plant-out", "fall-sowing", "sow-indoors", "sow-outdoors"):
        made[f"food.{name}"] = _resolved(composer, plan, name)
    made["food.up"] = _emergence(composer, plan)
    if plan.row_feet is not None:
        made["food.row"] = _row(composer, plan)


def _worked(composer: ShelfComposer, plan: FoodPlan, name: str, shown: str, value: object, unit: str | None) -> Made:
    parents = (plan.per_fact,) if plan.per_fact else ()
    marks = ("derived", "common-practice") if plan.per_fact else ("derived",)
    key = f"food.{plan.plant}.{name}"
    return lambda: (composer.worked(key, shown, value, unit, parents=parents, marks=marks),)


def _resolved(composer: ShelfComposer, plan: FoodPlan, quantity_name: str) -> Made:
    """A fact of the plant, shown as the composer shows any fact."""
    name = next(iter(plan.facts.get(quantity_name, ())), "")
    return lambda: composer.resolve(name) if name else (Text(composer.words.label("time-unknown")),)


def _emergence(composer: ShelfComposer, plan: FoodPlan) -> Made:
    """How long seed takes: the fact, or the span of several when soils of several warmths were tested."""
    names = plan.facts.get("emergence", ())
    if len(names) <= 1:
        return _resolved(composer, plan, "emergence")
    facts = [composer.library.fact(name) for name in names]
    spans = [fact.preferred.span for fact in facts if fact.preferred.span is not None]
    days = [units.convert(end, span.unit, "d") for span in spans for end in span.ends if end is not None]
    references = tuple(name for fact in facts for name in fact.preferred.rests_on)
    shown = quantity(min(days), max(days), "d")
    value = {"low": min(days), "high": max(days)}
    key = f"food.{plan.plant}.up"
    return lambda: (composer.worked(key, shown, value, "d", parents=(*names, *references)),)


def _row(composer: ShelfComposer, plan: FoodPlan) -> Made:
    feet = plan.row_feet or 0.0
    if composer.setting.system == "us":
        whole = max(1, round(feet))
        shown = f"about {quantity(whole, whole, '[ft_i]')}"
    else:
        meters = units.rounded(units.convert(feet, "[ft_i]", "m"), "m")
        shown = f"about {quantity(meters, meters, 'm')}"
    parents = (*(name for name in (plan.per_fact,) if name), *plan.facts.get("spacing", ()))
    key = f"food.{plan.plant}.row"
    return lambda: (composer.worked(key, shown, feet, "[ft_i]", parents=parents),)


def _section(composer: ShelfComposer, plan: FoodPlan) -> Slot:
    """One plant: how many, when to sow, and the table of its sowings."""
    common = composer.library.subject(plan.plant).names.common
    need = composer.say("food-need" if plan.per_fact else "food-need-given")
    said = [(*need, Text(" "), *composer.say(_twice(plan)))]
    if plan.row_feet is not None:
        said.append(composer.say("food-row"))
    if "plant-out" in plan.facts and "sow-indoors" in plan.facts:
        said.append(composer.say("food-plant-out"))
    if "emergence" in plan.facts:
        said.append(composer.say("food-up"))
    if "first-cutting" in plan.facts:
        said.append(composer.say("food-cut"))
    if "sow-again-every" in plan.facts:
        said.append(composer.say("food-again"))
        if "fall-sowing" in plan.facts:
            said.append(composer.say("food-until"))
    elif len(plan.sowings) > 1:
        said.append(composer.say("food-once"))
    said.extend(composer.say(f"food-unknown-{name}") for name in plan.not_known)
    blocks: list[Block] = [items(said)]
    if plan.sowings:
        blocks.append(_table(composer, plan))
        if any(sowing.ready for sowing in plan.sowings):
            blocks.append(para(composer.say("food-felt"), "small"))
        elif any(sowing.ready_weeks for sowing in plan.sowings):
            blocks.append(para(composer.say("food-felt-weeks"), "small"))
    title = (Text(f"{common[:1].upper()}{common[1:]}"),)
    return Slot(f"food-{plan.plant}", tuple(blocks), title)


def _table(composer: ShelfComposer, plan: FoodPlan) -> Table:
    words = composer.words
    dated = any(sowing.sow is not None for sowing in plan.sowings)
    names = ("sow", "up", "ready", "felt", "feeds") if dated else ("sow", "ready")
    rows: list[tuple[Runs, ...]] = []
    for at, sowing in enumerate(plan.sowings, 1):
        key = f"food.{plan.plant}.sowing-{at}"
        first = (*_sow(composer, plan, sowing, key), Text(f", {words.label(sowing.kind)}"))
        if dated:
            rows.append((
                first,
                _days(composer, plan, f"{key}.up", sowing.up),
                _days(composer, plan, f"{key}.ready", sowing.ready),
                _felt(composer, plan, sowing, key),
                (Text(_feeds(composer, sowing)),),
            ))  # fmt: skip
        else:
            rows.append((first, _weeks(composer, plan, f"{key}.ready", sowing.ready_weeks)))
    caption = composer.library.subject(plan.plant).names.common
    head = tuple(words.label(name) for name in names)
    return Table(f"{words.label('sowings')}: {caption}", head, tuple(rows), "plan")


def _feeds(composer: ShelfComposer, sowing: Sowing) -> str:
    """Return the generations that a sowing feeds, in words."""
    words = composer.words
    if sowing.ready is None:
        return words.label("not-here")
    return ", ".join(words.label(f"brood-{name}") for name in sowing.feeds) or words.label("feeds-none")


def _parents(plan: FoodPlan) -> tuple[str, ...]:
    """What a plan's days rest on."""
    wanted = ("sow-indoors", "sow-outdoors", "sow-again-every", "first-cutting", "emergence", "fall-sowing")
    return tuple(name for quantity_name in wanted for name in plan.facts.get(quantity_name, ()))


def _sow(composer: ShelfComposer, plan: FoodPlan, sowing: Sowing, key: str) -> Runs:
    if sowing.sow is not None:
        return _days(composer, plan, key, sowing.sow)
    return _weeks(composer, plan, key, sowing.weeks)


def _days(composer: ShelfComposer, plan: FoodPlan, key: str, days: tuple[date, date] | None) -> Runs:
    if days is None:
        return (Text(composer.words.label("not-here")),)
    low, high = days
    shown = f"about {day_words(low)}" if low == high else f"{day_words(low)} to {day_words(high)}"
    value = {"low": low.isoformat(), "high": high.isoformat()}
    machine = f"{value['low']}/{value['high']}"
    figure = composer.worked(key, shown, value, parents=_parents(plan), machine=machine, tag="data", marks=())
    return (figure,)


def _felt(composer: ShelfComposer, plan: FoodPlan, sowing: Sowing, key: str) -> Runs:
    """Return "the week of August 2, until August 23"."""
    words = composer.words
    if sowing.felt is None:
        none = sowing.ready is not None and sowing.until is not None
        return (Text(words.label("no-caterpillars" if none else "not-here")),)
    day = sowing.felt
    week = composer.worked(
        f"{key}.felt", f"{words.label('week-of')} {day_words(day)}", day.isoformat(), parents=_parents(plan),
        machine=day.isoformat(), tag="time", marks=(),
    )  # fmt: skip
    runs: list[Run] = [week]
    if sowing.until is not None:
        until = sowing.until.isoformat()
        shown = day_words(sowing.until)
        runs.append(Text(f", {words.label('until')} "))
        runs.append(
            composer.worked(f"{key}.until", shown, until, parents=_parents(plan), machine=until, tag="time", marks=())
        )
    return tuple(runs)


def _weeks(composer: ShelfComposer, plan: FoodPlan, key: str, weeks: tuple[float, float] | None) -> Runs:
    """Return "2 weeks before your last freeze", or "from … to …"."""
    if weeks is None:
        return (Text(composer.words.label("not-here")),)
    low, high = (round(end) for end in weeks)
    one = _offset(composer, low)
    shown = one if low == high else f"{one} to {_offset(composer, high)}"
    value = {"low": low, "high": high}
    return (composer.worked(key, shown, value, "wk", parents=_parents(plan), marks=()),)


def _offset(composer: ShelfComposer, weeks: int) -> str:
    words = composer.words
    if weeks == 0:
        return words.label("at-last")
    side = words.label("before-last" if weeks < 0 else "after-last")
    return f"{quantity(abs(weeks), abs(weeks), 'wk')} {side}"
