"""Real temperatures in, a table out: when chrysalides would open by heat, beside the first flights that are published.

Run it with `python -m tests.season.compare`; it prints the table that stands in DEVELOPERS.md, misses included. A
heat date is the day on which a year's own temperatures reach the lower heat sum of the species or its stand-in; nothing
in the season is fitted to this table.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from statistics import median

from handouts import build
from handouts.model.library import Library
from handouts.paths import content_dir
from handouts.place.known import from_mapping
from handouts.place.profile import profile
from handouts.season.curve import TemperatureCurve
from handouts.season.flights import STAGES, Start, add_flights, nearest_broods
from handouts.season.heat import degree_days
from handouts.season.making import Maker
from handouts.season.opening import heat_need, heat_opening
from handouts.season.profile import Profile
from handouts.season.series import Series, whole
from handouts.season.windows import season

SERIES = Path(__file__).parent.parent / "data" / "series"
YEAR = 2027
LEAST_DAYS = 350
SPECIES = (
    "black-swallowtail",
    "spicebush-swallowtail",
    "eastern-tiger-swallowtail",
    "giant-swallowtail",
    "anise-swallowtail",
)
HEAD = (
    "station", "species", "first flight as published", "first open by heat", "by the smooth curve", "days later",
    "inside", "broods published", "broods that fit",
)  # fmt: skip


@dataclass(frozen=True)
class Station:
    """A real series: its name with the years, its file and where it was measured."""

    name: str
    file: str
    latitude: float
    longitude: float


STATIONS = (
    Station("Clemson SC, 1991-2020", "USC00381770_1971-2020.csv.gz", 34.66, -82.82),
    Station("Greensboro NC, typical year", "greensboro_typical.csv.gz", 36.10, -79.95),
    Station("Chicago IL, 2001-2016", "chicago_2001-2016.csv.gz", 41.9, -87.7),
    Station("New York NY, 2012-2015", "new_york_2012-2015.csv.gz", 40.64, -73.78),
    Station("Lincoln NE, 2016", "lincoln_2016_portal.csv", 40.83, -96.76),
    Station("San Diego CA, 2016-2017", "san_diego_2016-2017.csv.gz", 32.73, -117.17),
    Station("Miami FL, typical year", "miami_typical.csv.gz", 25.8, -80.27),
    Station("Seattle WA, 2012-2015", "seattle_2012-2015.csv.gz", 47.45, -122.31),
)


@dataclass(frozen=True)
class Row:
    """One species at one station, each date in the year 2027."""

    station: str
    species: str
    start: Start
    heat: tuple[date, date, date]
    curve: date | None
    broods: str
    fit: tuple[int, int] | None

    @property
    def later(self) -> int:
        """Days from the middle of the published start to the middle year's heat date; negative is earlier."""
        return (self.heat[1] - self.start.mid).days

    @property
    def inside(self) -> bool:
        """Whether the middle year's heat date lies within the published start, widened for distance."""
        return self.start.low <= self.heat[1] <= self.start.high

    def cells(self) -> tuple[str, ...]:
        """The row as text."""
        low, mid, high = self.heat
        span = "" if low == high else f" ({_day(low)} to {_day(high)})"
        return (
            self.station,
            self.species.removesuffix("-swallowtail").replace("-", " "),
            f"{self.start.region}: {_day(self.start.low)} to {_day(self.start.high)}",
            f"{_day(mid)}{span}",
            _day(self.curve) if self.curve else "not reached",
            f"{self.later:+d}".replace("-", "−"),
            "yes" if self.inside else "no",
            self.broods or "none",
            f"{self.fit[0]} to {self.fit[1]}" if self.fit else "not known",
        )


def rows(library: Library) -> tuple[list[Row], list[str]]:
    """Return the rows, and the stations and species without published times within reach."""
    found: list[Row] = []
    without: list[str] = []
    for station in STATIONS:
        known = from_mapping(
            {"latitude": station.latitude, "longitude": station.longitude, "daily": str(SERIES / station.file)},
            SERIES,
            station.name,
        )
        here = profile(known, content_dir(), (YEAR,))
        series = _series(station)
        missing = []
        for species in SPECIES:
            row = _row(library, station, species, here, series)
            if row is None:
                missing.append(species.removesuffix("-swallowtail").replace("-", " "))
            else:
                found.append(row)
        without.append(f"{station.name}: {', '.join(missing)}")
    return found, without


def _series(station: Station) -> Series:
    from handouts.place import daily

    series = daily.read(SERIES / station.file)
    return series.between(date(series.days[-1].day.year - 29, 1, 1), series.days[-1].day)


def _row(library: Library, station: Station, species: str, here: Profile, series: Series) -> Row | None:
    maker = Maker(library, species, here, YEAR)
    start, _ = add_flights(maker)
    need = heat_need(maker)
    if start is None or need is None:
        return None
    dates = sorted(_heat_dates(series, need.base, need.low))
    curve: TemperatureCurve | None = here.curve
    warm = heat_opening(curve, date(YEAR, 1, 1), need.base, need.low, need.high) if curve else None
    middle = date(YEAR, 1, 1) + timedelta(days=round(median((day - date(YEAR, 1, 1)).days for day in dates)))
    return Row(
        station.name,
        species,
        start,
        (dates[0], middle, dates[-1]),
        warm.first if warm else None,
        _broods(maker),
        _fit(library, maker, start),
    )


def _heat_dates(series: Series, base: float, target: float) -> list[date]:
    """The day of each full year on which its own heat reaches the target, as a day of 2027."""
    found = []
    for year in series.years:
        days = [day for day in series.days if day.day.year == year and day.tmin is not None and day.tmax is not None]
        if len(days) < LEAST_DAYS and series.period != str(year):
            continue
        total = 0.0
        for day in days:
            assert day.tmin is not None
            assert day.tmax is not None
            low, high = (whole(value) if series.whole_degrees else value for value in (day.tmin, day.tmax))
            total += degree_days(low, high, base)
            if total >= target:
                found.append(date(YEAR, day.day.month, min(day.day.day, 28) if day.day.month == 2 else day.day.day))
                break
    return found


def _broods(maker: Maker) -> str:
    nearest = nearest_broods(maker)
    if nearest is None or nearest[1].preferred.span is None:
        return ""
    span = nearest[1].preferred.span
    low, high = span.ends
    count = f"{low:g} to {high:g}" if low is not None and high is not None and low != high else f"{low or high:g}"
    bound = {"at least": "at least ", "at most": "up to ", "about": "about "}.get(span.bound, "")
    return f"{nearest[0].region.name}: {bound}{count}"


def _fit(library: Library, maker: Maker, start: Start) -> tuple[int, int] | None:
    """How many flights fit between the first and the turn to winter rest, with slow and with fast growth."""
    turn = season(library, maker.species, maker.profile, YEAR).window("overwinter-from")
    stages = [maker.days(quantity) for _, quantity in STAGES]
    if turn is None or turn.mid is None or not all(stages):
        return None
    counts = []
    for side in ("high", "low"):
        # where only the longest time is known, it stands for both
        egg, larva, pupa = (stage.low if side == "low" and stage.low_known else stage.high for stage in stages if stage)
        day, flights = start.mid, 1
        while day + timedelta(days=egg + larva) <= turn.mid and flights < 9:
            day += timedelta(days=egg + larva + pupa)
            flights += 1
        counts.append(flights)
    return counts[0], counts[1]


def _day(day: date) -> str:
    return f"{day:%b} {day.day}"


def table(found: list[Row]) -> list[str]:
    """The rows as lines of a Markdown table."""
    lines = [f"| {' | '.join(HEAD)} |", f"|{'---|' * len(HEAD)}"]
    return [*lines, *(f"| {' | '.join(row.cells())} |" for row in found)]


def library() -> Library:
    """The shipped content."""
    return build.library(build.Folders(content_dir()))


if __name__ == "__main__":
    made, left_out = rows(library())
    print("\n".join(table(made)))
    print()
    print("No published times within reach:")
    print("\n".join(f"- {line}" for line in left_out))
