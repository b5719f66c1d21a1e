"""The workshop handout: two pages to take home."""

from __future__ import annotations

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.pictures import chart_block, picture_block
from handouts.model.document import Block, Document
from handouts.model.records import Plan


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the handout of a plan: message, steps, picture; then the plan for the place, prose, gaps, cautions."""
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    subtitle = shared.subtitle(composer, plan)
    body: list[Block] = [shared.main_message(composer, plan), shared.do_this(composer, plan)]
    if plan.picture:
        body.append(picture_block(composer, plan.picture))
    place = shared.place_plan(composer, plan)
    if place is not None:
        body.append(place)
    if plan.chart and not plan.picture:
        body.append(chart_block(composer, plan.chart))
    body.extend(shared.prose_blocks(composer, plan))
    body.append(shared.not_known(composer, plan))
    cautions = caution_slot(composer, tuple(body), plan.cautions, length="short", brief="names")
    return finish(
        composer,
        kind="handout",
        topic=plan.id,
        title=plan.title,
        subtitle=subtitle,
        body=tuple(body),
        cautions=cautions,
        brief="names",
        plan=plan,
    )
