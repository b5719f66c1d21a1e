"""A species, a place profile and a year in, the dated windows of its season out, each with basis and inputs.

What is published for the nearest region carries the flights; day length, frost dates and heat refine the rest.
No window rests on a memory value; a window that the place does not allow has no dates.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from handouts import units
from handouts.model.facts import Fact, Statement
from handouts.model.library import Library
from handouts.model.season import Season, Window
from handouts.model.times import Offset
from handouts.season import diapause
from handouts.season.curve import reach
from handouts.season.profile import Profile
from handouts.season.regions import NearRegion, flights, nearest

MOST_FLIGHTS = 4
ORDER = ("flight", "eggs", "caterpillars", "chrysalides")
WINTER = (
    "diapause-turn",
    "overwinter-from",
    "to-cold-by",
    "to-warmth",
    "spring-opening",
    "stop-waiting",
    "hosts-ready",
    "last-release",
)
_USABLE = ("published", "derived", "proxy", "common-practice", "own-observation")


class _Maker:
    """Builds the windows of one species in one year; each method adds what it can and says why it can't."""

    def __init__(self, library: Library, species: str, profile: Profile, year: int) -> None:
        self.library, self.species, self.profile, self.year = library, species, profile, year
        self.subject = library.subject(species)
        self.words = library.all_words().windows
        self.made: dict[str, Window] = {}

    # -- helpers ---------------------------------------------------------------------------------------------------

    def add(
        self,
        name: str,
        low: date | None,
        mid: date | None,
        high: date | None,
        basis: str,
        inputs: tuple[str, ...],
        note: str = "",
        proxy: str | None = None,
    ) -> None:
        if low is not None and high is not None and mid is None:
            mid = low + (high - low) / 2
        self.made[name] = Window(name, self.words[name].label, low, mid, high, basis, proxy, inputs, note)

    def none(self, name: str, why: str) -> None:
        self.made[name] = Window(name, self.words[name].label, None, None, None, "not-known", None, (), why)

    def days(self, quantity: str) -> tuple[float, float, str, str | None] | None:
        """Return low and high days of a stage, the fact's id, and the relative's name where one stands in."""
        for owner in (self.species, self.subject.stand_ins.get(quantity.partition(".")[0])):
            fact = self.library.facts.get(f"{owner}.{quantity}") if owner else None
            if fact is None:
                continue
            for statement in fact.says:
                ends = _days(statement)
                if ends is not None:
                    proxy = None if owner == self.species else self.library.subject(str(owner)).names.common
                    return ends[0], ends[1], fact.id, proxy
        return None

    # -- windows ---------------------------------------------------------------------------------------------------

    def flights(self) -> None:
        """Flights as published for the nearest region, widened by the latitude between."""
        profile = self.profile
        if profile.latitude is None and profile.region is None:
            for stage in ORDER:
                self.none(f"{stage}-1", "needs a latitude")
            return
        first = self._near(1)
        if first is None:
            for stage in ORDER:
                self.none(f"{stage}-1", "no flight times are published near here")
            return
        # Later generations come from one region, the nearest that reports a second flight, so that they follow
        # one another.
        later = self._near(2) or first
        for number in range(1, MOST_FLIGHTS + 1):
            near = first if number == 1 else later
            fact = flights(self.library, self.species, near.region.id).get(number)
            if fact is None:
                return
            widen = self._widening(near)
            name = f"flight-{number}"
            time = fact.preferred.time
            assert time is not None
            start, end = time.ends
            if isinstance(start, Offset) or isinstance(end, Offset):
                continue
            inputs = (fact.id, *fact.preferred.rests_on, *(("spring-shift.latitude",) if widen.days else ()))
            published = fact.preferred.basis.kind
            note = near.words()
            if widen.days:
                note += f"; widened by {count(widen.days)} at each end for the distance in latitude"
            self.add(
                name,
                start.first(self.year) - widen,
                None,
                end.last(self.year) + widen,
                published if not widen.days else "derived",
                inputs,
                note,
                near.region.name,
            )
            self._stages(number)

    def _near(self, number: int) -> NearRegion | None:
        profile = self.profile
        return nearest(self.library, self.species, number, profile.latitude, profile.longitude, profile.region)

    def _widening(self, near: NearRegion) -> timedelta:
        if near.degrees_north is None:
            return timedelta(0)
        rule = self.library.facts.get("spring-shift.latitude")
        ends = _days(rule.preferred) if rule else None
        outside = abs(near.degrees_north)
        return timedelta(days=round(outside * ends[1])) if ends else timedelta(0)

    def _stages(self, number: int) -> None:
        """Eggs, caterpillars and chrysalides that follow a flight."""
        flight = self.made[f"flight-{number}"]
        assert flight.low is not None
        assert flight.high is not None
        low, high = flight.low, flight.high
        inputs: tuple[str, ...] = flight.inputs
        sums: list[tuple[str, str]] = [("eggs", "egg"), ("caterpillars", "larva"), ("chrysalides", "pupa.summer")]
        for stage, quantity in sums:
            span = self.days(quantity)
            if span is None:
                self.none(
                    f"{stage}-{number}", f"how long this stage lasts is not known for the {self.subject.names.common}"
                )
                return
            inputs = (*inputs, span[2])
            high = high + timedelta(days=span[1])
            self.add(f"{stage}-{number}", low, None, high, "derived", inputs, flight.note, span[3] or flight.proxy)
            low = low + timedelta(days=span[0])

    def diapause(self) -> None:
        """When day length turns caterpillars to winter rest, and from when new chrysalides are treated so."""
        names = ("diapause-turn", "overwinter-from")
        latitude = self.profile.latitude
        if latitude is None:
            for name in names:
                self.none(name, "needs a latitude: day length cannot be known from a zone")
            return
        donor = self.subject.stand_ins.get("critical-day-length", self.species)
        if donor not in self.library.subjects:
            donor = self.species
        turn = diapause.turn(self.library, donor, latitude, self.year)
        if turn is None:
            for name in names:
                self.none(name, "no critical day length is known for this species or a relative at this latitude")
            return
        proxy = self.library.subject(donor).names.common
        basis = "derived" if donor == self.species else "proxy"
        self.add("diapause-turn", turn.low, turn.mid, turn.high, basis, turn.inputs, turn.note, proxy)
        larva = self.days("larva")
        if larva is None:
            self.none("overwinter-from", "how long the caterpillar stage lasts is not known")
            return
        lag = [timedelta(days=larva[0] / 2), timedelta(days=(larva[0] + larva[1]) / 4), timedelta(days=larva[1] / 2)]
        note = f"the turn plus half the caterpillar's life, when the days are read; {turn.note}"
        self.add(
            "overwinter-from",
            turn.low + lag[0],
            turn.mid + lag[1],
            turn.high + lag[2],
            "derived",
            (*turn.inputs, larva[2]),
            note,
            proxy,
        )

    def winter(self) -> None:
        """The moves to the cold and back, counted from this place's freezes."""
        for name, rule, side in (
            ("to-cold-by", "winter-rules.move-in", "first"),
            ("to-warmth", "winter-rules.bring-out", "last"),
        ):
            day = self.profile.freeze_day(side, self.year)
            fact = self.library.facts.get(rule)
            if day is None or fact is None or fact.preferred.time is None:
                self.none(name, f"needs this place's {side} freeze date")
                continue
            first, last = fact.preferred.time.ends
            assert isinstance(first, Offset)
            assert isinstance(last, Offset)
            self.add(
                name, day + first.days, None, day + last.days, "derived", (fact.id, f"place.{side}-freeze"), fact.label
            )

    def opening(self) -> None:
        """When wintered chrysalides open outdoors (heat) or after being brought in (warmth)."""
        heat, base = self._donor("opening-heat"), self._donor("opening-base")
        curve = self.profile.curve
        if curve is not None and heat is not None and base is not None:
            target, limit = heat.preferred.span, base.preferred.span
            assert target is not None
            assert limit is not None
            ends = [units.convert(end, target.unit, "[degF].d") for end in target.ends if end is not None]
            low_base, high_base = ((limit.ends[i] or 0.0) for i in (0, 1))
            floor = units.convert((low_base + high_base) / 2, limit.unit, "[degF]")
            start = date(self.year, 1, 1) if (self.profile.latitude or 0) >= 0 else date(self.year, 7, 1)
            early, late = reach(curve, start, min(ends), floor), reach(curve, start, max(ends), floor)
            middle = reach(curve, start, sum(ends) / len(ends), floor)
            if early.low and late.high and middle.mid:
                proxy = self.library.subject(self.library.owner[heat.id]).names.common
                note = f"heat sum of the {proxy} from the temperatures here; {middle.spread}"
                self.add("spring-opening", early.low, middle.mid, late.high, "derived", (heat.id, base.id), note, proxy)
                return
        flight = self.made.get("flight-1")
        if flight is not None and flight.known:
            self.made["spring-opening"] = replace(
                flight, id="spring-opening", label=self.words["spring-opening"].label,
                note=f"first flight {flight.note}",
            )  # fmt: skip
            return
        self.none("spring-opening", "needs temperatures of this place, or flight times published near it")

    def _donor(self, quantity: str) -> Fact | None:
        for owner in (self.species, self.subject.stand_ins.get(quantity)):
            fact = self.library.facts.get(f"{owner}.{quantity}") if owner else None
            if fact is not None and fact.preferred.span is not None and fact.preferred.basis.kind in _USABLE:
                return fact
        return None

    def edges(self) -> None:
        """Hosts ready, last release, stop waiting."""
        opening = self.made["spring-opening"]
        if opening.known and opening.low is not None and opening.mid is not None:
            self.add(
                "hosts-ready",
                opening.low,
                None,
                opening.mid,
                opening.basis,
                opening.inputs,
                opening.note,
                opening.proxy,
            )
        else:
            self.none("hosts-ready", opening.note)
        first, egg, larva = self.profile.freeze_day("first", self.year), self.days("egg"), self.days("larva")
        if first is None or egg is None or larva is None:
            self.none("last-release", "needs this place's first freeze date and the times of egg and caterpillar")
        else:
            short, long = timedelta(days=egg[0] + larva[0]), timedelta(days=egg[1] + larva[1])
            note = "so that eggs can become full-grown caterpillars before the median first freeze"
            inputs = (egg[2], larva[2], "place.first-freeze")
            self.add("last-release", first - long, None, first - short, "derived", inputs, note, egg[3] or larva[3])
        warmth = self.made["to-warmth"]
        quick, slow = self.days("warm-to-opening.at-22c"), self.days("warm-to-opening.at-18c")
        if not warmth.known or quick is None or slow is None or warmth.mid is None or warmth.high is None:
            self.none("stop-waiting", "needs this place's last freeze date")
        else:
            self.add(
                "stop-waiting",
                warmth.mid + timedelta(days=quick[1]),
                None,
                warmth.high + timedelta(days=slow[1]),
                "derived",
                (quick[2], slow[2], "winter-rules.bring-out", "place.last-freeze"),
                "the slowest openings measured, counted from the move to warmth",
                quick[3],
            )


def count(days: int) -> str:
    """Write "1 day" or "3 days"."""
    return f"{days} day" if days == 1 else f"{days} days"


def _days(statement: Statement) -> tuple[float, float] | None:
    if statement.span is None or statement.basis.kind not in _USABLE:
        return None
    low, high = statement.span.ends
    if low is None or high is None or not units.same_dimension(statement.span.unit, "d"):
        return None
    return units.convert(low, statement.span.unit, "d"), units.convert(high, statement.span.unit, "d")


def season(library: Library, species: str, profile: Profile, year: int) -> Season:
    """Return all windows of `species` at a place in the calendar `year` (southern: the season year from July).

    A species that does not pass the winter as a chrysalis has no winter windows. Raises BadContent for an unknown
    species.
    """
    maker = _Maker(library, species, profile, year)
    maker.flights()
    stage = library.facts.get(f"{species}.winter-stage")
    winters = stage is not None and (stage.preferred.term or "").startswith(("chrysalis", "pupa"))
    if winters:
        maker.diapause()
        maker.winter()
        maker.opening()
        maker.edges()
    else:
        why = f"the {maker.subject.names.common} does not pass the winter as a chrysalis"
        for name in WINTER:
            maker.none(name, why)
    return Season(species, profile.name or "", year, tuple(maker.made.values()))
