"""UCUM unit names in, conversions and unit words out."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Unit:
    """One unit: value in the dimension's base unit = value * factor + offset; `step` rounds a converted value."""

    code: str
    dimension: str
    factor: Fraction
    one: str
    many: str
    step: float
    offset: Fraction = Fraction(0)
    system: str = "both"
    partner: str | None = None
    glue: str = "\u00a0"


def _unit(
    code: str,
    dimension: str,
    factor: Fraction | int | str,
    one: str,
    many: str | None = None,
    *,
    step: float = 1,
    offset: Fraction | int | str = 0,
    system: str = "both",
    partner: str | None = None,
) -> Unit:
    return Unit(code, dimension, Fraction(factor), one, many or one, step, Fraction(offset), system, partner)


_FIFTHS = Fraction(5, 9)

# Factors are the definitions of the units (SI Brochure; international inch of 25.4 mm; US gallon of 231 cubic inches;
# the mean Gregorian month and year of UCUM).
UNITS: dict[str, Unit] = {
    unit.code: unit
    for unit in (
        _unit("s", "time", 1, "second", "seconds"),
        _unit("min", "time", 60, "minute", "minutes"),
        _unit("h", "time", 3600, "hour", "hours"),
        _unit("d", "time", 86400, "day", "days"),
        _unit("wk", "time", 7 * 86400, "week", "weeks"),
        _unit("mo", "time", Fraction(36525, 1200) * 86400, "month", "months"),
        _unit("a", "time", Fraction(36525, 100) * 86400, "year", "years"),
        _unit("Cel", "temperature", 1, "°C", step=0.5, offset="273.15", system="metric", partner="[degF]"),
        _unit("[degF]", "temperature", _FIFTHS, "°F", offset=Fraction("459.67") * _FIFTHS, system="us", partner="Cel"),
        _unit("Cel{diff}", "temperature difference", 1, "°C", step=0.5, system="metric", partner="[degF]{diff}"),
        _unit("[degF]{diff}", "temperature difference", _FIFTHS, "°F", system="us", partner="Cel{diff}"),
        _unit(
            "Cel.d",
            "degree-days",
            1,
            "degree-day (°C)",
            "degree-days (°C)",
            step=5,
            system="metric",
            partner="[degF].d",
        ),
        _unit(
            "[degF].d",
            "degree-days",
            _FIFTHS,
            "degree-day (°F)",
            "degree-days (°F)",
            step=5,
            system="us",
            partner="Cel.d",
        ),
        _unit("mm", "length", Fraction(1, 1000), "mm", system="metric", partner="[in_i]"),
        _unit("cm", "length", Fraction(1, 100), "cm", step=0.5, system="metric", partner="[in_i]"),
        _unit("m", "length", 1, "m", step=0.5, system="metric", partner="[ft_i]"),
        _unit("km", "length", 1000, "km", system="metric", partner="[mi_i]"),
        _unit("[in_i]", "length", "0.0254", "inch", "inches", step=0.1, system="us", partner="cm"),
        _unit("[ft_i]", "length", "0.3048", "foot", "feet", system="us", partner="m"),
        _unit("[mi_i]", "length", "1609.344", "mile", "miles", system="us", partner="km"),
        _unit("mg", "mass", Fraction(1, 10**6), "mg"),
        _unit("g", "mass", Fraction(1, 1000), "gram", "grams", system="metric"),
        _unit("kg", "mass", 1, "kg", system="metric"),
        _unit("mL", "volume", Fraction(1, 1000), "mL", system="metric"),
        _unit("L", "volume", 1, "liter", "liters", step=0.5, system="metric", partner="[gal_us]"),
        _unit("[gal_us]", "volume", "3.785411784", "gallon", "gallons", step=0.5, system="us", partner="L"),
        _unit("ng/g", "mass share", Fraction(1, 10**9), "ng/g"),
        _unit("ug/g", "mass share", Fraction(1, 10**6), "µg/g"),
        _unit("mg/L", "mass concentration", Fraction(1, 1000), "mg/L"),
        _unit("[ppb]", "share", Fraction(1, 10**9), "parts per billion"),
        _unit("[ppm]", "share", Fraction(1, 10**6), "parts per million"),
        _unit("%", "share", Fraction(1, 100), "percent"),
        _unit("1", "count", 1, ""),
    )
}


def known(code: str) -> bool:
    """Say whether `code` is a unit of the table."""
    return code in UNITS


def same_dimension(one: str, other: str) -> bool:
    """Say whether two unit codes measure the same kind of thing (a temperature is not a difference)."""
    return UNITS[one].dimension == UNITS[other].dimension


def convert(value: float, source: str, target: str) -> float:
    """Return `value` in `target` units. Raises ValueError when the dimensions differ."""
    from_unit, to_unit = UNITS[source], UNITS[target]
    if from_unit.dimension != to_unit.dimension:
        raise ValueError(f"{from_unit.dimension} cannot be turned into {to_unit.dimension}")
    if source == target:
        return value
    base = Fraction(value).limit_denominator(10**9) * from_unit.factor + from_unit.offset
    return float((base - to_unit.offset) / to_unit.factor)


def rounded(value: float, code: str) -> float:
    """Round a converted value to the unit's step, or to a tenth of it where the value itself is that small."""
    step = UNITS[code].step
    while 0 < abs(value) < 2 * step and UNITS[code].dimension != "temperature":
        step /= 10
    return round(round(value / step) * step, 6)


def partner(code: str, system: str) -> str | None:
    """Return the unit of the other system to show beside `code` for a reader of `system` ("us" or "metric")."""
    unit = UNITS[code]
    return unit.partner if unit.system != "both" else None


def belongs(code: str, system: str) -> bool:
    """Say whether a reader of `system` meets this unit at home."""
    return UNITS[code].system in ("both", system)
