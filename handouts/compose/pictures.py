"""A picture's or chart's name in, the picture block out; the figures a chart shows become claims."""

from __future__ import annotations

from datetime import date

from handouts.compose.composer import Composer
from handouts.errors import BadContent
from handouts.model.document import Picture, Text
from handouts.pictures import load_picture


def picture_block(composer: Composer, name: str) -> Picture:
    """Return the drawing `name` of the templates. Raises BadContent when there is none or it is not safe."""
    drawing = load_picture(name)
    return Picture(name, drawing.svg, drawing.title, drawing.alt, (Text(drawing.teaches),), drawing.width_mm)


def chart_block(composer: Composer, name: str, *, width_mm: float = 172, scale: float = 1.0) -> Picture:
    """Return the chart `name` drawn from the season of this place; its figures become claims."""
    from handouts.charts.year_strip import year_strip
    from handouts.season.sun import day_length

    if name != "year-strip":
        raise BadContent(f"there is no chart {name!r}", expected="year-strip")
    setting = composer.setting
    profile = setting.profile
    season = setting.season_of(setting.species, setting.year)
    latitude = profile.latitude
    light = None if latitude is None else lambda day: day_length(latitude, day)
    chart = year_strip(
        season,
        light,
        setting.freeze_spread(),
        composer.library.all_words(),
        width_mm=width_mm,
        scale=scale,
    )
    for claim in chart.claims:
        composer.figure(claim)
    return Picture(chart.id, chart.svg, chart.title, chart.alt, (Text(chart.caption),), width_mm, "chart")


def day_words(day: date) -> str:
    """Return "06-21", the name of a day within a claim's id."""
    return f"{day.month:02}-{day.day:02}"
