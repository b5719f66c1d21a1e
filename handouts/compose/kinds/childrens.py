"""The children's sheet: something to find, draw and count on one page, with the rules for grown-up hands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.pictures import picture_block
from handouts.model.document import Blank, Block, Document, Items, Para, Runs, Slot, Table, Text
from handouts.model.records import Plan


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the children's sheet of a plan. Raises NoSheet when the plan has none."""
    told = plan.children
    if told is None:
        raise shared.lacking(plan, "childrens-sheet", "children")
    say = composer.library.say
    composer.subjects.update(dict.fromkeys(plan.species[:1]))

    def said(lines: Iterable[str]) -> tuple[Runs, ...]:
        return tuple(composer.inline(line, plan.origin, told.line) for line in lines)

    (message,) = said([told.message])
    body: list[Block] = [
        Slot("main-message", (Para(message, "key"),), (Text(say("children-message")),)),
        shared.steps(composer, told.do_this, plan),
    ]
    if told.picture:
        body.append(replace(picture_block(composer, told.picture), caption=()))
    body.append(Slot("draw", tuple(Blank(label) for label in told.draw), (Text(say("children-draw")),)))
    if told.count:
        head = (say("children-count-what"), say("children-count-how-many"))
        rows = tuple((row, ()) for row in said(told.count))
        body.append(Slot("count", (Table(say("children-count"), head, rows, "form"),), (Text(say("children-count")),)))
    if told.wonder:
        body.append(Slot("wonder", (Items(said(told.wonder)),), (Text(say("children-wonder")),)))
    body.append(Slot("grown-ups", (Items(said(told.grown_ups)),), (Text(say("children-grown-ups")),)))
    wanted = list(dict.fromkeys((*told.cautions, *plan.cautions)))
    return finish(
        composer,
        kind="childrens-sheet",
        topic=plan.id,
        title=told.title,
        subtitle=(Text(f"{say('children-for')} "), *shared.where(composer)),
        body=tuple(body),
        cautions=caution_slot(composer, tuple(body), wanted, length="short", brief="names"),
        brief="names",
        plan=plan,
        statements=shared.SHEET_STATEMENTS,
    )
