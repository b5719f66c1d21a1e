"""The outlook follows the day it formed and the place, says how it is known, and never claims certainty."""

import re
from datetime import date, timedelta

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from handouts.season.sun import solstice
from handouts.shelf import desk
from handouts.shelf.outlook import Chance, chance_of, outlook
from handouts.shelf.status import Status, state_on

SPECIES = "black-swallowtail"
ORDER = [Chance.THIS_YEAR, Chance.LIKELY_THIS_YEAR, Chance.EITHER, Chance.LIKELY_WAITS, Chance.WAITS]
PLACES = [
    "lat=26.1,lon=-80.3",
    "lat=34.7,lon=-82.8,last-freeze=04-03,first-freeze=11-05",
    "lat=39.2,lon=-86.4,last-freeze=04-24,first-freeze=10-22",
    "lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-14",
    "lat=46.0,lon=-94.0",
    "lat=-34.0,lon=150.0,last-freeze=09-10,first-freeze=05-20",
    "zone=6a",
    None,
]


@settings(max_examples=150, deadline=None)
@given(
    place=st.sampled_from(PLACES),
    species=st.sampled_from([SPECIES, "spicebush-swallowtail", "anise-swallowtail", "giant-swallowtail"]),
    first=st.integers(0, 182),
    later=st.integers(0, 120),
    kept=st.sampled_from(["", "garage", "fridge", "kitchen"]),
)
@example(place="lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-14", species=SPECIES, first=50, later=1, kept="")
def test_later_formation_never_lowers_the_chance_of_winter(ground_at, place, species, first, later, kept):
    """After midsummer a chrysalis that formed later is never less likely to wait, in score and in words."""
    ground = ground_at(place)
    summer = solstice(2026, 12 if ground.profile.south else 6)
    end = summer + timedelta(days=182)
    days = [summer + timedelta(days=first), min(summer + timedelta(days=first + later), end)]
    one, two = (outlook(ground, species, day, kept) for day in days)
    assert (one.score is None) == (two.score is None)
    if one.score is not None and two.score is not None:
        assert one.score <= two.score
        assert ORDER.index(one.chance) <= ORDER.index(two.chance)


def test_the_words_rise_with_the_score():
    """Each higher score has the same words or the next."""
    places = [ORDER.index(chance_of(step / 100)) for step in range(101)]
    assert places == sorted(places)
    assert set(places) == set(range(5))
    assert chance_of(None) is Chance.CANNOT_SAY


# Common-practice figures as check values: they have no source, so the fields and tolerances are stated here. Field:
# `chance` and the window `this-year`; tolerance: none, since the spans themselves are the keepers' own.


@pytest.mark.parametrize("day", [date(2026, 8, 15), date(2026, 8, 20), date(2026, 9, 15), date(2026, 10, 10)])
def test_near_42_north_from_mid_august_it_waits(ground, day):
    """Common practice: near 42° N with a first frost in mid October, formed from about mid August on means winter."""
    assert outlook(ground, SPECIES, day).chance in (Chance.LIKELY_WAITS, Chance.WAITS)


def test_a_june_chrysalis_opens_after_9_to_18_days(run, near_42):
    """Common practice: formed June 20, it opens after 9 to 18 days, 7 to 9 in real heat; both are marked so."""
    code, out, err = run("outlook", "--formed", "2026-06-20", "--place", near_42)
    assert code == 0, err
    flat = " ".join(out.split())
    assert "Very likely this year" in flat
    assert "from about June 29 to July 8, 2026" in flat
    assert "9 to 18 days [common practice]" in flat
    assert "7 to 9 days [common practice]" in flat


def test_a_garage_chrysalis_opens_7_to_10_days_after_the_move(ground):
    """Common practice: out of an unheated garage into warmth, 7 to 10 days; the move itself is the season's."""
    look = outlook(ground, SPECIES, date(2026, 9, 1), "unheated garage")
    spring, warmth = look.window("next-spring"), ground.known(SPECIES, 2027, "to-warmth")
    assert spring.low == warmth.low + timedelta(days=7)
    assert spring.high == warmth.high + timedelta(days=10)
    assert f"{SPECIES}.warm-to-opening.garage-may" in spring.inputs


def test_waits_of_two_years_are_named(run, near_42):
    """Common practice: waits close to two years have been seen; the page says so and marks it."""
    _, out, _ = run("outlook", "--formed", "2026-09-01", "--place", near_42)
    assert "about 2 years [common practice]" in " ".join(out.split())


def test_both_ways_of_knowing_are_shown_and_told_apart(run, near_42):
    """The relative's day length and the keepers' rule stand side by side, each named for what it is."""
    _, out, _ = run("outlook", "--formed", "2026-08-15", "--place", near_42)
    flat = " ".join(out.split())
    assert "spicebush swallowtail" in flat
    assert "in mid August [common practice]" in flat
    assert "Nobody can be sure of one chrysalis" in flat


def test_southern_florida_is_never_sure_of_this_year(ground_at):
    """Where a good part of each brood rests even in long days, no month is called sure."""
    look = outlook(ground_at("lat=26.1,lon=-80.3"), SPECIES, date(2026, 7, 10))
    assert look.chance is Chance.EITHER
    assert [lean.fact for lean in look.leans] == ["black-swallowtail.diapause-share.florida-south-long-days"]


def test_the_turn_comes_later_farther_south(ground_at):
    """The same September day waits in the north and is open in the south."""
    north = outlook(ground_at("lat=44.5,lon=-93.0"), SPECIES, date(2026, 9, 5))
    south = outlook(ground_at("lat=31.0,lon=-84.0"), SPECIES, date(2026, 9, 5))
    assert north.score > south.score


def test_the_south_of_the_earth_has_its_own_summer(ground_at):
    """South of the equator December opens the same season and April waits."""
    ground = ground_at("lat=-34,lon=150,last-freeze=09-10,first-freeze=05-20")
    assert outlook(ground, SPECIES, date(2026, 12, 28)).chance is Chance.THIS_YEAR
    late = outlook(ground, SPECIES, date(2027, 4, 20))
    assert late.chance is Chance.WAITS
    assert late.window("next-spring").low.year == 2027
    assert late.window("next-spring").low.month in (8, 9, 10)


def test_short_days_before_summer_are_not_called_sure(ground):
    """A chrysalis of April fed in short days: it could be either, and the page says how little is known."""
    look = outlook(ground, SPECIES, date(2026, 4, 10))
    assert look.chance is Chance.EITHER
    assert look.spring


def test_a_zone_alone_gets_words_and_no_date(run, run_json):
    """From a zone come words, days after steps, weeks from the reader's own freezes and boxes; no date of the year."""
    code, out, _ = run("outlook", "--formed", "2026-08-15", "--place", "zone=6a")
    assert code == 0
    body = out[out.index("The main thing") : out.index("Take care")]
    months = r"(?:January|February|March|April|May|June|July|August|September|October|November|December)"
    # what keepers say of late June anywhere is a time of common practice, not one worked out for this place
    body = body.replace("late June", "")
    assert not re.search(rf"\b{months}\b", body)
    assert "weeks after your first freeze" in body
    assert "My last freeze: ____" in body
    data = run_json("outlook", "--formed", "2026-08-15", "--place", "zone=6a")
    assert data["chance"] == "could-be-either"
    assert all(window["low"] is None for window in data["windows"])


@pytest.mark.parametrize(("day", "chance"), [("2026-06-25", "likely-this-year"), ("2026-12-01", "likely-waits")])
def test_a_zone_still_knows_what_holds_everywhere(run_json, day, chance):
    """What is so at every tested latitude is said without one, and never with the strongest words."""
    assert run_json("outlook", "--formed", day, "--place", "zone=6a")["chance"] == chance


def test_a_species_without_a_winter_chrysalis_is_told_apart(run_json, near_42):
    """A monarch opens this year at any time; nothing is said of winter."""
    data = run_json("outlook", "--formed", "2026-09-10", "--species", "Monarch", "--place", near_42)
    assert data["chance"] == "does-not-winter-as-chrysalis"
    assert data["score"] is None
    assert [window["id"] for window in data["windows"]] == ["this-year"]
    assert "monarch-law" in data["cautions"]


@pytest.mark.parametrize("place", ["lat=5,lon=0", "lat=68,lon=20"])
def test_untested_latitudes_are_said_to_be_unknown(run_json, place):
    """Too far from every tested population nothing is said of the turn, and the reason is given."""
    data = run_json("outlook", "--formed", "2026-08-20", "--place", place)
    assert data["chance"] == "cannot-say"
    assert any("No turn can be given here" in text for text in data["rests_on"])


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("unheated garage", "garage"),
        ("Heated garage", "warm-room"),
        ("spare fridge in the garage", "refrigerator"),
        ("root cellar", "crawl-space"),
        ("on the porch", "outdoors"),
        ("greenhouse", None),
        ("", None),
    ],
)
def test_places_are_understood_in_plain_words(ground, text, kind):
    """The longest word that is known decides; what is not known is not guessed."""
    assert ground.words.kept_as(text) == kind


def test_where_it_is_kept_changes_the_spring_and_not_the_chance(ground):
    """No place changes a finished chrysalis's mind; the spring window and the advice follow the place."""
    looks = {
        kept: outlook(ground, SPECIES, date(2026, 8, 28), kept) for kept in ("porch", "garage", "fridge", "kitchen")
    }
    assert len({look.score for look in looks.values()}) == 1
    assert looks["kitchen"].window("next-spring") is None
    assert looks["porch"].window("next-spring").low != looks["garage"].window("next-spring").low
    assert looks["fridge"].window("next-spring").high > looks["garage"].window("next-spring").high


STEPS = [
    (date(2026, 6, 25), Status.DUE),
    (date(2026, 7, 20), Status.OVERDUE),
    (date(2026, 12, 20), Status.WAITS),
    (date(2027, 5, 20), Status.SPRING),
    (date(2027, 10, 1), Status.SECOND_WINTER),
    (date(2028, 5, 20), Status.SECOND_SPRING),
    (date(2028, 12, 1), Status.LONG),
]


@pytest.mark.parametrize(("today", "status"), STEPS)
def test_a_closed_chrysalis_passes_through_its_years(ground, today, status):
    """Due, past its time, winter, spring, a second winter, a second spring, then longer than keepers report."""
    look = outlook(ground, SPECIES, date(2026, 6, 20), "garage")
    assert state_on(ground, look, today).status is status


@pytest.mark.parametrize(
    ("today", "said"),
    [
        ("2026-12-20", "past its summer time"),
        ("2027-05-25", "Its spring has come"),
        ("2027-10-01", "It did not open in its first spring"),
        ("2028-05-25", "waited through a second winter"),
        ("2028-12-01", "closed longer than keepers report"),
    ],
)
def test_the_page_says_what_the_day_asks_for(run, near_42, today, said):
    """The main message and the steps follow the year; a page without windows ahead shows no empty table."""
    words = ("outlook", "--formed", "2026-06-20", "--kept", "garage", "--place", near_42, "--today", today)
    code, out, err = run(*words)
    assert code == 0, err
    flat = " ".join(out.split())
    assert said in flat
    assert ("Have it there by" in flat) == (today == "2026-12-20")
    assert ("The windows to watch" in flat) == ("What: " in out) == (today != "2028-12-01")


def test_a_monarch_past_its_time_is_not_sent_into_winter(run, near_42):
    """Weeks after a monarch should have opened the page says so, and does not tell to look in past days."""
    words = ("outlook", "--formed", "2026-09-05", "--species", "monarch", "--place", near_42, "--today", "2026-10-20")
    flat = " ".join(run(*words)[1].split())
    assert "It should have opened by now, and this kind does not pass the winter as a chrysalis." in flat
    assert "Look for the butterfly" not in flat


@pytest.mark.parametrize(
    ("place", "kept", "by_move"),
    [
        ("lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-14", "garage", True),
        ("lat=39.2,lon=-86.4", "garage", False),
        ("lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-14", "porch", False),
    ],
)
def test_what_the_opening_rests_on_is_what_was_used(run, place, kept, by_move):
    """Counted from the move to warmth only where that move has a date; else the season's window is named."""
    flat = " ".join(run("outlook", "--formed", "2026-09-05", "--kept", kept, "--place", place)[1].split())
    assert ("Opening in spring is counted from the move to warmth" in flat) == by_move
    assert ("Opening in spring is taken from the first flight" in flat) == (not by_move)


def test_its_own_move_to_warmth_counts(ground):
    """A chrysalis moved in the spring after is due so many days after its own move."""
    look = outlook(ground, SPECIES, date(2026, 9, 1), "garage")
    state = state_on(ground, look, date(2027, 5, 20), moved=date(2027, 5, 15))
    assert (state.low, state.high) == (date(2027, 5, 22), date(2027, 5, 25))


def test_today_changes_what_is_said_only_when_it_is_given(run, near_42):
    """Without --today two runs are the same bytes; with it a closed June chrysalis is a winter one in September."""
    words = ("outlook", "--formed", "2026-06-20", "--place", near_42)
    first, second = run(*words), run(*words)
    assert first == second
    _, out, _ = run(*words, "--today", "2026-09-10")
    assert "past its summer time" in out
    code, _, err = run(*words, "--today", "2026-06-01")
    assert code == 2
    assert "lies ahead" in err


def test_the_clubs_own_record_stands_beside_the_outlook(run_json, put, near_42):
    """With a register, those that formed near the same day of any year are counted, and the score stays."""
    lines = ["number,species,formed,kept,moved,opened,lost,notes"]
    lines += [f"{n},black swallowtail,2024-08-{10 + n},,,2024-09-0{n},," for n in (1, 2, 3)]
    lines += [f"{n},black swallowtail,2025-08-{10 + n},,,2026-05-20,," for n in (4, 5)]
    lines += ["8,black swallowtail,2025-06-20,,,2025-07-02,,", "9,monarch,2025-08-12,,,2025-08-24,,"]
    path = put("register.csv", "\n".join(lines))
    words = ("outlook", "--formed", "2026-08-12", "--place", near_42)
    alone, beside = run_json(*words), run_json(*words, "--register", path)
    assert beside["own_records"] == {"n": 5, "same_year": 3, "waited": 2, "period": "2024 to 2025"}
    assert alone["own_records"] is None
    assert alone["score"] == beside["score"]


def test_a_whole_register_gets_its_outlooks(run_json, run, put, near_42):
    """Without --formed every closed chrysalis of the register is listed with its chance; opened ones are not."""
    head = "number,species,formed,kept,moved,opened,lost,notes\n"
    text = (
        "1,black swallowtail,2026-06-20,,,,,\n2,black swallowtail,2026-09-20,,,,,\n3,monarch,2026-06-20,,,2026-07-01,,"
    )
    path = put("register.csv", head + text)
    data = run_json("outlook", "--register", path, "--place", near_42)
    assert [(one["number"], one["chance"]) for one in data["outlooks"]] == [
        ("1", "very-likely-this-year"),
        ("2", "very-likely-waits"),
    ]
    _, out, _ = run("outlook", "--register", path, "--place", near_42)
    assert "Very likely waits for spring" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--formed", "2026-02-30"), "--formed"),
        ((), "--formed"),
        (("--formed", "2026-08-01", "--species", "blak swallowtail"), "black swallowtail"),
        (("--formed", "2026-08-01", "--species", "parsley"), "species"),
        (("--formed", "2026-08-01", "--place", "nowhere"), "nowhere"),
        (("--formed", "2026-08-01", "--place", "lat=95"), "latitude"),
    ],
)
def test_bad_use_is_one_clear_message(run, words, said):
    """An impossible day, no day, an unknown species or place: one line on standard error, exit 2."""
    code, out, err = run("outlook", *words)
    assert (code, out) == (2, "")
    assert len(err.strip().splitlines()) == 1
    assert said in err


def test_every_window_names_what_it_rests_on(ground):
    """Each window with days has inputs and a note; a relative or region is named."""
    for species in (SPECIES, "spicebush-swallowtail", "anise-swallowtail"):
        for window in outlook(ground, species, date(2026, 8, 10), "garage").windows:
            if window.known:
                assert window.inputs, window.id
                assert window.note, window.id


def test_the_page_and_the_data_agree(ground):
    """The chance of the data is the one the page speaks of."""
    answer = desk.outlook_answer(ground, SPECIES, date(2026, 9, 20), "garage", "us")
    assert answer.data["chance"] == "very-likely-waits"
    assert answer.data["says"].startswith("Very likely it waits for spring")
    assert answer.data["cautions"] == list(answer.page.cautions)
