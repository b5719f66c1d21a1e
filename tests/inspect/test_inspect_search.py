"""The searches behind the rules: figures in plain text, names of carriers, sentences that may not be said."""

from __future__ import annotations

import pytest

from handouts.errors import BadContent
from handouts.inspect.carriers import carriers_in
from handouts.inspect.forbidden import breaches, forbidden_in, load_forbidden
from handouts.inspect.page import without_page_line
from handouts.inspect.trace import numerals, untraced
from tests.inspect.sheets import NBSP, library

SHOWN = [f"9{NBSP}to{NBSP}18{NBSP}days", "about 38 °F (3.5 °C)", f"6{NBSP}degree-days"]


def _left(text, shown=tuple(SHOWN), constants=()):
    return [numeral.text for numeral in untraced(text, shown, constants)[0]]


@pytest.mark.parametrize(
    "text",
    ["9 to 18 days", f"9{NBSP}to 18\ndays", "9 to 18 daysp and so on", "(9 to 18 days).", "9 to 18 da-\nys",
     "at about 38 °F\n(3.5 °C), never", "6 degree-\ndays", "1. Look\n2. Wait", "1\n2\n3\nSource", "two kinds"],
)  # fmt: skip
def test_a_shown_figure_is_found_wherever_its_lines_break(text):
    """Spaces, hyphens, line breaks and a mark behind the figure do not hide it; list numbers count up."""
    assert _left(text) == []


@pytest.mark.parametrize(
    ("text", "left"),
    [("109 to 18 days", ["109", "18"]), ("9 to 18 days 5", ["5"]), ("18 days", ["18"]), ("two\nweeks", ["two weeks"]),
     ("1. Look\n3. Wait", ["3"]), ("2 weeks later", ["2"]), ("½ of it", ["½"]), ("x²", ["²"])],
)  # fmt: skip
def test_any_other_figure_is_left_over(text, left):
    """A part of a figure, a longer figure or a number word before a unit is not the claim."""
    assert [item for item in _left(text) if item in left] == left


def test_a_constant_stands_as_a_whole_word():
    """A declared constant accounts for itself and not for a figure it is a part of."""
    assert _left("in 2027 and 12027", constants=["2027"]) == ["12027"]


def test_a_bare_constant_stands_for_no_amount():
    """A number declared for a minute plan accounts for itself, not for so many hours or degrees."""
    assert _left("3 parts; feed it every 3 hours at 3\n\u00b0F", constants=["3"]) == ["3", "3"]
    assert untraced("every 3 hours", [], ["3"], bare=False)[0] == []


def test_lists_go_on_over_pages():
    """A list that reached three on one page goes on with four on the next."""
    _, last = untraced("1. A\n2. B\n3. C", [], [])
    assert untraced("4. D", [], [], last) == ([], 4)


def test_numerals_of_all_kinds_are_seen():
    """Digits, fractions, raised digits, figures in words and number words before a unit are figures."""
    text = "On day 3, ½ cup, m², 1-800-222, A4, six weeks, one day, one of us"
    assert {item.text for item in numerals(text)} >= {"3", "½", "1-800-222", "A4", "six weeks"}
    assert list(numerals("one of us on one day")) == []


def test_the_line_that_counts_pages_is_taken_out_once():
    """ "page 1 of 2" at the edge of its page is no figure of the text; another page's line is."""
    assert without_page_line("Title\nwords\nKeep cold page 1 of 2", 1, 2) == "Title\nwords\nKeep cold "
    assert "page 2 of 3" in without_page_line("Title\npage 2 of 3", 1, 2)


@pytest.mark.parametrize(
    ("text", "subjects"),
    [
        ("Rue is pretty.", {"rue"}), ("all RUES", {"rue"}), ("Ruta\u00a0graveolens", {"rue"}),
        ("R. graveolens", {"rue"}),
        ("a rue's leaf", {"rue"}), ("pastern-berry", {"pastern-berry"}), ("pastern\u2011berries", {"pastern-berry"}),
        ("pas\u00adtern berry", {"pastern-berry"}), ("pastern ber-\nry", {"pastern-berry"}),
        ("hounds leaf", {"pastern-berry"}),
        ("hound\u2019s leaves", {"pastern-berry"}), ("meadow rue", set()), ("meadow-\nrue", set()), ("true", set()),
        ("rued", set()), ("meadow rue and rue", {"rue"}), ("Exempla communis", set()),
    ],
)  # fmt: skip
def test_carriers_are_found_under_all_their_names(text, subjects):
    """Case, plural, possessive, hyphens, no-break spaces and broken lines do not hide a name; a longer name wins."""
    assert set(carriers_in(library(), text)) == subjects


BAD = {
    "organic-is-not-safe": [
        "Organic parsley is safe for caterpillars.", "Buy organic herbs and they will be pesticide-free.",
        "For safe food, buy organic dill.", "Organic parsley is safe, not just tasty.",
    ],
    "washing-is-not-safe": [
        "Wash it well and it is safe to feed.", "Washing makes shop herbs safe.", "Rinse the leaves to remove Bt.",
        "Rinsing removes any pesticide.", "Wash the spray off before you feed it.",
    ],
    "survival-is-not-proof": [
        "One caterpillar survived, so the plant is safe.", "If it is still alive after a few days, the plant is safe.",
        "The plant is safe if one caterpillar lives.",
    ],
    "tag-is-not-safe": ["Plants with a pollinator-friendly tag are untreated."],
    "natural-is-not-safe": ["Neem is safe for caterpillars."],
    "eaten-is-not-safe": ["If a caterpillar eats it, it is safe for people.", "The flowers are safe to eat."],
    "no-dose": [
        "Mix 2 tablespoons per gallon of water.", "Use one cup of bleach to a gallon of water.",
        "Use 1/3 cup bleach per gallon.",
        "Apply 5 ml per liter.", "Spray 3 oz per 1000 square feet.", "Add two drops of soap to a quart of water.",
        "Use {bleach.cups} of bleach per gallon.",
    ],
    "no-mixing-ratio": [
        "Use a 1:10 bleach solution.", "Mix one part bleach with nine parts water.",
        "Use bleach, 1 part in 10 parts water.",
    ],
    "no-medicine": [
        "Take an antihistamine for the rash.", "Put aloe on the burn.", "Make the child vomit.",
        "Treat the rash with hydrocortisone.",
    ],
    "no-veterinary-advice": ["Give your dog charcoal tablets."],
    "one-feature-names-nothing": [
        "You can tell poison hemlock by its purple spots alone.", "If the stem is hairy, it is wild carrot.",
        "The smell tells you it is poison hemlock.", "Identify the plant just by its root.",
    ],
    "harm-is-not-ruled-out": [
        "Organic herbs will not hurt your caterpillars.", "Certified organic plants never carry Bt.",
        "Rinse the herbs and the Bt is gone.", "Since the caterpillar lived, you can feed the rest.",
        "If it does not die in a day, the plant is clean.",
    ],
}  # fmt: skip
GOOD = [
    "Organic does not mean safe.", "Organic parsley is not safe just because it is organic.",
    "Is organic parsley safe?",
    "No one knows whether washing makes herbs safe.", "Washing has not been shown to make a plant safe.",
    "Washing does not remove Bt.", "Rinsing cannot reach pesticides inside the leaf.",
    "Wash your hands after spraying to remove residue.",
    "A caterpillar that survives does not prove that the plant is safe.",
    "One that lives does not mean the plant is safe.",
    "A tag that says pollinator-friendly promises nothing.", "Neem is not safe for caterpillars.",
    "A caterpillar on a plant does not prove that it is safe to eat.",
    "Never taste a plant; caterpillars eat plants that are not safe for people.",
    "The talk starts at 1:10 p.m. and we mix soil after that.", "Rinse with water and call Poison Help.",
    "Do not make the child vomit.", "Do not give milk or charcoal; call Poison Help.",
    "Ask your veterinarian before you treat your dog with a flea product.",
    "Let someone else treat the dog with flea drops.",
    "Read the label: it says how much to mix.", "Mix one part sugar with ten parts water.",
    "Sow parsley 2 to 4 weeks before your last freeze, in a pot.", "Keep one caterpillar per cup.",
    "Sow {parsley.seeds} per pot.", "The longer rinse is the safer reading.", "Even organic growers may spray Bt.",
    "Rinse until no bleach smell is left, then let it dry.", "Put a cup of water in a gallon jar.",
]  # fmt: skip


@pytest.mark.parametrize(("rule", "sentence"), [(rule, text) for rule, many in BAD.items() for text in many])
def test_a_forbidden_sentence_is_found(rule, sentence):
    """Each rule of the list finds the claims it is made for."""
    assert rule in {breach.rule.id for breach in breaches([sentence], load_forbidden())}


@pytest.mark.parametrize("sentence", GOOD)
def test_a_sentence_that_denies_or_asks_passes(sentence):
    """A sentence that denies the myth, asks, or speaks of something else is let be."""
    assert [breach.words for breach in breaches([sentence], load_forbidden())] == []


def test_every_forbidden_rule_has_a_sentence():
    """No rule of the list is without a test."""
    assert {rule.id for rule in load_forbidden()} == set(BAD)


def test_prose_is_read_paragraph_by_paragraph():
    """In source prose, lists and paragraphs are told apart and the reason is given."""
    ((rule, sentence, reason),) = forbidden_in("Grow your own.\n\n- Look first.\n- Mix {a.b} per gallon.\n")
    assert (rule, sentence) == ("no-dose", "Mix {a.b} per gallon.")
    assert "label" in reason


@pytest.mark.parametrize(
    ("text", "says"),
    [("rules: {}\n", "needs `parts`"), ("parts: {}\nrules:\n  a: {reason: b}\n", "lacks"),
     ("parts: {}\nrules:\n  a: {reason: b, remedy: c, patterns: ['(']}\n", "does not compile"),
     ("parts: {}\nrules:\n  a: {reason: b, remedy: c, patterns: ['<lost>']}\n", "no part <lost>")],
)  # fmt: skip
def test_a_broken_list_is_refused(text, says, tmp_path):
    """A misfit in the list is named with its line."""
    (tmp_path / "words").mkdir()
    (tmp_path / "words" / "forbidden.yml").write_text(text, encoding="utf-8")
    with pytest.raises(BadContent, match=says):
        load_forbidden(tmp_path)
