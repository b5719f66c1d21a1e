"""A place's freezes, day length and temperatures in, charts as picture blocks out, those the place allows."""

from __future__ import annotations

from collections.abc import Iterator

from handouts.charts.svg import Chart
from handouts.compose.composer import Composer
from handouts.compose.pictures import charted
from handouts.model.document import Picture
from handouts.season.making import Maker
from handouts.season.opening import heat_need
from handouts.season.sun import Event, day_length

WIDTH_MM, LIGHT_MM, HEAT_MM = 172.0, 66.0, 66.0
LEAST = 0.7  # lower than this the labels would meet


def place_charts(composer: Composer, *, scale: float = 1.0) -> list[Picture]:
    """Return the charts of freeze chances, day length and warmth that this place allows, in this order.

    `scale` draws the two tall ones lower. A zone alone allows none.
    """
    return [charted(composer, chart, WIDTH_MM) for chart in _charts(composer, scale)]


def _charts(composer: Composer, scale: float) -> Iterator[Chart]:
    from handouts.charts.day_length import day_length_chart
    from handouts.charts.frost_chance import frost_chance

    setting, words = composer.setting, composer.library.all_words()
    profile, latitude = setting.profile, setting.profile.latitude
    frosts = {side: days for side, days in setting.freeze_spread().items() if len(set(days)) == len(days)}
    if frosts:
        kinds = {side: field.kind for side in frosts if (field := profile.freeze_field(side)) is not None}
        yield frost_chance(frosts, words, width_mm=WIDTH_MM, frost_basis=kinds or "derived")
    if latitude is not None:
        turn = setting.season_of(setting.species, setting.year).window("diapause-turn")
        yield day_length_chart(
            lambda day: day_length(latitude, day),
            words,
            setting.year,
            twilight=lambda day: day_length(latitude, day, Event.CIVIL_TWILIGHT),
            turn=turn,
            south=profile.south,
            width_mm=WIDTH_MM,
            height_mm=LIGHT_MM * max(scale, LEAST),
        )
    if (heat := _heat(composer, scale)) is not None:
        yield heat


def _heat(composer: Composer, scale: float) -> Chart | None:
    """The warmth toward opening, where temperatures and a heat sum are known and a usual year reaches it."""
    from handouts.charts.heat_opening import HeatTarget, heat_opening, reached_in

    setting, library = composer.setting, composer.library
    profile = setting.profile
    maker = Maker(library, setting.species, profile, setting.year)
    need, heat, base = heat_need(maker), maker.fact("opening-heat"), maker.fact("opening-base")
    if profile.curve is None or need is None or heat is None or base is None:
        return None
    target = HeatTarget(
        need.low,
        need.high,
        need.base,
        heat.id,
        base.id,
        heat.preferred.basis.kind,
        need.relative,
        tuple(dict.fromkeys(name for fact in need.inputs for name in library.facts[fact].preferred.rests_on)),
    )
    if not reached_in(profile.curve, target, profile.south):
        return None
    words = library.all_words()
    return heat_opening(
        profile.curve,
        target,
        words,
        setting.year,
        south=profile.south,
        width_mm=WIDTH_MM,
        height_mm=HEAT_MM * max(scale, LEAST),
    )
