"""Parts that several kinds of documents share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import get_args

from handouts.compose import prose
from handouts.compose.composer import Composer
from handouts.compose.kinds.forms import NoSheet
from handouts.model.document import Block, Items, Para, Run, Runs, Slot, Table, Text
from handouts.model.records import Plan, StatementName

# What a single sheet for the shelf or a child carries at its foot; how to take part in a workshop stands elsewhere.
SHEET_STATEMENTS = tuple(name for name in get_args(StatementName) if name != "accommodation")


def subtitle(composer: Composer, plan: Plan) -> Runs:
    """Return the sentence for whom and where: audience, place, event."""
    runs: list[Run] = list(composer.inline(plan.audience, plan.origin, 1))
    runs.append(Text(" "))
    runs.extend(where(composer))
    return tuple(runs)


def where(composer: Composer) -> Runs:
    """Return "For NAME, zone Z." with what is known of the place."""
    profile = composer.setting.profile
    runs: list[Run] = [Text("For ")]
    runs.extend(composer.resolve("place.name"))
    if profile.zone:
        runs.append(Text(", "))
        runs.extend(composer.resolve("place.zone"))
    runs.append(Text("."))
    return tuple(runs)


def main_message(composer: Composer, plan: Plan) -> Slot:
    """Return the main-message slot."""
    runs = composer.inline(plan.main_message, plan.origin, 1)
    return Slot("main-message", (Para(runs, "key"),), (Text(composer.library.say("main-message")),))


def do_this(composer: Composer, plan: Plan) -> Slot:
    """Return the numbered steps."""
    return steps(composer, plan.do_this, plan)


def steps(composer: Composer, lines: Iterable[str], plan: Plan) -> Slot:
    """Return lines of a plan as numbered steps."""
    return Slot(
        "do-this",
        (composer.numbered((composer.inline(line, plan.origin, plan.line) for line in lines), "steps"),),
        (Text(composer.library.say("do-this")),),
    )


def lacking(plan: Plan, kind: str, key: str) -> NoSheet:
    """Say that a plan has nothing to make a kind of document from."""
    return NoSheet(
        f"the topic {plan.id!r} has no {kind}",
        file=plan.origin,
        line=plan.line,
        expected=f"the key `{key}`",
        remedy=f"Write `{key}` in the plan, or leave {kind} out of the documents.",
    )


def not_known(composer: Composer, plan: Plan) -> Slot:
    """Return what nobody knows, in words."""
    lines = tuple(composer.inline(line, plan.origin, 1) for line in plan.not_known)
    return Slot("not-known", (Items(lines),), (Text(composer.library.say("not-known")),))


def place_plan(composer: Composer, plan: Plan) -> Slot | None:
    """Return the plan for this place as a table of times and tasks."""
    if not plan.table:
        return None
    library = composer.library
    rows: list[tuple[Runs, ...]] = []
    whens = capitals([composer.inline(task.when, plan.origin, task.line) for task in plan.table])
    for task, when in zip(plan.table, whens, strict=True):
        rows.append((when, composer.inline(task.do, plan.origin, task.line)))
    name = prose.plain(composer.resolve("place.name"))
    table = Table(f"{library.say('plan')} {name}", (library.say("when"), library.say("what")), tuple(rows), "plan")
    return Slot("plan", (table,), (Text(f"{library.say('plan')} "), *composer.resolve("place.name")))


def prose_blocks(composer: Composer, plan: Plan) -> tuple[Block, ...]:
    """Return the plan's prose."""
    if not plan.prose:
        return ()
    return composer.blocks(plan.prose, plan.origin.with_suffix(".md") if plan.origin else None, 1)


def capital(runs: Runs) -> Runs:
    """Set the first letter in capitals when the runs open with plain words (a figure keeps its exact text)."""
    if runs and isinstance(runs[0], Text) and runs[0].text:
        return (Text(runs[0].text[0].upper() + runs[0].text[1:]), *runs[1:])
    return runs


def capitals(cells: list[Runs]) -> list[Runs]:
    """Set the first letters of a column in capitals; all stay small when one opens with a figure that begins small."""
    opens = [prose.plain(cell)[:1] for cell in cells if cell and not isinstance(cell[0], Text)]
    return cells if any(letter.islower() for letter in opens) else [capital(cell) for cell in cells]
