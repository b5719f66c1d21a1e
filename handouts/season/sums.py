"""Heat and cold of real years: daily temperatures come in; degree-days and coldest nights by year go out."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from statistics import pstdev

from handouts.season import yearday
from handouts.season.heat import Cutoff, Method, degree_days
from handouts.season.series import Series, whole

LEAST_DAYS = 350  # days with both values that a year needs
LEAST_IN_MONTH = 20


def daily_heat(
    series: Series,
    base: float,
    upper: float | None = None,
    *,
    cutoff: Cutoff = Cutoff.HORIZONTAL,
    method: Method = Method.SINGLE_SINE,
) -> list[tuple[date, float]]:
    """Degree-days (°F) of each day that has both values.

    A double method takes the day's own minimum where the next day's is missing.
    """
    days = series.days
    found = []
    for at, day in enumerate(days):
        if day.tmin is None or day.tmax is None:
            continue
        after = days[at + 1] if at + 1 < len(days) else None
        follows = after is not None and (after.day - day.day).days == 1
        following = after.tmin if after is not None and follows and after.tmin is not None else day.tmin
        low, high, night = day.tmin, day.tmax, following
        if series.whole_degrees:
            low, high, night = whole(low), whole(high), whole(night)
        heat = degree_days(low, high, base, upper, cutoff=cutoff, method=method, next_tmin=night)
        found.append((day.day, heat))
    return found


def by_year(heat: Iterable[tuple[date, float]], south: bool = False) -> dict[int, float]:
    """Heat of each season year, from the heat of its days.

    A year needs 350 days, and 20 in each month; a missing day gets its month's mean.
    """
    months: dict[int, dict[int, list[float]]] = {}
    for day, value in heat:
        year = months.setdefault(yearday.season_year(day, south), {})
        year.setdefault(day.month, []).append(value)
    totals = {}
    for name, parts in sorted(months.items()):
        counts = [len(values) for values in parts.values()]
        if len(counts) == 12 and min(counts) >= LEAST_IN_MONTH and sum(counts) >= LEAST_DAYS:
            totals[name] = sum(
                sum(values) / len(values) * max(len(values), yearday.MONTH_DAYS[month - 1])
                for month, values in parts.items()
            )
    return totals


def coldest_nights(series: Series) -> dict[int, float]:
    """The lowest minimum (°F) of each calendar year that has at least 350 of them."""
    nights: dict[int, list[float]] = {}
    for day in series.days:
        if day.tmin is not None:
            nights.setdefault(day.day.year, []).append(whole(day.tmin) if series.whole_degrees else day.tmin)
    return {year: min(values) for year, values in sorted(nights.items()) if len(values) >= LEAST_DAYS}


def spread_by_month(series: Series, smooth: tuple[float, ...]) -> list[float]:
    """Standard deviation (°F) of daily mean temperature around a smooth year, one per month."""
    departures: list[list[float]] = [[] for _ in range(12)]
    for day in series.days:
        if day.tmin is not None and day.tmax is not None:
            at = yearday.index(day.day.month, day.day.day)
            departures[day.day.month - 1].append((day.tmin + day.tmax) / 2.0 - smooth[at])
    return [pstdev(values) if len(values) > 1 else 0.0 for values in departures]
