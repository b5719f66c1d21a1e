"""A season being made in; when wintered chrysalides open, by heat sum and published flight, is added."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from handouts import units
from handouts.season.curve import TemperatureCurve, reach
from handouts.season.flights import Start
from handouts.season.making import Maker, counted, joined, stretch_words

AGREE_DAYS = 3  # starts this close to each other are called the same


@dataclass(frozen=True)
class HeatNeed:
    """What a wintered chrysalis gathers before it opens: base in °F, sums in °F degree-days, from whom, which facts."""

    base: float
    low: float
    high: float
    relative: str | None
    inputs: tuple[str, ...]


@dataclass(frozen=True)
class HeatOpening:
    """When the first open in a warm spring (`low`) and a usual one (`first`), and the last in a cold one (`high`).

    `high` is None where a cold season never gathers the heat.
    """

    low: date
    first: date
    high: date | None
    spread: str


def heat_need(maker: Maker) -> HeatNeed | None:
    """Return the heat sum and base of the species or its stand-in, or None."""
    heat, base = maker.fact("opening-heat"), maker.fact("opening-base")
    if heat is None or base is None or heat.preferred.span is None or base.preferred.span is None:
        return None
    sums = [units.convert(end, heat.preferred.span.unit, "[degF].d") for end in heat.preferred.span.ends if end]
    bases = [end for end in base.preferred.span.ends if end is not None]
    if not sums or not bases:
        return None
    floor = units.convert(sum(bases) / len(bases), base.preferred.span.unit, "[degF]")
    inputs = tuple(name for fact in (heat, base) for name in (fact.id, *getattr(fact.preferred.basis, "parents", ())))
    return HeatNeed(floor, min(sums), max(sums), maker.relative_of(heat), inputs)


@lru_cache(maxsize=16)
def heat_opening(curve: TemperatureCurve, start: date, base: float, low: float, high: float) -> HeatOpening | None:
    """Return when the two heat sums (°F degree-days above `base`, counted from `start`) are reached, or None.

    Cached: species of one garden often share a stand-in. None where even a usual season does not gather the heat.
    """
    early, late = reach(curve, start, low, base), reach(curve, start, high, base)
    if early.low is None or early.mid is None or late.mid is None:
        return None
    return HeatOpening(early.low, early.mid, late.high, early.spread)


def add_opening(maker: Maker, start: Start | None) -> None:
    """Add `spring-opening`: the published first flight and the heat sum, each named, and how they compare.

    Where temperatures are known the window holds both, so that it is never surer than the two together; its best day
    lies between the later beginning and the earlier end.
    """
    name = "spring-opening"
    curve, need = maker.profile.curve, heat_need(maker)
    warm = None
    if curve is not None and need is not None:
        begin = date(maker.year, 7, 1) if maker.profile.south else date(maker.year, 1, 1)
        warm = heat_opening(curve, begin, need.base, need.low, need.high)
    if warm is None or need is None or curve is None:
        _by_flight(maker, start, need is not None and curve is not None)
        return
    whose = f"the heat sum of the {need.relative}" if need.relative else "its heat sum"
    last = warm.high
    note = f"{whose}, from the temperatures here ({curve.basis}, {curve.period}; {warm.spread})"
    inputs = (*need.inputs, "place.temperatures")
    if last is None:
        last = warm.first
        note += "; in a cold year the slowest may wait for another spring"
    note += f": {stretch_words(warm.low, last)}"
    if start is None:
        maker.add(name, warm.low, min(warm.first, last), last, "derived", inputs, note, need.relative)
        return
    gap = (warm.first - start.mid).days
    how = (
        "at the same time as"
        if abs(gap) <= AGREE_DAYS
        else f"{counted(abs(gap))} {'later' if gap > 0 else 'earlier'} than"
    )
    note += f"; that is {how} the first flight {start.where} ({stretch_words(start.low, start.high)})"
    if abs(gap) > AGREE_DAYS:
        note += "; the window holds both"
    low, high = min(warm.low, start.low), max(last, start.high)
    inner, outer = max(warm.low, start.low), min(last, start.high)
    middle = inner + (outer - inner) / 2
    maker.add(
        name, low, middle, high, "derived", (*inputs, *start.inputs), note, joined(need.relative, start.region)
    )  # fmt: skip


def _by_flight(maker: Maker, start: Start | None, cold: bool) -> None:
    """Without a heat date the published first flight stands alone."""
    flight = maker.made.get("flight-1")
    why = "; the temperatures here do not gather the heat in a usual year" if cold else ""
    if start is None or flight is None or not flight.known:
        maker.none(
            "spring-opening",
            f"no flight times are near enough{why}"
            if cold
            else "needs temperatures of this place, or flight times published near it",
        )
        return
    label = maker.words["spring-opening"].label
    maker.made["spring-opening"] = replace(
        flight, id="spring-opening", label=label, note=f"with the first flight: {flight.note}{why}"
    )


def add_hosts_ready(maker: Maker, start: Start | None) -> None:
    """Add `hosts-ready`: plants stand in leaf when the first butterflies fly, by the earlier of flight and heat."""
    opening = maker.made.get("spring-opening")
    name = "hosts-ready"
    if start is None and (opening is None or not opening.known):
        flight = maker.made.get("flight-1")
        all_year = "flight-season" in maker.made and flight is not None and not flight.known
        maker.none(name, f"the plants are needed all year: {flight.note}" if all_year and flight else "needs the first "
                   "flight: temperatures of this place, or flight times published near it")  # fmt: skip
        return
    if start is None:
        assert opening is not None and opening.low is not None and opening.mid is not None
        maker.add(name, opening.low, None, opening.mid, opening.basis, opening.inputs, opening.note, opening.proxy)
        return
    maker.add(name, start.low, None, start.high, start.basis, start.inputs, f"the first flight begins {start.note}",
              start.region)  # fmt: skip
    if opening is not None and opening.known and opening.low is not None and opening.low < start.low:
        # an early warm spring brings butterflies before the published time
        made = maker.made[name]
        note = f"{made.note}; a warm spring may bring them earlier"
        inputs = tuple(dict.fromkeys((*made.inputs, *opening.inputs)))
        maker.add(name, opening.low, made.mid, start.high, "derived", inputs, note, opening.proxy)
