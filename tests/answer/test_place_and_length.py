"""An answer is right for the place, says whose figures it holds, keeps its length and brings its cautions."""

from __future__ import annotations

import re
from datetime import date

import pytest

from handouts.answer.reply import Length
from handouts.compose.carriers import classes_named
from handouts.desk import Desk
from tests.answer.conftest import GEORGIA, IOWA

WINTER = "Where should I keep my chrysalides in winter?"
LENGTHS = ("brief", "standard", "spoken")
MONTH = re.compile(r"\b(?:January|February|March|April|May|June|July|August|September|October|November|December)\b")


def test_the_place_changes_the_answer(desk: Desk) -> None:
    """A season window is said for the place; two places get two dates, no place gets words."""
    iowa, georgia, nowhere = (desk.reply(WINTER, place, "brief", None) for place in (IOWA, GEORGIA, None))
    assert iowa.entry == georgia.entry == nowhere.entry == "winter-where"
    assert len({iowa.answer, georgia.answer, nowhere.answer}) == 3
    assert MONTH.search(iowa.answer)
    assert not MONTH.search(nowhere.answer)
    assert any(name.startswith("season.") for name in iowa.facts)


def test_a_zone_alone_brings_no_calendar_date(desk: Desk) -> None:
    """A zone is no frost date: with it alone the window stays in words."""
    assert not MONTH.search(desk.reply(WINTER, "zone=6a", "brief", None).answer)


def test_a_zone_in_the_question_is_used(desk: Desk) -> None:
    """A zone that stands in the text is taken as the place when none is given."""
    reply = desk.reply("I'm in zone 6a. Where should I keep my chrysalides in winter?", None, "standard", None)
    assert reply.place == "zone=6a"
    given = desk.reply("I'm in zone 6a. Where should I keep my chrysalides in winter?", IOWA, "standard", None)
    assert given.place == IOWA


def test_without_a_place_the_standard_answer_asks_for_one(desk: Desk) -> None:
    """Where dates hang on the place and none is known, the answer says what to tell."""
    hint = desk.base.say("local-dates")
    assert hint in desk.reply(WINTER, None, "standard", None).answer
    assert hint not in desk.reply(WINTER, IOWA, "standard", None).answer


def test_the_day_moves_the_year(desk: Desk) -> None:
    """With a day given, the windows are those that come next after it."""
    first, later = (desk.reply(WINTER, IOWA, "brief", day) for day in (date(2027, 3, 1), date(2031, 12, 20)))
    years = [{value["value"]["mid"][:4] for value in reply.claims if value["id"].startswith("season.")} for reply in
             (first, later)]  # fmt: skip
    assert years == [{"2027"}, {"2032"}]


def test_common_practice_and_relatives_are_named(desk: Desk) -> None:
    """A figure without a study says so, a window judged from a relative or region names it, sources are listed."""
    sow = desk.reply("When do I sow dill for the caterpillars?", IOWA, "standard", None).answer
    assert "(common practice)" in sow
    assert "(judged from Wisconsin)" in sow
    assert desk.base.say("practice-explained") in sow
    assert desk.base.say("sources") in sow
    assert desk.base.say("sources") not in desk.reply("When do I sow dill?", IOWA, "brief", None).answer


def test_every_entry_at_every_length_keeps_its_promises(desk: Desk) -> None:
    """Brief answers keep to their words, every carrier named brings its caution, and no name in braces is left."""
    library = desk.base.library
    for name in library.entries:
        for place in (None, IOWA):
            for length in LENGTHS:
                said = desk._say("answer", name, (), place, length, None)
                words = len(said.text.split())
                if length == "brief":
                    assert words <= (90 if said.cautions else 60), (name, place, words)
                assert not set("{}\u00a0") & set(said.text), (name, length)
                body = said.text.partition(desk.base.say("sources"))[0]
                missing = set(classes_named(library, body)) - set(said.cautions)
                # a caution in short form may name a carrier whose own caution did not fit a brief reply
                own = getattr(library.entries[name], length)
                assert not missing & set(classes_named(library, own)), (name, length, missing)
                if length == "standard":
                    assert not missing, (name, missing)


def test_every_entry_brings_the_cautions_of_its_subjects(desk: Desk) -> None:
    """In the standard answer the cautions of the entry and of its subjects all stand."""
    library = desk.base.library
    for name, entry in library.entries.items():
        said = desk._say("answer", name, (), None, "standard", None)
        assert {*entry.cautions, *library.classes_of(entry.subjects)} <= set(said.cautions), name


def test_facts_are_those_that_stand_in_the_words(desk: Desk) -> None:
    """Each claim reported with an answer is shown in it."""
    for question in ("How long does a chrysalis take in summer?", "Can I keep chrysalides in the refrigerator?"):
        reply = desk.reply(question, IOWA, "standard", None)
        assert reply.facts
        assert all(str(claim["shown"]) in reply.answer for claim in reply.claims)


def test_two_answers_in_brief_keep_to_the_words_of_one(desk: Desk) -> None:
    """A brief reply to two questions stays within the limit and leaves the rest to the parts."""
    text = "Can I winter my chrysalides in the refrigerator, and how do I keep mice away from the ones in the shed?"
    reply = desk.reply(text, IOWA, "brief", None)
    assert len(reply.parts) == 2
    assert len(reply.answer.split()) <= 90


@pytest.mark.parametrize("length", LENGTHS)
def test_contacts_travel_with_the_answer(desk: Desk, length: str) -> None:
    """An entry that refers to people hands on whom to turn to."""
    reply = desk.reply("How do I disinfect my cages after a disease?", None, length, None)  # type: ignore[arg-type]
    assert reply.entry == "disinfecting"
    assert list(reply.refer) == desk.base.library.entries["disinfecting"].refer


ASKED_OF_ONE = "My chrysalis formed on {day}. Will it come out this year or wait for spring?"


@pytest.mark.parametrize("length", LENGTHS)
def test_the_day_it_formed_gives_an_outlook_for_the_place(desk: Desk, length: Length) -> None:
    """The same chrysalis waits in Iowa and opens in Georgia; each date is a claim of the reply."""
    text = ASKED_OF_ONE.format(day="August 12")
    iowa, georgia = (desk.reply(text, place, length, None) for place in (IOWA, GEORGIA))
    assert iowa.answer.startswith("For yours: More likely it waits for spring.")
    assert georgia.answer.startswith("For yours: More likely this year than not.")
    for reply in (iowa, georgia):
        shown = [claim for claim in reply.claims if claim["id"] == "out.this-year"]
        assert [claim["shown"] in reply.answer for claim in shown] == [True]
        assert shown[0]["basis"] == "derived"
        assert "out.this-year" in reply.facts
    assert len(iowa.answer.split()) <= (60 if length == "brief" else 1000)


def test_an_early_chrysalis_opens_and_a_late_one_waits(desk: Desk) -> None:
    """The outlook turns with the day, and takes the year that the text names."""
    early, late = (desk.reply(ASKED_OF_ONE.format(day=day), IOWA, "brief", None) for day in ("June 12", "9/20"))
    assert "Very likely this year" in early.answer
    assert "Very likely it waits" in late.answer
    named = desk.reply(ASKED_OF_ONE.format(day="June 12, 2029"), IOWA, "brief", None)
    assert "2029" in named.answer


def test_the_day_of_asking_counts(desk: Desk) -> None:
    """Asked the summer after, the same words say that it missed its spring."""
    text = "Formed September 9, 2025 in Ohio. It's June 28, 2027 and it's still closed. Any hope?"
    reply = desk.reply(text, "zone=6a,lat=40", "standard", date(2027, 6, 28))
    assert reply.entry in ("second-winter", "alive-or-dead")
    assert "did not open in its first spring" in reply.answer


def test_without_a_place_the_outlook_says_what_is_missing(desk: Desk) -> None:
    """No date is given where nothing is known of the place; the place is asked for."""
    reply = desk.reply(ASKED_OF_ONE.format(day="August 12"), None, "standard", None)
    assert reply.answer.startswith("For yours: It could go either way.")
    assert "2027" not in reply.answer.split("\n\n")[0]
    assert desk.base.say("local-dates") in reply.answer


def test_no_day_no_outlook(desk: Desk) -> None:
    """A question without a day, or with a day no calendar has, gets the entry alone."""
    for day in ("some day", "February 30"):
        assert "For yours" not in desk.reply(ASKED_OF_ONE.format(day=day), IOWA, "standard", None).answer
