"""The FAQ sheet: the plan's questions, each with its standard answer for this place."""

from __future__ import annotations

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.model.document import Block, Document, Slot
from handouts.model.records import Plan


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the FAQ sheet of a plan."""
    library = composer.library
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    body: list[Block] = [shared.main_message(composer, plan)]
    extra = list(plan.cautions)
    for name in plan.faq:
        entry = library.entry(name, plan.origin, plan.line)
        composer.subjects.update(dict.fromkeys(entry.subjects))
        extra.extend(entry.cautions)
        answer = composer.blocks(entry.standard, entry.origin, 1)
        body.append(Slot("question", answer, composer.inline(entry.question, entry.origin, 1)))
    body.append(shared.not_known(composer, plan))
    cautions = caution_slot(composer, tuple(body), list(dict.fromkeys(extra)))
    return finish(
        composer,
        kind="faq-sheet",
        topic=plan.id,
        title=f"Questions people ask: {plan.title[:1].lower()}{plan.title[1:]}",
        subtitle=shared.where(composer),
        body=tuple(body),
        cautions=cautions,
        brief="titles",
        plan=plan,
    )
