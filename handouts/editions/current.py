"""What an edition was made for in, what the library says today of each of its figures out, as claims."""

from __future__ import annotations

import calendar
import json
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

from handouts.compose.composer import Composer
from handouts.compose.phrase import System
from handouts.compose.pictures import chart_block
from handouts.compose.setting import Setting
from handouts.editions.record import Ground, Stated, kept
from handouts.errors import BadInput, HandoutsError
from handouts.model.document import Claim
from handouts.model.library import Library
from handouts.model.season import Season, Window
from handouts.place.known import Known, from_mapping
from handouts.season.profile import Profile
from handouts.season.sun import day_length
from handouts.yamltext import read_yaml

ProfileOf = Callable[[Known, int], Profile]
SeasonOf = Callable[[Profile], Callable[[str, int], Season]]
NOWHERE = Profile(None, None, None, None, None, False, {}, {}, ())
_CHART = "year-strip"
_DAY_LENGTH = re.compile(r"place\.day-length\.(\d\d)-(\d\d)$")


class NoTelling(Exception):
    """A figure that cannot be held against today's facts, with the reason."""


@dataclass
class Today:
    """The library as it is now, for any place an edition was made for. Seasons and charts are worked out once."""

    library: Library
    profile_of: ProfileOf
    season_of: SeasonOf
    _settings: dict[str, Setting] = field(default_factory=dict)
    _charts: dict[str, dict[str, Claim]] = field(default_factory=dict)
    _papers: dict[tuple[str, str, str], dict[str, Claim]] = field(default_factory=dict)

    # -- where and when --------------------------------------------------------------------------------------------

    def setting(self, ground: Ground | None = None, system: System = "us") -> Setting:
        """Return the circumstances an edition was made in, or those of a reader anywhere.

        Raises NoTelling when the files of its place are gone.
        """
        key = _key(ground) if ground is not None else system
        if key not in self._settings:
            self._settings[key] = self._made(ground) if ground is not None else self._anywhere(system)
        return self._settings[key]

    def _anywhere(self, system: System) -> Setting:
        return Setting(self.library, NOWHERE, _no_season, "", 2000, system=system)

    def _made(self, ground: Ground) -> Setting:
        profile = self.profile_of(self._known(ground), ground.year)
        return Setting(
            library=self.library,
            profile=profile,
            season_of=self.season_of(profile),
            species=ground.species,
            year=ground.year,
            start=ground.start,
            system=ground.units,
        )

    def _known(self, ground: Ground) -> Known:
        """Read the place again: its file where it is still there, else the fields as they were."""
        club, content = self.library.club_root or Path.cwd(), self.library.root
        path = club / ground.place_file if ground.place_file else None
        try:
            if path is not None and path.is_file():
                return from_mapping(read_yaml(path, what="place file"), path.parent, path, content)
            return from_mapping(ground.place, club, ground.origin or "place", content)
        except BadInput as problem:
            raise NoTelling(f"its place cannot be read ({problem})") from None

    # -- figures ---------------------------------------------------------------------------------------------------

    def claim(self, old: Stated, ground: Ground, kind: str = "", topic: str = "") -> Claim | None:
        """Return what stands today where `old` stood; None when it is no longer stated. Raises NoTelling.

        `kind` and `topic` say which paper it stood on, for figures that a paper works out by itself.
        """
        base = old.id.partition("~")[0]
        name, _, modifier = base.partition("|")
        if name.startswith("season."):
            return self._window(old, name, self.setting(ground))
        if name.startswith("place."):
            return self._place(name, base, old, ground, (kind, topic))
        setting = self.setting(ground)
        if name not in self.library.facts:
            return self._anew((kind, topic), ground).get(old.id) if old.parents else None
        if modifier not in ("", "low", "high", "bare"):
            return self._drawn(ground).get(base) or self._anew((kind, topic), ground).get(old.id)
        found = list(self.fact_claims(name, modifier, setting, all_of_them="~" in old.id))
        return next((claim for claim in found if claim.digest == old.digest), found[0] if found else None)

    def fact_claims(self, name: str, modifier: str, setting: Setting, *, all_of_them: bool = False) -> Iterator[Claim]:
        """Yield what is said of a fact: the preferred statement, or all; nothing that is known from memory only."""
        fact = self.library.facts[name]
        for statement in fact.says if all_of_them else fact.says[:1]:
            if statement.basis.kind == "memory":
                continue
            composer = Composer(setting)
            composer.fact(fact, statement, modifier or None, f"{name}|{modifier}" if modifier else name)
            yield from composer.claims.values()

    def _window(self, old: Stated, name: str, setting: Setting) -> Claim | None:
        """Return the window of the year that lies nearest to the old one."""
        parts = name.split(".")
        words = self.library.all_words().windows
        if len(parts) != 3 or parts[1] not in self.library.subjects or parts[2] not in words:
            return None
        seasons = [setting.season_of(parts[1], setting.year + step) for step in (-1, 0, 1)]
        windows = [window for season in seasons if (window := season.window(parts[2])) is not None and window.known]
        claims = [self._window_claim(window, parts[1], setting) for window in windows]
        same = next((claim for claim in claims if claim.digest == old.digest), None)
        if same is not None or not claims:
            return same
        then = _middle(old.value)
        if then is None:
            raise NoTelling("its old dates cannot be read")
        return min(claims, key=lambda claim: abs((_middle(claim.value) or date.max) - then))

    def _window_claim(self, window: Window, species: str, setting: Setting) -> Claim:
        composer = Composer(setting)
        says = self.library.all_words().windows[window.id].says
        return composer.claims[composer.window(window, species, says).claim]

    def _place(self, name: str, base: str, old: Stated, ground: Ground, paper: tuple[str, str]) -> Claim | None:
        setting = self.setting(ground)
        if name.startswith("place.day-length."):
            return self._day_length(name, base, old, ground)
        if base in ("place.zone", "place.last-freeze", "place.first-freeze"):
            composer = Composer(setting)
            composer.resolve(base)
            return composer.claims.get(base)
        found = self._drawn(ground).get(base) or self._anew(paper, ground).get(old.id)
        if found is None and not re.match(r"place\.(?:last|first)-freeze\.", base):
            raise NoTelling("it cannot be worked out again")
        return found

    def _day_length(self, name: str, base: str, old: Stated, ground: Ground) -> Claim | None:
        """Return a day's length anew; a leap year shifts it by moments, so the years beside it count as well."""
        drawn, match = self._drawn(ground).get(base), _DAY_LENGTH.match(name)
        latitude = self.setting(ground).profile.latitude
        if drawn is not None or match is None or latitude is None:
            return drawn
        month, day = int(match[1]), int(match[2])
        values: list[float] = []
        for year in (ground.year, ground.year + 1, ground.year - 1):
            last = calendar.monthrange(year, month)[1]
            minutes = day_length(latitude, date(year, month, min(day, last)))
            values.append(round(minutes / 60, 1) if old.unit == "h" else round(minutes, 1))
        same = next((value for value in values if kept(value) == kept(old.value)), values[0])
        return replace(_as_claim(old), value=same)

    def _anew(self, paper: tuple[str, str], ground: Ground) -> dict[str, Claim]:
        """Return the figures of a paper composed anew; none where it can no longer be made.

        A kind that is made from the others, as the claims sheet is, has the figures of them all.
        """
        from handouts.compose.kinds import KINDS

        kind, topic = paper
        key = (kind, topic, _key(ground))
        if key not in self._papers:
            found: dict[str, Claim] = {}
            for name in (kind,) if kind in KINDS else KINDS:
                composer = Composer(self.setting(ground))
                with suppress(HandoutsError):
                    KINDS[name](composer, self.library.plan(topic))
                    found.update(composer.claims)
            self._papers[key] = found
        return self._papers[key]

    def _drawn(self, ground: Ground) -> dict[str, Claim]:
        """Return the figures of the chart of the place."""
        key = _key(ground)
        if key not in self._charts:
            composer = Composer(self.setting(ground))
            chart_block(composer, _CHART)
            self._charts[key] = composer.claims
        return self._charts[key]


def _as_claim(old: Stated) -> Claim:
    return Claim(
        old.id,
        old.shown,
        old.value,
        old.unit,
        old.basis,
        tuple(old.references),
        tuple(old.parents),
        old.proxy,
        old.label,
        digest=old.digest,
    )


def _key(ground: Ground) -> str:
    return json.dumps(ground.model_dump(mode="json"), sort_keys=True)


def _middle(value: object) -> date | None:
    """Return the middle of a window's dates."""
    if not isinstance(value, dict):
        return None
    try:
        low, high = date.fromisoformat(str(value["low"])), date.fromisoformat(str(value["high"]))
    except (KeyError, ValueError):
        return None
    return low + timedelta(days=(high - low).days // 2)


def _no_season(species: str, year: int) -> Season:
    raise HandoutsError("there is no season without a place")
