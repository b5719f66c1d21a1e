"""A picture's or chart's name in, the picture block out; the figures a chart shows become claims."""

from __future__ import annotations

import re
from datetime import timedelta

from handouts.charts.svg import Chart
from handouts.compose.composer import Composer
from handouts.errors import BadContent
from handouts.model.document import Picture, Text
from handouts.model.library import Library
from handouts.model.times import Offset
from handouts.pictures import load_picture

_SCALE = re.compile(r'data-const="[a-z]+"[^>]*>([^<]+)<')


def picture_block(composer: Composer, name: str) -> Picture:
    """Return the drawing `name` of the templates. Raises BadContent when there is none or it is not safe."""
    drawing = load_picture(name)
    return Picture(name, drawing.svg, drawing.title, drawing.alt, (Text(drawing.teaches),), drawing.width_mm)


def chart_block(
    composer: Composer, name: str, *, width_mm: float = 172, height_mm: float | None = None, wall: bool = False
) -> Picture:
    """Return the chart `name` drawn from the season of this place; its figures become claims.

    For a `wall` its letters are as large as `width_mm` and `height_mm` allow.
    """
    from handouts.charts.wall_strip import wall_strip
    from handouts.charts.year_strip import year_strip
    from handouts.season.sun import day_length

    if name != "year-strip":
        raise BadContent(f"there is no chart {name!r}", expected="year-strip")
    setting, library = composer.setting, composer.library
    latitude = setting.profile.latitude
    kinds = {side: field.kind for side in ("last", "first") if (field := setting.profile.freeze_field(side))}
    season = setting.season_of(setting.species, setting.year)
    light = None if latitude is None else lambda day: day_length(latitude, day)
    frosts, words = setting.freeze_spread(), library.all_words()
    basis = kinds or "derived"
    if wall and height_mm is not None:
        chart = wall_strip(
            season,
            light,
            frosts,
            words,
            width_mm=width_mm,
            height_mm=height_mm,
            frost_basis=basis,
            offsets=_offsets(library),
        )
    else:
        chart = year_strip(
            season,
            light,
            frosts,
            words,
            width_mm=width_mm,
            height_mm=height_mm,
            frost_basis=basis,
            offsets=_offsets(library),
        )
    return charted(composer, chart, width_mm)


def charted(composer: Composer, chart: Chart, width_mm: float) -> Picture:
    """Return a chart as a picture block; its figures become claims of the document."""
    for claim in chart.claims:
        composer.figure(claim)
    # Figures of a scale are declared in the drawing itself; a reader of the PDF finds them in the manifest.
    composer.constants.update(dict.fromkeys(_SCALE.findall(chart.svg)))
    return Picture(chart.id, chart.svg, chart.title, chart.alt, (Text(chart.caption),), width_mm, "chart")


def _offsets(library: Library) -> dict[str, tuple[float, float]]:
    """Return the windows that are counted from a freeze: low and high weeks from it."""
    found: dict[str, tuple[float, float]] = {}
    for name, words in library.all_words().windows.items():
        fact = library.facts.get(words.rule or "")
        ends = fact.preferred.time.ends if fact is not None and fact.preferred.time is not None else ()
        weeks = [point.days / timedelta(weeks=1) for point in ends if isinstance(point, Offset)]
        if len(weeks) == 2:
            found[name] = (weeks[0], weeks[1])
    return found
