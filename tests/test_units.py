"""Units: every conversion of the table against a kept units library."""

import itertools

import pint
import pytest

from handouts import units

# How the kept library (pint) names our UCUM codes; degree-days are a difference times a day.
PINT = {
    "s": "second",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "wk": "week",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "km": "kilometer",
    "[in_i]": "inch",
    "[ft_i]": "foot",
    "[mi_i]": "mile",
    "mg": "milligram",
    "g": "gram",
    "kg": "kilogram",
    "mL": "milliliter",
    "L": "liter",
    "[gal_us]": "gallon",
    "Cel": "degC",
    "[degF]": "degF",
    "Cel{diff}": "delta_degC",
    "[degF]{diff}": "delta_degF",
    "Cel.d": "delta_degC * day",
    "[degF].d": "delta_degF * day",
    "a": "julian_year",
}
registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(
    ("one", "other"),
    [pair for pair in itertools.permutations(PINT, 2) if units.same_dimension(*pair)],
)
@pytest.mark.parametrize("value", [-23.5, 0.0, 1.0, 38.0, 230.0])
def test_conversions_agree_with_pint(one, other, value):
    """Each pair of units of one dimension converts as pint does (source: pint's unit definitions)."""
    theirs = registry.Quantity(value, PINT[one]).to(PINT[other]).magnitude
    assert units.convert(value, one, other) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_month_is_a_twelfth_of_a_julian_year():
    """UCUM defines mo as a/12 and a as 365.25 days."""
    assert units.convert(12, "mo", "d") == pytest.approx(365.25)


def test_a_temperature_is_not_a_difference():
    """A temperature never turns into a temperature difference or degree-days."""
    assert not units.same_dimension("Cel", "Cel{diff}")
    with pytest.raises(ValueError, match="cannot be turned"):
        units.convert(10, "Cel", "[degF].d")


def test_degree_days_convert_without_an_offset():
    """230 Celsius degree-days are 414 Fahrenheit degree-days, not 446."""
    assert units.convert(230, "Cel.d", "[degF].d") == pytest.approx(414)
