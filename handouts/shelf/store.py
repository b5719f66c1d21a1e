"""A temperature log of a winter store in; its verdict out: heat, cold, thaws and swings, each with its numbers.

Heat counts above the base of the relative that was tested; cold is held against the freezing points of relatives. The
marks between "little" and "much" are the tool's own, since no study sets them; the page says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import mean, median
from typing import Any, Literal

from handouts import units
from handouts.errors import BadInput
from handouts.season import yearday
from handouts.season.heat import degree_days
from handouts.shelf.log import Log, LogDay
from handouts.shelf.outlook import Ground

Level = Literal["good", "watch", "move"]
# The tool's own marks. Heat: shares of the least warmth that a relative needed to open.
LITTLE, MUCH = 0.1, 0.5
HEAT_DAY = 0.5  # °F-days below which a day is not counted as a warm one
SPELL_HEAT = 2.0  # °F-days that make a run of warm days worth naming
NEAR_COLD = 9.0  # °F above a relative's freezing point that still count as close
THAW_DAYS = 7  # a hard freeze within so many days of a warm spell
WIDE_SWING = 20.0  # °F; a median day that swings more follows the weather outdoors
LEAST_DAYS = 7
WHOLE_LOG = 240  # days; a longer log is cut into winters
WHOLE = 0.75  # the share of a winter's days that makes it whole


@dataclass(frozen=True)
class Spell:
    """A run of days that add heat."""

    first: date
    last: date
    heat: float
    highest: float

    @property
    def days(self) -> int:
        """How many days."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Thaw:
    """A warm spell with a hard freeze soon after it."""

    spell: Spell
    freeze: date
    low: float


@dataclass(frozen=True)
class Relative:
    """The freezing point of a relative's chrysalides, °F."""

    fact: str
    species: str
    point: float


@dataclass(frozen=True)
class Base:
    """The relative's base (°F) and the warmth it needed to open (°F degree-days, least and most)."""

    base: float
    low: float
    high: float
    base_fact: str
    heat_fact: str
    species: str


@dataclass(frozen=True)
class Winter:
    """The numbers of one winter in the store, °F."""

    first: date
    last: date
    days: tuple[LogDay, ...]
    missing: int
    heat: float
    warm_days: int
    spells: tuple[Spell, ...]
    coldest: LogDay
    warmest: LogDay
    middle: float
    crossings: int
    thaws: tuple[Thaw, ...]
    swing: float
    widest: LogDay
    span: int

    @property
    def n(self) -> int:
        """How many days were counted."""
        return len(self.days)

    @property
    def whole(self) -> bool:
        """Whether the log covers most of the winter."""
        return self.n >= WHOLE * self.span


@dataclass(frozen=True)
class StoreCheck:
    """A log's verdict: the winter judged, earlier ones, what they were held against, and the findings by level."""

    log: Log
    species: str
    winter: Winter
    winters: tuple[Winter, ...]
    base: Base
    relatives: tuple[Relative, ...]
    findings: tuple[tuple[Level, str], ...]
    how: Literal["whole-log", "place", "months", "asked"]
    freeze: float

    @property
    def verdict(self) -> Level:
        """The worst level found."""
        levels = [level for level, _ in self.findings]
        return "move" if "move" in levels else "watch" if "watch" in levels else "good"

    @property
    def basis(self) -> str:
        """How the log's numbers are known: the club's own records, or worked out from a weather station's."""
        return "derived" if self.log.station else "own-observation"

    @property
    def share(self) -> float:
        """The heat as a share of the least warmth that the relative needed."""
        return self.winter.heat / self.base.low

    def to_json(self) -> dict[str, Any]:
        """The check's own fields as plain data; the page adds the words."""
        return {
            "file": str(self.log.file),
            "species": self.species,
            "basis": self.basis,
            "verdict": self.verdict,
            "findings": [{"level": level, "id": name} for level, name in self.findings],
            "counted": self.how,
            "base_F": round(self.base.base, 1),
            "base_of": self.base.species,
            "opening_heat_F": [round(self.base.low), round(self.base.high)],
            "heat_share": round(self.share, 3),
            "relatives": [
                {"fact": one.fact, "species": one.species, "F": round(one.point, 1)} for one in self.relatives
            ],
            "winter": winter_json(self.winter),
            "winters": [winter_json(winter) for winter in self.winters],
            "rejects": [
                {"day": item.day.isoformat(), "value": item.value, "why": item.why, "line": item.line}
                for item in self.log.rejects
            ],
        }


def winter_json(winter: Winter) -> dict[str, Any]:
    """Return one winter's numbers as plain data."""
    return {
        "first": winter.first.isoformat(),
        "last": winter.last.isoformat(),
        "n_days": winter.n,
        "whole": winter.whole,
        "missing_days": winter.missing,
        "heat_F_days": round(winter.heat, 1),
        "warm_days": winter.warm_days,
        "spells": [
            {
                "first": spell.first.isoformat(),
                "last": spell.last.isoformat(),
                "heat_F_days": round(spell.heat, 1),
                "highest_F": round(spell.highest, 1),
            }
            for spell in winter.spells
        ],
        "coldest_F": round(winter.coldest.low, 1),
        "coldest_on": winter.coldest.day.isoformat(),
        "warmest_F": round(winter.warmest.high, 1),
        "warmest_on": winter.warmest.day.isoformat(),
        "middle_F": round(winter.middle, 1),
        "freeze_thaw_days": winter.crossings,
        "thaws_then_freeze": [
            {"thaw": thaw.spell.last.isoformat(), "freeze": thaw.freeze.isoformat(), "low_F": round(thaw.low, 1)}
            for thaw in winter.thaws
        ],
        "usual_swing_F": round(winter.swing, 1),
        "widest_swing_F": round(winter.widest.high - winter.widest.low, 1),
        "widest_swing_on": winter.widest.day.isoformat(),
    }


def day_heat(day: LogDay, base: float) -> float:
    """Return a day's degree-days (°F) above `base`: the mean excess of its hours, or a sine between low and high.

    Both rise or stay when any temperature of the day rises.
    """
    if day.hours is None:
        return degree_days(day.low, day.high, base)
    return mean(mean(max(0.0, value - base) for value in hour) for hour in day.hours)


def heat_of(days: Sequence[LogDay], base: float) -> float:
    """Return the heat of some days, °F degree-days."""
    return sum(day_heat(day, base) for day in days)


def check(ground: Ground, log: Log, species: str, first: date | None = None, last: date | None = None) -> StoreCheck:
    """Judge a log for chrysalides of a species; `first` and `last` limit the days counted.

    Raises BadInput for a log that is too short, or when the species has no base to count heat above.
    """
    base, relatives = base_of(ground, species), relatives_of(ground, species)
    freeze, hard = _exactly(ground, "last-freeze.freeze"), _exactly(ground, "last-freeze.hard-freeze")
    how, spans = _spans(ground, log, species, first, last)
    winters = [
        winter_of(log, start, end, base.base, freeze, hard)
        for start, end in spans
        if len(log.between(start, end)) >= LEAST_DAYS
    ]
    if not winters:
        raise BadInput(
            "the log is too short to judge",
            file=log.file,
            found=f"{len(log.days)} days, {log.days[0].day} to {log.days[-1].day}",
            expected=f"at least {LEAST_DAYS} winter days",
        )
    judged = next((one for one in reversed(winters) if one.whole), max(winters, key=lambda one: one.n))
    return StoreCheck(
        log, species, judged, tuple(winters), base, relatives, tuple(_findings(judged, base, relatives)), how, freeze
    )


def base_of(ground: Ground, species: str) -> Base:
    """Return the base and the warmth to open of the species or its stand-in. Raises BadInput when neither is known."""
    subject = ground.library.subject(species)
    found = {}
    for quantity in ("opening-base", "opening-heat"):
        for owner in (species, subject.stand_ins.get(quantity)):
            fact = ground.library.facts.get(f"{owner}.{quantity}") if owner else None
            if fact is not None and fact.preferred.span is not None and fact.preferred.basis.kind != "memory":
                found[quantity] = (fact, str(owner))
                break
    if len(found) < 2:
        raise BadInput(
            f"no opening warmth is known for the {subject.names.common} or a relative", expected="another --species"
        )
    base, heat = found["opening-base"][0].preferred.span, found["opening-heat"][0].preferred.span
    assert base is not None and heat is not None
    low, high = (units.convert(end or 0.0, heat.unit, "[degF].d") for end in heat.ends)
    middle = mean(end for end in base.ends if end is not None)
    return Base(
        units.convert(middle, base.unit, "[degF]"),
        low,
        high,
        found["opening-base"][0].id,
        found["opening-heat"][0].id,
        found["opening-base"][1],
    )


def relatives_of(ground: Ground, species: str) -> tuple[Relative, ...]:
    """Return the freezing points on record, the mildest first; the species' own alone when it has one."""
    library = ground.library
    names = [name for name in ground.words.relatives if library.owner[name] == species] or ground.words.relatives
    found = []
    for name in names:
        span = library.fact(name).preferred.span
        if span is not None and span.ends[0] is not None:
            found.append(Relative(name, library.owner[name], units.convert(span.ends[0], span.unit, "[degF]")))
    return tuple(sorted(found, key=lambda one: -one.point))


def _exactly(ground: Ground, name: str) -> float:
    span = ground.library.fact(name).preferred.span
    assert span is not None and span.ends[0] is not None
    return units.convert(span.ends[0], span.unit, "[degF]")


def _spans(
    ground: Ground, log: Log, species: str, first: date | None, last: date | None
) -> tuple[Literal["whole-log", "place", "months", "asked"], list[tuple[date, date]]]:
    """The stretches to judge: as asked; the winter of the place; a short log whole; else November to March."""
    start, end = log.days[0].day, log.days[-1].day
    if first is not None or last is not None:
        return "asked", [(first or start, last or end)]
    south = ground.profile.south
    years = range(yearday.season_year(start, south) - 1, yearday.season_year(end, south) + 1)
    spans = []
    for year in years:
        cold = ground.known(species, year, "to-cold-by")
        warm = ground.known(species, year + 1, "to-warmth")
        if cold is not None and warm is not None and cold.low is not None and warm.low is not None:
            spans.append((cold.low, warm.low - timedelta(days=1)))
    if spans:
        return "place", spans
    if (end - start).days < WHOLE_LOG:
        return "whole-log", [(start, end)]
    months = [(date(year, 5, 1), date(year, 9, 30)) if south else (date(year, 11, 1), date(year + 1, 3, 31))
              for year in range(start.year - 1, end.year + 1)]  # fmt: skip
    return "months", months


def winter_of(log: Log, first: date, last: date, base: float, freeze: float, hard: float) -> Winter:
    """Return the numbers of the days from `first` to `last`; temperatures and thresholds in °F."""
    days = log.between(first, last)
    start, end = max(first, log.days[0].day), min(last, log.days[-1].day)
    heat = [(day, day_heat(day, base)) for day in days]
    spells = _runs(heat)
    return Winter(
        first=start,
        last=end,
        days=days,
        missing=(end - start).days + 1 - len(days),
        heat=sum(value for _, value in heat),
        warm_days=sum(value >= HEAT_DAY for _, value in heat),
        spells=tuple(spell for spell in spells if spell.heat >= SPELL_HEAT),
        coldest=min(days, key=lambda day: day.low),
        warmest=max(days, key=lambda day: day.high),
        middle=median((day.low + day.high) / 2.0 for day in days),
        crossings=sum(day.low < freeze < day.high for day in days),
        thaws=tuple(_thaws(spells, days, hard)),
        swing=median(day.high - day.low for day in days),
        widest=max(days, key=lambda day: day.high - day.low),
        span=(last - first).days + 1,
    )


def _runs(heat: Sequence[tuple[LogDay, float]]) -> list[Spell]:
    """Runs of consecutive days that each add heat."""
    found: list[Spell] = []
    for day, value in heat:
        if value < HEAT_DAY:
            continue
        last = found[-1] if found else None
        if last is not None and (day.day - last.last).days == 1:
            found[-1] = Spell(last.first, day.day, last.heat + value, max(last.highest, day.high))
        else:
            found.append(Spell(day.day, day.day, value, day.high))
    return found


def _thaws(spells: Sequence[Spell], days: Sequence[LogDay], hard: float) -> list[Thaw]:
    """Warm spells that a hard freeze followed within a week."""
    found = []
    for spell in spells:
        if spell.heat < SPELL_HEAT:
            continue
        after = [day for day in days if 0 < (day.day - spell.last).days <= THAW_DAYS and day.low <= hard]
        if after:
            coldest = min(after, key=lambda day: day.low)
            found.append(Thaw(spell, coldest.day, coldest.low))
    return found


def _findings(winter: Winter, base: Base, relatives: Sequence[Relative]) -> list[tuple[Level, str]]:
    share = winter.heat / base.low
    found: list[tuple[Level, str]] = []
    if share >= 1.0:
        found.append(("move", "heat-enough"))
    elif share >= MUCH:
        found.append(("move", "heat-much"))
    elif share >= LITTLE:
        found.append(("watch", "heat-some"))
    else:
        found.append(("good", "heat-little" if winter.heat >= HEAT_DAY else "heat-none"))
    mildest, hardest = relatives[0].point, relatives[-1].point
    low = winter.coldest.low
    if low <= hardest:
        found.append(("move", "cold-below"))
    elif low <= mildest:
        found.append(("move", "cold-reached"))
    elif low <= mildest + NEAR_COLD:
        found.append(("watch", "cold-close"))
    else:
        found.append(("good", "cold-well-above"))
    if winter.thaws:
        found.append(("watch", "thaw-then-freeze"))
    elif winter.crossings:
        found.append(("good", "freeze-thaw"))
    else:
        found.append(("good", "no-freeze-thaw"))
    found.append(("watch", "swings-wide") if winter.swing >= WIDE_SWING else ("good", "swings-small"))
    return found
