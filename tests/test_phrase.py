"""Phrases: what a reader sees for a value, in words that read right."""

from datetime import date

import pytest

from handouts.compose.phrase import Frosts, number, span_phrase, time_phrase
from handouts.model.facts import Span, Time

NBSP = "\u00a0"


def said(text):
    return text.replace(NBSP, " ")


@pytest.mark.parametrize(
    ("span", "system", "modifier", "expected"),
    [
        ({"low": 9, "high": 18, "unit": "d"}, "us", None, "9 to 18 days"),
        ({"about": 1, "unit": "d"}, "us", None, "about 1 day"),
        ({"about": 2, "unit": "wk"}, "metric", None, "about 2 weeks"),
        ({"at_least": 88, "unit": "d"}, "us", None, "at least 88 days"),
        ({"low": 1, "high": 5, "unit": "Cel"}, "us", None, "about 34 to 41 °F (1 to 5 °C)"),
        ({"low": 1, "high": 5, "unit": "Cel"}, "metric", None, "1 to 5 °C (about 34 to 41 °F)"),
        ({"about": 38, "unit": "[degF]"}, "us", None, "about 38 °F (about 3.5 °C)"),
        ({"exactly": -23.5, "unit": "Cel"}, "us", None, "about −10 °F (−23.5 °C)"),
        ({"low": 9, "high": 18, "unit": "d"}, "us", "low", "9 days"),
        ({"low": 9, "high": 18, "unit": "d"}, "us", "high", "18 days"),
        ({"about": 24, "unit": "h"}, "us", "bare", "24 hours"),
        ({"low": 163, "high": 294, "unit": "Cel.d"}, "us", "bare", "about 295 to 530 degree-days (°F)"),
    ],
)
def test_spans_read_in_the_readers_units_first(span, system, modifier, expected):
    """Both ends are converted, the reader's system comes first, a converted value is "about"."""
    assert said(span_phrase(Span(**span), system, modifier)) == expected


def test_a_count_takes_its_noun():
    """A count is followed by its noun, in the singular for one."""
    assert said(span_phrase(Span(exactly=5, unit="1"), "us", None, ("instar", "instars"))) == "5 instars"
    assert said(span_phrase(Span(exactly=1, unit="1"), "us", None, ("instar", "instars"))) == "1 instar"


@pytest.mark.parametrize(
    ("time", "frosts", "expected"),
    [
        ({"at": "early May"}, Frosts(), "in early May"),
        ({"from": "late April", "to": "early June"}, Frosts(), "from late April to early June"),
        ({"at": "05-10"}, Frosts(), "on May 10"),
        ({"from": "4 wk before last freeze", "to": "2 wk before last freeze"}, Frosts(),
         "2 to 4 weeks before your last freeze"),
        ({"from": "last freeze", "to": "2 wk after last freeze"}, Frosts(),
         "in the 2 weeks after your last freeze"),
        ({"from": "4 wk before last freeze", "to": "2 wk before last freeze"}, Frosts(last=date(2027, 5, 6)),
         "from about April 8 to April 22"),
        ({"from": "3 wk before last freeze", "to": "last freeze"}, Frosts(),
         "in the 3 weeks before your last freeze"),
        ({"from": "1 wk before last freeze", "to": "last freeze"}, Frosts(),
         "in the week before your last freeze"),
        ({"from": "2 wk before last freeze", "to": "2 wk after last freeze"}, Frosts(),
         "from 2 weeks before to 2 weeks after your last freeze"),
    ],
)  # fmt: skip
def test_times_bring_their_preposition(time, frosts, expected):
    """A time reads right with dates and, when only a zone is known, in weeks from the reader's own freezes."""
    assert said(time_phrase(Time(**time), frosts, 2027).shown) == expected


def test_numbers_are_set_as_print_does():
    """Thousands are set apart, no trailing zeros, a true minus."""
    assert [number(value) for value in (1234.0, -2.50, 0.004, 12)] == ["1,234", "−2.5", "0.004", "12"]
