"""The rules behind the rules: formulas worked out again, guards that cover the content, hazard words, a slow clock."""

import dataclasses
import re
from datetime import date

import pytest

from handouts import units
from handouts.check import RULES, check_all
from handouts.check.bounds import nearest, span_outside, time_outside
from handouts.check.context import Context, line_within
from handouts.check.formulas import FORMULAS, line_through
from handouts.check.guards import guards, hazards
from handouts.check.records import NEVER_ACCEPTED
from handouts.check.sources import issued_day, web_address
from handouts.model.facts import Span, Time
from handouts.model.finding import Finding
from handouts.model.records import Accepted, AcceptedFinding

from .mutating import CONTENT, TODAY

# Values said as common practice that no sanity bound can narrow: labels of a share, written out with their reason.
UNBOUNDED: set[str] = set()


def test_every_rule_says_what_it_holds():
    """Each rule of the list is one function with a sentence that explains it, and stands in the list once."""
    assert all(rule.__doc__ for rule in RULES)
    assert len(set(RULES)) == len(RULES)


def test_the_line_through_three_tests_is_the_one_a_textbook_gives():
    """Slope and zero agree with the closed form for three points (least squares, worked by hand)."""
    points = [(26.0, 1 / 13), (22.0, 1 / 18), (18.0, 1 / 36)]
    slope, base = line_through(points)
    assert slope == pytest.approx((1 / 13 - 1 / 36) / 8)
    assert base == pytest.approx(22 - (1 / 13 + 1 / 18 + 1 / 36) / 3 / slope)


def test_every_derived_number_of_the_content_can_be_worked_out_again(base):
    """Each derived span has a formula that is known, so that none can change unseen."""
    for fact in base.facts.values():
        for statement in fact.says:
            if statement.basis.kind == "derived" and statement.span is not None:
                assert any(re.fullmatch(words, statement.basis.formula) for words in FORMULAS), fact.id


def test_every_common_practice_number_has_its_sanity_bound(base):
    """Each number and time without a source is held within the widest values that can be defended."""
    bounds = guards(base)
    for fact in base.facts.values():
        for statement in fact.says:
            if statement.basis.kind != "common-practice" or fact.id in UNBOUNDED:
                continue
            if statement.span is not None:
                assert nearest(bounds.spans, fact.id) is not None, f"{fact.id} has no bound in words/bounds.yml"
            if statement.time is not None:
                assert nearest(bounds.times, fact.id) is not None, f"{fact.id} has no bound in words/bounds.yml"


def test_the_bounds_are_used(base):
    """No bound, list or held value of words/bounds.yml speaks of a quantity that the content does not have."""
    bounds = guards(base)
    names = set()
    for fact in base.facts:
        owner, _, quantity = fact.partition(".")
        alone = quantity.partition(".")[0]
        names |= {fact, f"{owner}.{alone}", quantity, alone, owner}
    for table in (bounds.spans, bounds.times, bounds.terms, bounds.bases, bounds.holds, bounds.dated):
        assert set(table) <= names, sorted(set(table) - names)


@pytest.mark.parametrize(
    ("span", "bound", "inside"),
    [
        ({"low": 4, "high": 9, "unit": "d"}, {"low": 3, "high": 9, "unit": "d"}, True),
        ({"low": 96, "high": 216, "unit": "h"}, {"low": 3, "high": 9, "unit": "d"}, True),
        ({"low": 4, "high": 10, "unit": "d"}, {"low": 3, "high": 9, "unit": "d"}, False),
        ({"about": 38, "unit": "[degF]"}, {"low": 1, "high": 5, "unit": "Cel"}, True),
        ({"about": 38, "unit": "Cel"}, {"low": 1, "high": 5, "unit": "Cel"}, False),
        ({"about": 3, "unit": "Cel{diff}"}, {"low": 1, "high": 5, "unit": "Cel"}, False),
        ({"at_least": 9, "unit": "d"}, {"low": 3, "high": 9, "unit": "d"}, False),
        ({"at_most": 9, "unit": "d"}, {"low": 3, "high": 9, "unit": "d"}, True),
        ({"exactly": 5, "unit": "[degF]{diff}"}, {"low": 5, "high": 5, "unit": "[degF]{diff}"}, True),
    ],
)
def test_a_span_is_held_in_its_bound(span, bound, inside):
    """Units are turned, dimensions kept apart, and an open side may not start at the far end."""
    assert (span_outside(Span(**span), Span(**bound)) is None) == inside


@pytest.mark.parametrize(
    ("time", "bound", "inside"),
    [
        (("mid May", "mid May"), ("late April", "early June"), True),
        (("mid May", "mid July"), ("late April", "early June"), False),
        (("October", "November"), ("September", "February"), True),
        (("January", "January"), ("September", "February"), True),
        (("2 wk before last freeze", "last freeze"), ("4 wk before last freeze", "4 wk after last freeze"), True),
        (("2 wk before first freeze", "first freeze"), ("4 wk before last freeze", "4 wk after last freeze"), False),
        (("mid May", "mid May"), ("4 wk before last freeze", "4 wk after last freeze"), False),
    ],
)
def test_a_time_is_held_in_its_bound(time, bound, inside):
    """Times of the year run over its end, and times counted from a freeze are compared with the same freeze only."""
    made = [Time(**{"from": start, "to": end}) for start, end in (time, bound)]
    assert (time_outside(*made) is None) == inside


@pytest.mark.parametrize(
    ("text", "good"),
    [
        ("https://extension.example.edu/page.html?id=3", True),
        ("http://pubs.ext.example.edu", True),
        ("extension.example.edu/page", False),
        ("https://extension.example.edu/a page", False),
        ("ftp://extension.example.edu/page", False),
        ("https://localhost/page", False),
        ("https://192.0.2.7/page", False),
        ("https://extension", False),
        ("https://ext.example.edu:99999/x", False),
    ],
)
def test_a_web_address_is_one_of_the_public_web(text, good):
    """A cited address names a host of the public web and has no spaces."""
    assert web_address(text) == good


def test_a_printed_date_may_be_a_year_a_month_or_a_day():
    """Dates are read as they are printed; what no calendar has is none."""
    assert [issued_day(text) for text in ("2007", "2007-06", "2007-06-30")] == [
        date(2007, 1, 1), date(2007, 6, 1), date(2007, 6, 30)]  # fmt: skip
    assert [issued_day(text) for text in ("2007-13", "June 2007", "2007-02-30")] == [None, None, None]


def test_every_caution_has_its_hazard_words_and_keeps_them(base):
    """Each class has words that call for it and texts that it must say, and each pattern meets the shipped caution."""
    known = hazards(base).classes
    assert set(known) == set(base.cautions)
    for name, hazard in known.items():
        caution = base.cautions[name]
        for key, patterns in (("full", hazard.says), ("short", hazard.short)):
            text = " ".join(getattr(caution, key).split())
            assert all(re.search(pattern, text, re.IGNORECASE) for pattern in patterns), name
        assert hazard.words
        assert len(hazard.says) >= 3, name


def test_every_class_that_an_answer_lists_is_kept(base):
    """What an answer or plan lists stands in words/hazards.yml too, so that dropping it is found."""
    known = hazards(base)
    for table, kept in ((base.entries, known.answers), (base.plans, known.plans)):
        for record in table.values():
            listed = set(record.cautions) - set(kept[record.id].lists if record.id in kept else [])
            line = f"{record.id}: {{lists: [{', '.join(record.cautions)}]}}"
            assert not listed, f"words/hazards.yml needs the line  {line}"


def test_a_clock_that_lags_makes_no_errors(base):
    """On a computer whose clock is years behind, no record is taken for one of a day to come."""
    rules = {"stale-review", "past-date", "source-record"}
    now = [item for item in check_all(base, TODAY) if item.level == "error" and item.rule in rules]
    then = [item for item in check_all(base, date(2019, 1, 1)) if item.level == "error" and item.rule in rules]
    assert {(item.rule, item.key) for item in then} <= {(item.rule, item.key) for item in now}


def test_years_later_reviews_and_dates_are_warnings(base):
    """Ten years on, what was looked up once is a warning to look again, and no error."""
    found = check_all(base, date(2036, 11, 28))
    assert len([item for item in found if item.rule == "stale-review"]) > 300
    assert {item.level for item in found if item.rule in ("stale-review", "past-date")} == {"warning"}


def test_a_text_is_found_in_its_file_line_by_line(base):
    """A word of a folded text is pointed at on the line where it stands, also when another text holds it before."""
    context = Context(base, TODAY)
    for said in context.texts():
        line = said.line()
        assert line is not None, (said.file, said.key)
        assert line >= said.start
    path = CONTENT / "faq" / "alive-or-dead.yml"
    text = base.entries["alive-or-dead"].spoken
    lines = path.read_text(encoding="utf-8").splitlines()
    for word in ("gently", "one that never wiggles", "costs you nothing"):
        at = line_within(path, text, word)
        assert word.split()[0] in lines[at - 1]
        assert at > next(i for i, line in enumerate(lines, 1) if line.startswith("spoken:"))


def test_dangers_cannot_be_accepted_away(base):
    """An acceptance takes a disagreement away, but leaves a danger among the findings."""
    from handouts.check.rules import _accepted

    found = [Finding("error", "outside-reference", key="a.b"), Finding("error", "forbidden-claim", key="a: b")]
    words = {"reason": "The source is known to be wrong.", "until": date(2027, 6, 1), "way_out": "Mend it."}
    items = [AcceptedFinding(rule=item.rule, key=item.key, **words) for item in found]
    context = Context(dataclasses.replace(base, accepted=Accepted(accepted=items)), TODAY)
    left = [item for item in _accepted(context, found) if item.level == "error"]
    assert [item.rule for item in left] == ["forbidden-claim"]


def test_the_rules_that_cannot_be_accepted_exist():
    """Each name in the list of what nobody may accept is that of a rule."""
    source = (CONTENT.parent / "handouts" / "check").glob("*.py")
    written = " ".join(path.read_text(encoding="utf-8") for path in source if path.name != "records.py")
    assert all(f'"{name}"' in written for name in NEVER_ACCEPTED)


def test_every_unit_has_a_least_and_a_most_or_needs_none():
    """Each dimension of the unit table is known to the check for what cannot be, but differences, which may be all."""
    from handouts.check.bounds import _POSSIBLE

    assert {unit.dimension for unit in units.UNITS.values()} - set(_POSSIBLE) == {"temperature difference"}


def test_the_rules_leave_the_library_alone(base):
    """Rules look and never edit."""
    before = {field.name: len(getattr(base, field.name) or ()) for field in dataclasses.fields(base)
              if isinstance(getattr(base, field.name), dict)}  # fmt: skip
    check_all(base, TODAY)
    after = {name: len(getattr(base, name)) for name in before}
    assert before == after
