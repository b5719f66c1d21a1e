"""What a person knows of a place comes in; the files are read, and position, series, normals and curve go out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from handouts.errors import BadInput
from handouts.files import MIB
from handouts.place import daily, logger, normals, table, zips
from handouts.place.known import Known
from handouts.place.normals import Normals
from handouts.season.curve import TemperatureCurve, daily_from_monthly, temperature_curve
from handouts.season.series import Series, full_years, monthly_means
from handouts.season.sums import LEAST_DAYS, spread_by_month

CLIMATE_YEARS = 30  # the usual length of a climate record; older years speak of another climate
_FAR_KM = 50.0


@dataclass(frozen=True)
class Position:
    """Where the place lies, in degrees, how surely (km), and in words from what."""

    latitude: float
    longitude: float | None
    km: float
    basis: str
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Evidence:
    """All that was read about a place. `own` says that the series is the user's own logger."""

    known: Known
    position: Position | None
    series: Series | None
    own: bool
    normals: Normals | None
    curve: TemperatureCurve | None
    curve_why: str = ""

    @property
    def south(self) -> bool:
        """Whether the place lies south of the equator; one whose latitude is not known is taken as north."""
        return self.position is not None and self.position.latitude < 0


def gather(known: Known, content: Path) -> Evidence:
    """Read the files of `known` and the ZIP table. Raises BadInput."""
    series, own = _series(known) if known.daily else (None, False)
    station = normals.read_all(known.normals) if known.normals else None
    position = _position(known, station, series, content)
    curve = _curve(series, own, station)
    return Evidence(known, position, series, own, station, curve)


def _series(known: Known) -> tuple[Series, bool]:
    """The daily or logger file, and whether it is the user's own; its last thirty years."""
    assert known.daily is not None
    text = table.load(known.daily, daily.LIMIT_MIB, "daily file")
    own = not daily.is_daily(text)
    if own and len(text) > logger.LIMIT_MIB * MIB:
        raise BadInput("the logger file is too large", file=known.daily, expected=f"at most {logger.LIMIT_MIB} MiB")
    read = logger.parse if own else daily.parse
    series = read(text, known.daily, known.daily_unit)
    if not series.days:
        raise BadInput("the daily file holds no whole day", file=known.daily)
    first, last = series.days[0].day, series.days[-1].day
    whole = last.year if last.month == 12 else last.year - 1
    start = date(whole - CLIMATE_YEARS + 1, 1, 1)
    if first < start:
        note = f"years before {start.year} are left out: the last {CLIMATE_YEARS} years are the climate now"
        series = replace(series.between(start, last), notes=(*series.notes, note))
    return series, own


def _position(known: Known, station: Normals | None, series: Series | None, content: Path) -> Position | None:
    """The best position: typed coordinates, else the ZIP area, else the station of a file."""
    if known.latitude is not None:
        warnings = []
        if known.longitude is None:
            warnings.append("no longitude was given: times of events may shift by a minute or two")
        if known.zip is not None and not "995" <= known.zip[:3] <= "999":
            spot = zips.spot(known.zip, content)
            away = zips.distance_km(
                (known.latitude, known.longitude if known.longitude is not None else spot.longitude),
                (spot.latitude, spot.longitude),
            )
            if away > _FAR_KM:
                warnings.append(f"the ZIP area {known.zip} lies {away:.0f} km from the given coordinates")
        return Position(known.latitude, known.longitude, 0.0, "latitude and longitude", tuple(warnings))
    if known.zip is not None:
        spot = zips.spot(known.zip, content)
        note = f"the middle of ZIP area {known.zip} ({zips.SOURCE}); the garden may lie some kilometers off"
        return Position(spot.latitude, spot.longitude, zips.SPREAD_KM, "ZIP", (note,))
    for source, name in ((station, "normals file"), (series, "daily file")):
        if source is not None and source.latitude is not None:
            if not -90.0 <= source.latitude <= 90.0 or not -180.0 <= (source.longitude or 0.0) <= 180.0:
                raise BadInput(
                    f"the {name} gives a position that is not on the Earth",
                    file=known.normals[0] if source is station else known.daily,
                    found=f"{source.latitude:g}, {source.longitude}",
                )
            note = f"the position of station {source.station} from the {name}"
            return Position(source.latitude, source.longitude, zips.SPREAD_KM, name, (note,))
    return None


def _curve(series: Series | None, own: bool, station: Normals | None) -> TemperatureCurve | None:
    """The temperature curve of the better input: ten full years of days, else normals, else fewer years."""
    years = len(full_years(series, LEAST_DAYS)) if series is not None else 0
    if (years < 10 and station is not None and station.tmin and station.tmax) or series is None:
        if station is None or station.tmin is None or station.tmax is None:
            return None
        return temperature_curve(
            station.tmin, station.tmax, basis="station normals", period=station.period, source=station.source
        )
    lows = monthly_means((day.day, day.tmin) for day in series.days)
    highs = monthly_means((day.day, day.tmax) for day in series.days)
    if lows is None or highs is None:
        return None
    smooth = daily_from_monthly([(low + high) / 2.0 for low, high in zip(lows, highs, strict=True)])
    return temperature_curve(
        lows,
        highs,
        spread_by_month(series, smooth),
        basis="logger" if own else "daily file",
        period=series.period,
        source=series.source,
    )
