"""Agreement of statements with references: by properties of random values, and over all statements of the content."""

from itertools import permutations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from handouts import units
from handouts.check.agreement import compatible, disagreement, same_value, span_unstated, spans_disagree
from handouts.check.wording import terms_disagree
from handouts.model.facts import ReferenceValue, Span, Statement

CODES = sorted(units.UNITS)
FORMS = ("range", "about", "exactly", "at_least", "at_most")
PAIRS = [pair for pair in permutations(CODES, 2) if units.same_dimension(*pair)]
WRONG_WAYS = (
    ("at_least", "at_most"),
    ("at_most", "at_least"),
    ("at_least", "about"),
    ("at_most", "exactly"),
    ("about", "at_least"),
    ("exactly", "at_most"),
    ("exactly", "about"),
)
CALM = settings(max_examples=100, deadline=None)
amounts = st.floats(min_value=0.5, max_value=5000, allow_nan=False).map(lambda value: float(f"{value:.4g}"))


def span(form, low, high, unit):
    """A span of one of the five forms."""
    if form == "range":
        return Span(low=low, high=high, unit=unit)
    return Span(**{form: low, "unit": unit})


def in_unit(given_span, unit):
    """The same span in another unit of its dimension."""
    low, high = (None if end is None else units.convert(end, given_span.unit, unit) for end in given_span.ends)
    form = given_span.bound.replace(" ", "_")
    return span(form, low if low is not None else high, high, unit)


@st.composite
def spans(draw, code=None):
    """A span of any form and unit."""
    low, more = draw(amounts), draw(amounts)
    return span(draw(st.sampled_from(FORMS)), low, low + more, code or draw(st.sampled_from(CODES)))


@CALM
@given(spans())
def test_a_span_agrees_with_itself(one):
    """What a source states may be said, in every form and unit, and nothing of it is unstated."""
    assert spans_disagree(one, [one]) is None
    assert span_unstated(one, [one]) is None


@CALM
@given(st.sampled_from(PAIRS), st.data())
def test_another_unit_never_changes_agreement(pair, data):
    """A published statement turned into another unit of its dimension still agrees, and still says all of it."""
    stated = data.draw(spans(code=pair[0]))
    said = in_unit(stated, pair[1])
    assert spans_disagree(said, [stated]) is None
    assert span_unstated(said, [stated]) is None
    assert spans_disagree(stated, [said]) is None


@CALM
@given(st.sampled_from(PAIRS), st.data(), st.floats(min_value=1.2, max_value=20))
def test_another_unit_never_changes_disagreement(pair, data, factor):
    """A statement that stands against its reference does so in every unit of its dimension."""
    stated = data.draw(spans(code=pair[0]))
    low = (stated.ends[0] if stated.ends[0] is not None else stated.ends[1]) * factor + 60
    wrong = span("exactly", max(low, (stated.ends[1] or low) * factor + 60), None, pair[0])
    assert spans_disagree(wrong, [stated]) is not None
    assert spans_disagree(in_unit(wrong, pair[1]), [stated]) is not None


@CALM
@given(amounts, amounts, st.sampled_from(CODES), st.floats(min_value=0.05, max_value=10), st.booleans())
def test_widening_beyond_the_references_is_always_caught(low, more, code, share, upward):
    """A range that reaches beyond all its references, at either end, disagrees with them."""
    stated = [span("range", low, low + more, code), span("about", low + more / 2, None, code)]
    reach = (low + more) * share
    wide = span("range", low if upward else low - reach, low + more + (reach if upward else 0), code)
    assert spans_disagree(wide, stated) is not None


@CALM
@given(amounts, amounts, st.sampled_from(CODES))
def test_one_narrower_than_its_reference_is_let_be_but_named(low, more, code):
    """A range inside what the source states does not disagree; the ends that no source states are named."""
    assume(more > low * 0.1)
    stated = span("range", low, low + more, code)
    inside = span("range", low + more * 0.25, low + more * 0.75, code)
    assert spans_disagree(inside, [stated]) is None
    assert span_unstated(inside, [stated]) is not None


@CALM
@given(spans(), spans())
def test_dimensions_never_agree(one, other):
    """A temperature is no difference, a share no count: different dimensions never agree."""
    assume(not units.same_dimension(one.unit, other.unit))
    assert "stands against" in spans_disagree(one, [other])


@CALM
@given(amounts, st.sampled_from(CODES))
def test_a_bound_keeps_its_direction(value, code):
    """At least is not at most, one number is neither, and about is not exactly."""
    forms = {form: span(form, value, value, code) for form in FORMS[1:]}
    for said, stated in WRONG_WAYS:
        assert spans_disagree(forms[said], [forms[stated]]) is not None, (said, stated)
    assert spans_disagree(forms["about"], [forms["exactly"]]) is None


@CALM
@given(st.lists(spans(code="d"), min_size=1, max_size=4))
def test_the_hull_of_some_ranges_may_be_said(stated):
    """A range from the lowest to the highest end of closed references agrees with them where it meets each."""
    closed = [item for item in stated if item.bound == "range"]
    assume(closed)
    hull = span("range", min(item.low for item in closed), max(item.high for item in closed), "d")
    assert spans_disagree(hull, closed) is None


@pytest.mark.parametrize(
    ("said", "stated", "agree"),
    [
        ("pale yellow", ["pale yellow"], True),
        ("pale green", ["pale yellow"], False),
        ("the carrot family", ["carrot family"], True),
        ("the daisy family", ["the carrot family"], False),
        ("1-800-222-1222", ["1-800-222-1222"], True),
        ("1-800-222-1222", ["1-800-222-1222", "1-800-222-1212"], False),
        ("not poisonous", ["poisonous"], False),
        ("poisonous", ["not poisonous"], False),
        ("waste, not blood", ["waste, not blood"], True),
        ("waste, blood", ["waste, not blood"], False),
        ("green or brown", ["green", "brown or green"], True),
        ("green or brown", ["green or brown", "purple"], False),
        ("dies once it freezes", ["doesn't die once it freezes"], False),
    ],
)
def test_terms_are_held_against_each_reference(said, stated, agree):
    """Words, figures and denials of a term must stand in what it rests on."""
    assert (terms_disagree(said, stated) is None) == agree


# -- every statement of the content ------------------------------------------------------------------------------------


def backed(base):
    """Every statement that rests on references, with them."""
    for fact in base.facts.values():
        for statement in fact.says:
            if statement.rests_on:
                yield fact.id, statement, [base.references[name] for name in statement.rests_on]


def moved(one, factor, add):
    """A span with its ends moved."""
    low, high = (None if end is None else end * factor + add for end in one.ends)
    return span(one.bound.replace(" ", "_"), low if low is not None else high, high, one.unit)


def test_every_published_number_that_moves_is_caught(base):
    """Each number of the content that rests on references, trebled, a third, or shifted, stands against them."""
    count = 0
    for name, statement, references in backed(base):
        if statement.span is None:
            continue
        count += 1
        stated = [reference.span for reference in references]
        size = max(abs(end) for end in statement.span.ends if end is not None)
        assert spans_disagree(statement.span, stated) is None, name
        for factor, add in ((3, size), (1 / 3, -size), (1, size), (1, -size)):
            assert spans_disagree(moved(statement.span, factor, add), stated) is not None, (name, factor, add)
    assert count > 300


def test_every_published_unit_that_is_swapped_is_caught(base):
    """No number of the content agrees with its references when its unit is taken for another one."""
    for name, statement, references in backed(base):
        if statement.span is None or any(end == 0 for end in statement.span.ends):
            continue
        for other in CODES:
            if other == statement.span.unit:
                continue
            wrong = statement.span.model_copy(update={"unit": other})
            assert spans_disagree(wrong, [item.span for item in references]) is not None, (name, other)


def test_every_published_flag_and_term_that_is_turned_is_caught(base):
    """Each flag flipped, and each term denied or put in other words, stands against its references."""
    counts = {"flag": 0, "term": 0}
    for name, statement, references in backed(base):
        if statement.flag is not None:
            counts["flag"] += 1
            turned = statement.model_copy(update={"flag": not statement.flag})
            assert disagreement(turned, references) is not None, name
        elif statement.term is not None:
            counts["term"] += 1
            for text in (f"purple {statement.term}", "something else altogether"):
                turned = statement.model_copy(update={"term": text})
                assert disagreement(turned, references) is not None, (name, text)
    assert min(counts.values()) > 100


def test_a_reference_that_says_the_same_is_known_for_it(base):
    """Each published statement with one reference says the same value as that reference and is compatible with it."""
    for name, statement, references in backed(base):
        if len(references) == 1:
            assert same_value(statement, references[0]), name
            assert compatible(statement, references[0]), name


def test_a_reference_of_another_kind_of_value_never_agrees():
    """A number does not rest on words, nor a yes on a number."""
    words = ReferenceValue(of="a.b", term="rather long", locator="page")
    number = ReferenceValue(of="a.b", about=3, unit="d", locator="page")
    basis = {"kind": "published", "rests_on": ["a#b"]}
    assert disagreement(Statement(span=Span(about=3, unit="d"), basis=basis), [words]) is not None
    assert disagreement(Statement(flag=True, basis=basis), [number]) is not None
    assert disagreement(Statement(term="rather long", basis=basis), [number]) is not None
