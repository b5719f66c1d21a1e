"""Reading grades: the published formulas, the rules of counting, and the names that are left out."""

from __future__ import annotations

import pytest

from handouts.errors import BadContent
from handouts.reading import (
    dale_chall,
    flesch_ease,
    flesch_kincaid,
    grade_of,
    measure,
    sentences_of,
    smog_grade,
    smog_quick,
    split_sentences,
    words_in,
)
from handouts.syllables import lexicon, spoken_syllables, syllables

PLAIN = "The cat sat on the mat."


@pytest.mark.parametrize(
    ("words", "sentences", "count", "ease", "grade"),
    [(100, 5, 140, 68.095, 8.730), (120, 10, 168, 76.215, 5.610), (100, 8, 150, 67.248, 6.985),
     (250, 20, 350, 75.708, 5.805), (6, 1, 6, 116.145, -1.450)],
)  # fmt: skip
def test_flesch_formulas_have_the_published_coefficients(words, sentences, count, ease, grade):
    """Worked examples of both Flesch formulas come out to three decimals."""
    assert flesch_ease(words, sentences, count) == pytest.approx(ease, abs=0.0006)
    assert flesch_kincaid(words, sentences, count) == pytest.approx(grade, abs=0.0006)


@pytest.mark.parametrize(("long_words", "grade"), [(9, 6.258), (16, 7.301), (25, 8.344), (36, 9.387), (64, 11.473)])
def test_smog_has_the_published_coefficients(long_words, grade):
    """The exact SMOG formula for thirty sentences comes out to three decimals."""
    assert smog_grade(long_words, 30) == pytest.approx(grade, abs=0.0006)


@pytest.mark.parametrize(
    ("long_words", "grade"), [(64, 11), (4, 5), (9, 6), (16, 7), (25, 8), (36, 9), (49, 10), (20, 7), (21, 8), (0, 3)]
)
def test_the_quick_smog_takes_the_nearest_perfect_square(long_words, grade):
    """The quick SMOG count gives the published grades, and rounds to the nearer square between them."""
    assert smog_quick(long_words) == grade


@pytest.mark.parametrize(("words", "sentences", "hard", "score"), [(100, 8, 10, 5.8355), (100, 5, 4, 1.6236)])
def test_dale_chall_adds_its_constant_above_five_percent(words, sentences, hard, score):
    """The constant is added for more than five percent of hard words, and not below."""
    assert dale_chall(words, sentences, hard) == pytest.approx(score, abs=0.00006)


@pytest.mark.parametrize(
    ("word", "count"),
    [("caterpillar", 4), ("chrysalis", 3), ("swallowtail", 3), ("pesticide", 3), ("pipevine", 2), ("Zizia", 3),
     ("polyxenes", 4), ("thuringiensis", 5), ("neonicotinoid", 6), ("overwintering", 5), ("osmeterium", 5),
     ("Asclepias", 4), ("every", 2)],
)  # fmt: skip
def test_field_words_are_counted_right(word, count):
    """The words that common counters get wrong have their true number of syllables."""
    assert syllables(word) == count


@pytest.mark.parametrize(
    ("word", "count"),
    [("the", 1), ("opened", 2), ("closed", 1), ("painted", 2), ("leaves", 1), ("cages", 2), ("monarchs", 2),
     ("monarch\u2019s", 2), ("needles", 2), ("crumpled", 2), ("called", 1), ("sprayed", 1), ("dried", 1), ("drying", 2),
     ("being", 2), ("quiet", 2), ("earlier", 3), ("medium", 3), ("various", 3), ("appreciate", 4), ("special", 2),
     ("question", 2), ("safely", 2), ("something", 2), ("useful", 2), ("beyond", 2), ("mechanism", 4), ("create", 2),
     ("cooperate", 4), ("isn\u2019t", 2), ("don't", 1), ("they're", 1), ("unit", 2), ("queen", 1),
     ("USDA", 1), ("p.m.", 1), ("3.5", 1), ("cm", 1), ("full-grown", 2), ("half-open", 3), ("%", 1)],
)  # fmt: skip
def test_spelling_rules_count_ordinary_words(word, count):
    """Silent letters, endings and split vowels are seen; figures, short forms and symbols are one syllable."""
    assert syllables(word) == count


@pytest.mark.parametrize(
    ("word", "count"),
    [("27", 4), ("11", 3), ("100", 3), ("1,200", 6), ("3.5", 3), ("cm", 4), ("\u00b0F", 5), ("USDA", 4), ("cold", 1)],
)
def test_smog_counts_figures_as_they_are_read_aloud(word, count):
    """Figures, units and short forms have the syllables of what a reader says."""
    assert spoken_syllables(word) == count


@pytest.mark.parametrize(
    ("text", "count"),
    [("It was 3.5 cm long.", 1), ("Dr. Lee saw 3.5 in. of rain at 5 p.m. on Jan. 4 in St. Paul.", 1),
     ("Look at 5 p.m. Then wait.", 2), ("Is it P. polyxenes? Yes!", 2), ("No. It is not.", 2), ("See No. 4 there.", 1),
     ("\u201cIs it dead?\u201d people ask.", 1), ("It waits\u2026 and waits.", 1), ("Wait. 3 days later it opens.", 2),
     ("The U.S. Department said so.", 1), ("Read on (it is long). Then stop.", 2)],
)  # fmt: skip
def test_only_the_end_of_a_sentence_ends_it(text, count):
    """Decimals, units, initials, titles, months and quoted questions do not end a sentence."""
    assert len(split_sentences(text)) == count


def test_an_address_ends_no_sentence_and_is_no_word():
    """Web and mail addresses are left out before sentences are counted."""
    (sentence,) = sentences_of(["Read https://example.org/a.b?c=1. or write to a.b@example.org today."])
    assert words_in(sentence)[-1] == "today."
    assert "example" not in sentence


@pytest.mark.parametrize("stop", ["", "."])
def test_a_list_item_is_a_sentence_and_the_lead_in_joins_the_first(stop):
    """Four short items are four sentences with or without their stops; the lead-in is none by itself."""
    items = ["Bring these:", *(f"{thing}{stop}" for thing in ("a box", "a towel", "a net", "a map")), "Close the lid."]
    assert sentences_of(items)[0] == f"Bring these: a box{stop}"
    assert len(sentences_of(items)) == 5
    assert sentences_of(["Bring these:\n- a box\n- a towel\n2. a net"]) == ["Bring these: a box", "a towel", "a net"]


def test_words_are_what_stands_between_spaces():
    """Contractions, hyphenated words, figures and symbols are one word each; dashes are none."""
    assert words_in("Don't use half-open jars \u2013 9 to 18 \u00b0F \u2014 or 5 % more.") == [
        "Don't", "use", "half-open", "jars", "9", "to", "18", "\u00b0F", "or", "5", "%", "more."
    ]  # fmt: skip


def test_no_grade_under_a_hundred_words():
    """Ninety-six words get no grade, a hundred and two do; the plainest text is below grade one."""
    assert grade_of([PLAIN] * 16) is None
    assert grade_of([PLAIN] * 17) == pytest.approx(-1.45)
    assert grade_of([]) is None


def test_smog_needs_ten_sentences():
    """A long text of nine sentences has no SMOG grade, one of ten has."""
    assert measure(["word " * 20] * 9).smog is None
    assert measure(["word " * 20] * 10).smog == pytest.approx(3.13)


def test_names_and_taught_terms_are_left_out_and_reported_with():
    """Names neither raise nor lower the syllables; their words still count as length, and both grades are told."""
    named = measure(["We saw Papilio polyxenes caterpillars on the Queen Anne\u2019s lace today."] * 12,
                    ["Papilio polyxenes", "Queen Anne's lace"])  # fmt: skip
    assert named.words == 11 * 12
    assert named.grade_with_names is not None
    assert named.grade is not None
    assert named.grade < named.grade_with_names - 3
    # We saw on the today: 6 syllables in 5 words, in sentences of 11 words.
    assert named.grade == pytest.approx(round(0.39 * 11 + 11.8 * 6 / 5 - 15.59, 2))


@pytest.mark.parametrize("name", ["P. polyxenes", "PAPILIO POLYXENES", "Papilio\u00a0polyxenes"])
def test_a_name_is_known_in_all_its_forms(name):
    """A shortened, shouted or glued scientific name is the same name."""
    found = measure([f"We saw {name} on the leaf."] * 20, ["Papilio polyxenes"])
    assert found.grade is not None
    assert found.grade < 1


def test_the_measure_tells_the_longest_sentence_and_the_mean():
    """Longest sentence, its words and the mean come along."""
    found = measure(["One two three. Four five.", "Six."])
    assert (found.longest, found.longest_words, found.mean, found.sentences) == ("One two three.", 3, 2.0, 3)


@pytest.mark.parametrize(
    ("text", "says"),
    [("words: {a: many}\nabbreviations: {inside: [], ends: []}\n", "no syllable count"), ("words: [a]\n", "no mapping"),
     ("words: {a: 1}\nabbreviations: {inside: x, ends: []}\n", "no list")],
)  # fmt: skip
def test_a_broken_syllable_file_is_refused(text, says, tmp_path):
    """A misfit in the words file is named with its line."""
    file = tmp_path / "syllables.yml"
    file.write_text(text + "taught: []\nspoken: {}\n", encoding="utf-8")
    with pytest.raises(BadContent, match=says):
        lexicon(file)


def test_the_lexicon_is_about_this_field():
    """The shipped lexicon holds some two hundred words and more, each spelled in small letters."""
    words = lexicon().words
    assert len(words) >= 200
    assert all(word == word.lower() for word in words)
