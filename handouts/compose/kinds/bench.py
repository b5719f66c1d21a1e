"""The bench card: the steps at the rearing shelf in their order, each with its time, to be read at arm's length."""

from __future__ import annotations

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.model.document import Block, Document, Run, Runs, Slot, Styled, Text
from handouts.model.plan_parts import BenchStep
from handouts.model.records import Plan


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the bench card of a plan. Raises NoSheet when the plan has no steps for the shelf."""
    if not plan.bench:
        raise shared.lacking(plan, "bench-card", "bench")
    library = composer.library
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    steps = composer.numbered((_step(composer, plan, step) for step in plan.bench), "bench")
    body: tuple[Block, ...] = (Slot("bench", (steps,), (Text(library.say("bench")),)),)
    return finish(
        composer,
        kind="bench-card",
        topic=plan.id,
        title=plan.title,
        subtitle=shared.where(composer),
        body=body,
        cautions=caution_slot(composer, body, plan.cautions, length="short", brief="names"),
        brief="names",
        plan=plan,
        statements=shared.SHEET_STATEMENTS,
    )


def _step(composer: Composer, plan: Plan, step: BenchStep) -> Runs:
    """Return what to do, and after it, set apart, its time."""
    line = step.line if step.line > 1 else plan.line
    runs: list[Run] = list(composer.inline(step.do, plan.origin, line))
    if step.time:
        runs.extend((Text(" "), Styled("strong", composer.inline(step.time, plan.origin, line))))
    return tuple(runs)
