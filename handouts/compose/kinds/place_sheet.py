"""Frost, light and warmth of one place: its charts on one sheet, what may not be said there, and why."""

from __future__ import annotations

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.kinds.forms import NoSheet
from handouts.compose.place_charts import place_charts
from handouts.model.document import Block, Document, Items, Para, Slot, Text
from handouts.model.records import Plan

KIND = "place-sheet"


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the charts of the place and the plan's species. Raises NoSheet where only a zone is known."""
    setting, library = composer.setting, composer.library
    composer.subjects[setting.species] = None
    charts = place_charts(composer, scale=setting.strip)
    if not charts:
        raise NoSheet(
            "there is nothing to draw for this place",
            found="no latitude and no frost dates",
            expected="a ZIP, a latitude, frost dates or a station's file",
        )
    body: list[Block] = []
    for chart in charts:
        body.append(chart)
        if chart.id == "day-length":  # whose day length it goes by stands here, in the phrase of the window
            label = library.all_words().windows["diapause-turn"].label
            body.append(Para((Text(f"{label}: "), *composer.resolve("season.diapause-turn"), Text(".")), "small"))
    gaps = [composer.const(f"{gap.what}: {gap.why}", "note") for gap in setting.profile.not_known]
    if gaps:
        body.append(Slot("not-known", (Items(tuple(gaps)),), (Text(library.say("not-known-here")),)))
    name = library.subject(setting.species).names.common
    where = shared.where(composer)
    return finish(
        composer,
        kind=KIND,
        topic=plan.id,
        title=library.say("place-sheet-title"),
        subtitle=(*where[:-1], Text(f", {library.say('and-the')} {name}.")),
        body=tuple(body),
        cautions=caution_slot(composer, tuple(body), [], length="short", brief="names"),
        brief="names",
        plan=plan,
    )
