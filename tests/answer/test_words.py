"""Words are cut, mended and recognized: stems, spelling, concepts, negation, figures, parts of a text."""

from __future__ import annotations

from pathlib import Path

import pytest

from handouts import paths
from handouts.answer.guard import load_guards
from handouts.answer.learned import ASIDE
from handouts.answer.slots import find_slots
from handouts.answer.spell import distance, sound
from handouts.answer.topics import load_topics
from handouts.answer.understand import Understood, understand
from handouts.answer.vocabulary import load_vocabulary
from handouts.answer.words import stem, tokens
from handouts.desk import Desk
from handouts.errors import BadContent

WORDS = paths.content_dir() / "words"


def read(desk: Desk, text: str) -> Understood:
    """Take a text apart with the shipped vocabulary."""
    return understand(text, desk.base.vocabulary)


@pytest.mark.parametrize(
    ("words", "root"),
    [("hatch hatches hatched hatching", "hatch"), ("lady ladies", "lady"), ("move moving moved", "mov")],
)
def test_forms_of_a_word_have_one_stem(words: str, root: str) -> None:
    """The common endings of English fall away."""
    assert {stem(word) for word in words.split()} == {root}


@pytest.mark.parametrize("word", ["string", "wing", "spring", "weed", "chrysalis", "evening", "grass"])
def test_words_that_only_look_like_forms_stay_whole(word: str) -> None:
    """No ending is cut from a word that has none."""
    assert stem(word) == word


def test_tokens_keep_slashed_short_forms() -> None:
    """ "w/" is one token, a hyphen parts two words."""
    assert tokens("Dill w/ eggs & a see-through thing") == ["dill", "w/", "eggs", "&", "a", "see", "through", "thing"]


@pytest.mark.parametrize(
    ("first", "second", "apart"), [("puddel", "puddle", 1), ("crysalis", "chrysalis", 1), ("dill", "fennel", 4)]
)
def test_letters_apart(first: str, second: str, apart: int) -> None:
    """A swap counts once, and beyond the limit counting stops."""
    assert min(distance(first, second, 3), 4) == apart


def test_words_that_sound_the_same_share_a_key() -> None:
    """Silent and doubled letters make no difference."""
    assert sound("rinkled") == sound("wrinkled")
    assert sound("crysalis") == sound("chrysalis")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("catapiler", "caterpillar"),
        ("krysalis", "chrysalis"),
        ("swalowtale", "swallowtail"),
        ("milkwead", "milkweed"),
        ("supermaket", "supermarket"),
        ("nabor", "neighbor"),
    ],
)
def test_misspellings_are_mended(desk: Desk, typed: str, meant: str) -> None:
    """A misspelt word of the field is read as the word it stands for."""
    assert desk.base.vocabulary.speller.correct(typed) == meant


@pytest.mark.parametrize("word", ["budget", "settle", "poked", "raffle", "exactly", "grandma", "dakota"])
def test_everyday_words_are_left_alone(desk: Desk, word: str) -> None:
    """A word of everyday English is not bent into a word of the field."""
    assert desk.base.vocabulary.speller.correct(word) in (word, None)


def test_careful_writing_is_not_mended_boldly(desk: Desk) -> None:
    """In a carefully typed text an unknown word stays; in a careless one it is mended."""
    careful = read(desk, "My friend Colar gave me a caterpillar, and now it is brown.")
    assert ("colar", "collar") not in careful.mended
    assert ("parsly", "parsley") in read(desk, "can they eat parsly").mended


@pytest.mark.parametrize(
    ("text", "concept"),
    [
        ("the worms on my dill", "caterpillar"),
        ("my coccoon fell off", "chrysalis"),
        ("keep it in the ice box", "refrigerator"),
        ("he is hanging in a J", "prepupa"),
        ("the mesh thing tipped over", "cage"),
        ("it won't touch its fresh dill", "not-eating"),
    ],
)
def test_lay_words_name_concepts(desk: Desk, text: str, concept: str) -> None:
    """What people call a thing stands for the thing."""
    assert read(desk, text).has(concept)


def test_a_narrower_word_counts_as_the_broader_one_too(desk: Desk) -> None:
    """Parsley is a host plant of the carrot family."""
    assert {"parsley", "carrot-family", "host-plant"} <= read(desk, "parsley for them").concepts()


def test_denied_concepts_are_marked(desk: Desk) -> None:
    """A concept behind a "not" carries the mark and counts for less."""
    understood = read(desk, "there is no poop on the paper")
    assert "!droppings" in understood.concepts()
    weights = {hit.concept: hit.weight for hit in understood.hits}
    assert weights["droppings"] < weights["!droppings"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("it changed on the 3rd of september", {"dates": ((9, 3),)}),
        ("formed august 28 in iowa", {"dates": ((8, 28),)}),
        ("since 9/14 nothing", {"dates": ((9, 14),)}),
        ("zone 7b here", {"zone": "7b"}),
        ("zip code 02134", {"zip": "02134"}),
        ("it is 42f now", {"degrees_f": (42.0,)}),
        ("kept at about 5c", {"degrees_f": (41.0,)}),
        ("35 below tonight", {"degrees_f": (-35.0,)}),
        ("twenty degrees", {"degrees_f": (20.0,)}),
    ],
)
def test_figures_are_read(text: str, expected: dict[str, object]) -> None:
    """Dates, zones, ZIP codes and temperatures in both units are found."""
    slots = find_slots(text)
    assert {name: getattr(slots, name) for name in expected} == expected


def test_impossible_days_are_left_out() -> None:
    """The 45th of May is no date."""
    assert find_slots("on may 45").dates == ()


def test_asking_clauses_are_told_from_the_story(desk: Desk) -> None:
    """A story is cut into clauses, and those that ask are marked; a two-part question is cut in two."""
    clauses = read(desk, "Hi there. I have a jar. Is that too small, and how often do I clean it?").clauses
    assert [clause.asks for clause in clauses] == [False, False, True, True]
    assert clauses[0].greets


def test_an_if_clause_stays_with_its_question(desk: Desk) -> None:
    """ "If I raise ten, how many plants" is one question."""
    assert len(read(desk, "If I want to raise ten, how many plants do I need?").clauses) == 1


# -- the data ------------------------------------------------------------------------------------------------------


def test_every_entry_has_its_topic_and_every_topic_its_entry(desk: Desk) -> None:
    """Each answer has further ways to ask for it and was learned, and nothing is there without an answer."""
    topics = load_topics([WORDS / "topics.yml"])
    assert set(topics) == set(desk.base.library.entries)
    assert all(len(topic.asked) >= 4 for topic in topics.values())
    assert {name for name in desk.base.learned.columns if not name.startswith(ASIDE)} == set(topics)


def test_every_entry_is_found_by_its_own_question(desk: Desk) -> None:
    """The question an entry is filed under leads to it, or to an entry it calls related."""
    missed = []
    for name, entry in desk.base.library.entries.items():
        reply = desk.reply(entry.question, None, "brief", None)
        found = {reply.entry, *(part.entry for part in reply.parts)}
        if name not in found and not found & set(entry.related) and reply.reason != "referred":
            missed.append(name)
    assert len(missed) <= 2, missed


def test_concepts_have_what_they_need(desk: Desk) -> None:
    """There is a rich vocabulary; broader and related concepts exist and never run in a circle."""
    concepts = desk.base.vocabulary.concepts
    assert len(concepts) >= 250
    for name, concept in concepts.items():
        assert all(other in concepts for other in (*concept.broader, *concept.related))
        assert name not in desk.base.vocabulary.lineage(name)
        assert all(name in concepts[other].broader for other in concept.narrower)


def test_a_concept_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """A guard with an unknown concept is refused with file and line."""
    path = tmp_path / "guards.yml"
    path.write_text("guards:\n  some:\n    does: refuse\n    when: [egg + unheard-of]\n")
    with pytest.raises(BadContent, match="unheard-of") as caught:
        load_guards(path, load_vocabulary([WORDS]))
    assert (caught.value.file, caught.value.line) == (path, 2)
