"""What a document is made for: a place, a year, a reader's units, a species."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from handouts.compose.phrase import Frosts, System
from handouts.model.library import Library
from handouts.model.season import Season, Window
from handouts.season.profile import Profile

SeasonOf = Callable[[str, int], Season]


@dataclass
class Setting:
    """The circumstances of a document. `start` is the event's day: windows are the next ones after it.

    `strip` is the share of its full size at which a poster's strip is drawn.
    """

    library: Library
    profile: Profile
    season_of: SeasonOf
    species: str
    year: int
    start: date | None = None
    system: System = "us"
    paper: str = "letter"
    event: dict[str, Any] | None = None
    strip: float = 1.0

    def window(self, name: str, species: str | None = None) -> Window | None:
        """Return the window `name` that comes next (the year's own when no event day is given)."""
        kind = species or self.species
        first = self.season_of(kind, self.year).window(name)
        if first is None or self.start is None or not first.known or first.high is None or first.high >= self.start:
            return first
        return self.season_of(kind, self.year + 1).window(name)

    def frost(self, side: str) -> date | None:
        """Return the median 32 °F freeze date that comes next; `side` is "last" or "first"."""
        day = self.profile.freeze_day(side, self.year)
        if day is not None and self.start is not None and day < self.start:
            return self.profile.freeze_day(side, self.year + 1)
        return day

    @property
    def frosts(self) -> Frosts:
        """Both median freeze dates."""
        return Frosts(self.frost("last"), self.frost("first"))

    def freeze_spread(self) -> dict[str, tuple[date, date, date]]:
        """Return for each side the 32 °F freeze dates from early to late: eight years in ten, the median between."""
        spread: dict[str, tuple[date, date, date]] = {}
        for side, order in (("last", (90, 50, 10)), ("first", (10, 50, 90))):
            days = [self.profile.freeze_day(side, self.year, percent=percent) for percent in order]
            early, middle, late = days
            if early is not None and middle is not None and late is not None:
                spread[side] = (early, middle, late)
        return spread
