"""The day a chrysalis formed and its place in; how likely it opens this year, and the windows to watch, out.

Day length sets the chance: where the day falls in the season's window of the turn, leaned on by what keepers near here
do and by what is known of a region. The score is for ordering and words only; no percentage is ever shown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import lru_cache
from typing import Any

from handouts import units
from handouts.model.facts import Fact, Statement
from handouts.model.library import Library
from handouts.model.season import Season, Window
from handouts.season import yearday
from handouts.season.diapause import populations
from handouts.season.profile import Profile
from handouts.season.sun import solstice
from handouts.shelf.words import Lean, ShelfWords

SeasonOf = Callable[[str, int], Season]
# The window of the turn is cut in three: before it, its first, middle and last third, after it.
FIRST_THIRD, LAST_THIRD = 1 / 3, 2 / 3
# Without a latitude nobody's extremes are certain, so the words stay one step short of "very".
SOFT_LOW, SOFT_HIGH = 0.2, 0.8
EVEN = 0.5
_BACKED = ("published", "derived", "proxy", "common-practice", "own-observation")


class Chance(StrEnum):
    """How likely it opens this year or waits."""

    THIS_YEAR = "very-likely-this-year"
    LIKELY_THIS_YEAR = "likely-this-year"
    EITHER = "could-be-either"
    LIKELY_WAITS = "likely-waits"
    WAITS = "very-likely-waits"
    NO_WINTER = "does-not-winter-as-chrysalis"
    CANNOT_SAY = "cannot-say"


@dataclass(frozen=True)
class Stage:
    """How long a stage takes: low and high days, the fact behind it, and the relative where one stands in."""

    fact: Fact
    statement: Statement
    low: float
    high: float
    relative: str | None = None

    def after(self, day: date) -> tuple[date, date]:
        """The first and last day that lie this long after `day`."""
        return day + timedelta(days=round(self.low)), day + timedelta(days=round(self.high))


@dataclass(frozen=True)
class Outlook:
    """What may be expected of one chrysalis.

    `score` runs from 0 (opens this year) to 1 (waits) and is None when nothing can be said. `turn` is the window from
    which new chrysalides wait; `leans` are what else bears on the chance; `bound` says that only the reach of the
    tested latitudes was used; `spring` that it formed in the short days before summer. `why` says what is missing.
    `words_only`: of the place no more than a zone is known, so no date is printed.
    """

    species: str
    formed: date
    kept: str | None
    kept_text: str
    chance: Chance
    score: float | None
    year: int
    windows: tuple[Window, ...]
    turn: Window | None = None
    leans: tuple[Lean, ...] = ()
    bound: bool = False
    spring: bool = False
    why: str = ""
    words_only: bool = False

    def window(self, name: str) -> Window | None:
        """Return the window `name` when it has dates."""
        return next((window for window in self.windows if window.id == name and window.known), None)

    @property
    def waits(self) -> bool:
        """Whether to treat it as waiting for spring from the start."""
        return self.chance in (Chance.LIKELY_WAITS, Chance.WAITS)

    def to_json(self) -> dict[str, Any]:
        """The outlook's own fields as plain data; the page adds the words."""
        return {
            "species": self.species,
            "formed": self.formed.isoformat(),
            "kept": self.kept,
            "kept_text": self.kept_text,
            "chance": self.chance.value,
            "score": None if self.score is None else round(self.score, 3),
            "windows": [self.shown(window).to_json() for window in self.windows],
        }

    def shown(self, window: Window) -> Window:
        """Return a window as it may be printed: without its days where only a zone is known."""
        return replace(window, low=None, mid=None, high=None) if self.words_only else window


@dataclass
class Ground:
    """What an outlook stands on: the facts, the words, the place, and seasons of any profile."""

    library: Library
    words: ShelfWords
    profile: Profile
    seasons: Callable[[Profile], SeasonOf]
    season_of: SeasonOf = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self.season_of = self.seasons(self.profile)
        self.tested = lru_cache(maxsize=64)(self._tested)
        self.stage = lru_cache(maxsize=256)(self._stage)
        self.kept_as = lru_cache(maxsize=1024)(self.words.kept_as)
        self.after_winter = lru_cache(maxsize=256)(self._after_winter)

    def window(self, species: str, year: int, name: str) -> Window | None:
        """Return a window of the place's season in a season year, known or not."""
        return self.season_of(species, year).window(name)

    def known(self, species: str, year: int, name: str) -> Window | None:
        """Return a window that has dates, else None."""
        window = self.window(species, year, name)
        return window if window is not None and window.known else None

    def winters(self, species: str) -> bool:
        """Whether a species passes the winter as a chrysalis."""
        stage = self.library.facts.get(f"{species}.winter-stage")
        return stage is not None and (stage.preferred.term or "").startswith(("chrysalis", "pupa"))

    def _stage(self, species: str, quantity: str) -> Stage | None:
        subject = self.library.subject(species)
        for owner in (species, subject.stand_ins.get(quantity.partition(".")[0])):
            fact = self.library.facts.get(f"{owner}.{quantity}") if owner else None
            for statement in fact.says if fact is not None else ():
                ends = _days(statement)
                if ends is not None and fact is not None:
                    return Stage(fact, statement, *ends, None if owner == species else owner)
        return None

    def _after_winter(self, species: str, year: int, kept: str | None) -> tuple[Window, ...]:
        """The windows that do not depend on the day it formed: into the cold, two springs, when to stop waiting."""
        return tuple(_later_windows(self, species, year, kept))

    def populations(self, species: str) -> list[tuple[float, Fact]]:
        """The populations whose critical day length was tested, of the species or its stand-in, from south to north."""
        subject = self.library.subject(species)
        return populations(self.library, subject.stand_ins.get("critical-day-length", species))

    def _tested(self, species: str, year: int) -> tuple[Window, Window] | None:
        """The windows of the turn at the southernmost and northernmost tested population."""
        known = self.populations(species)
        if len(known) < 2:
            return None
        found: list[Window] = []
        for latitude, _ in (known[0], known[-1]):
            bare = replace(
                self.profile, latitude=latitude, longitude=None, region=None, fields={}, day_lengths={}, freezes={},
                curve=None,
            )  # fmt: skip
            window = self.seasons(bare)(species, year).window("overwinter-from")
            if window is None or not window.known:
                return None
            found.append(window)
        return found[0], found[1]


def _days(statement: Statement) -> tuple[float, float] | None:
    if statement.span is None or statement.basis.kind not in _BACKED:
        return None
    low, high = statement.span.ends
    if not units.same_dimension(statement.span.unit, "d"):
        return None
    ends = (low if low is not None else high, high if high is not None else low)
    if ends[0] is None or ends[1] is None:
        return None
    return units.convert(ends[0], statement.span.unit, "d"), units.convert(ends[1], statement.span.unit, "d")


def chance_of(score: float | None) -> Chance:
    """Return the words' id of a score."""
    if score is None:
        return Chance.CANNOT_SAY
    if score <= 0.0:
        return Chance.THIS_YEAR
    if score < FIRST_THIRD:
        return Chance.LIKELY_THIS_YEAR
    if score < LAST_THIRD:
        return Chance.EITHER
    return Chance.LIKELY_WAITS if score < 1.0 else Chance.WAITS


def outlook(ground: Ground, species: str, formed: date, kept_text: str = "") -> Outlook:
    """Return the outlook of a chrysalis of `species` that formed on a day. Raises BadContent for an unknown species.

    After midsummer the score never falls with a later day (each of its parts rises or stays).
    """
    ground.library.subject(species)
    year = yearday.season_year(formed, ground.profile.south)
    kept = ground.kept_as(kept_text)
    words_only = ground.profile.latitude is None and not ground.profile.freezes
    if not ground.winters(species):
        only = (_this_year(ground, species, formed),)
        return Outlook(species, formed, kept, kept_text, Chance.NO_WINTER, None, year, only, words_only=words_only)
    turn = ground.window(species, year, "overwinter-from")
    leans = tuple(lean for lean in ground.words.leans if _applies(ground, species, lean))
    bound, spring, why = False, False, ""
    score: float | None = None
    if turn is not None and turn.known:
        score, spring = _by_light(ground, species, formed, year, turn)
        score = max([score, *(_leaned(lean, ground.library, formed, year) for lean in leans)])
    else:
        why = turn.note if turn is not None else ""
        if ground.profile.latitude is None:
            score = _by_bounds(ground, species, formed, year)
            bound = score is not None
    windows = tuple(_windows(ground, species, formed, year, kept))
    return Outlook(
        species, formed, kept, kept_text, chance_of(score), score, year, windows,
        turn if turn is not None and turn.known else None, leans, bound, spring, why, words_only,
    )  # fmt: skip


def _by_light(ground: Ground, species: str, formed: date, year: int, turn: Window) -> tuple[float, bool]:
    """The score from the season's window, and whether the day lies in the short days before summer."""
    assert turn.low is not None and turn.high is not None
    summer = solstice(year, 12 if ground.profile.south else 6)
    if formed < summer:
        light = ground.known(species, year, "diapause-turn")
        if light is None or light.mid is None or turn.mid is None:
            return 0.0, False
        # day length runs the same before the solstice as after it, and is read as long before the chrysalis forms
        short_until = summer - (light.mid - summer) + (turn.mid - light.mid)
        return (EVEN, True) if formed < short_until else (0.0, False)
    return _share(formed, turn.low, turn.high), False


def _share(day: date, low: date, high: date) -> float:
    """How far through a window a day lies, 0 to 1."""
    width = max(1, (high - low).days)
    return min(1.0, max(0.0, (day - low).days / width))


def _by_bounds(ground: Ground, species: str, formed: date, year: int) -> float | None:
    """The score without a latitude: what holds over all tested latitudes, and an even chance between."""
    ends = ground.tested(species, year)
    summer = solstice(year, 12 if ground.profile.south else 6)
    if ends is None:
        return None
    lows = [window.low for window in ends if window.low is not None]
    highs = [window.high for window in ends if window.high is not None]
    if formed < summer:
        mirrored = summer - (min(lows) - summer)
        return SOFT_LOW if formed >= mirrored else EVEN
    if formed < min(lows):
        return SOFT_LOW
    return SOFT_HIGH if formed >= max(highs) else EVEN


def _applies(ground: Ground, species: str, lean: Lean) -> bool:
    latitude = ground.profile.latitude
    owner = ground.library.owner.get(lean.fact)
    return owner == species and latitude is not None and lean.latitude.low <= latitude <= lean.latitude.high


def _leaned(lean: Lean, library: Library, formed: date, year: int) -> float:
    """The least score a lean allows: the share that rests, or "likely waits" from a day on."""
    statement = library.fact(lean.fact).preferred
    if statement.span is not None:
        low = statement.span.ends[0] or 0.0
        return units.convert(low, statement.span.unit, "%") / 100.0
    if statement.time is not None:
        point = statement.time.ends[0]
        first = getattr(point, "first", None)
        if first is not None and formed >= first(year):
            return LAST_THIRD
    return 0.0


# -- windows -----------------------------------------------------------------------------------------------------------


def _windows(ground: Ground, species: str, formed: date, year: int, kept: str | None) -> list[Window]:
    made = [_this_year(ground, species, formed)]
    hot = ground.stage(species, "pupa.hot-spell")
    if hot is not None:
        made.append(_after(ground, "this-year-in-heat", hot, formed))
    made.extend(ground.after_winter(species, year, kept))
    longest = ground.stage(species, "longest-wait")
    if longest is not None:
        made.append(_after(ground, "longest-wait", longest, formed))
    return made


def _later_windows(ground: Ground, species: str, year: int, kept: str | None) -> list[Window]:
    made: list[Window] = []
    cold = ground.window(species, year, "to-cold-by")
    if cold is not None:
        made.append(replace(cold, label=ground.words.label("to-cold")))
    for name, later in (("next-spring", 1), ("second-spring", 2)):
        made.append(_spring(ground, species, year + later, kept, name))
        stop = ground.window(species, year + later, "stop-waiting")
        if stop is not None:
            made.append(replace(stop, id=f"stop-{name}", label=ground.words.label(f"stop-{name}")))
    return made


def _this_year(ground: Ground, species: str, formed: date) -> Window:
    summer = ground.stage(species, "pupa.summer")
    if summer is None:
        label = ground.words.label("this-year")
        note = "how long a summer chrysalis of this species takes is not known"
        return Window("this-year", label, None, None, None, "not-known", None, (), note)
    return _after(ground, "this-year", summer, formed)


def _after(ground: Ground, name: str, stage: Stage, day: date) -> Window:
    """A window counted in days from a day, with the basis of the days in its note."""
    low, high = stage.after(day)
    kind = stage.statement.basis.kind.replace("-", " ")
    note = f"{_amount(stage)} after it formed; the days are {kind}"
    return Window(
        name, ground.words.label(name), low, low + (high - low) / 2, high, "derived", _common(ground, stage),
        (stage.fact.id, *stage.statement.rests_on), note,
    )  # fmt: skip


def _amount(stage: Stage) -> str:
    low, high = round(stage.low), round(stage.high)
    return f"{low} days" if low == high else f"{low} to {high} days"


def _common(ground: Ground, stage: Stage) -> str | None:
    return ground.library.subject(stage.relative).names.common if stage.relative else None


def _spring(ground: Ground, species: str, year: int, kept: str | None, name: str) -> Window:
    """When it opens in a spring: by the season where it stays outdoors, else after the move to warmth."""
    label = ground.words.label(name)
    kind = ground.words.kept.get(kept or "")
    opens = kind.opens if kind is not None else "warm-to-opening.room"
    if opens is None:
        note = "kept warm, it may open at any time of the winter"
        return Window(name, label, None, None, None, "not-known", None, (), note)
    season = ground.known(species, year, "spring-opening")
    warmth = ground.known(species, year, "to-warmth")
    stage = ground.stage(species, opens) if opens != "spring" else None
    if stage is None or warmth is None:
        if season is not None:
            return replace(season, id=name, label=label)
        window = ground.window(species, year, "spring-opening")
        note = window.note if window is not None else "needs this place's frost dates"
        return Window(name, label, None, None, None, "not-known", None, (), note)
    assert warmth.low is not None and warmth.high is not None
    low, high = stage.after(warmth.low)[0], stage.after(warmth.high)[1]
    kind_of = stage.statement.basis.kind.replace("-", " ")
    note = f"{_amount(stage)} after the move to warmth; the days are {kind_of}"
    inputs = (stage.fact.id, *stage.statement.rests_on, *warmth.inputs)
    return Window(name, label, low, low + (high - low) / 2, high, "derived", _common(ground, stage), inputs, note)
