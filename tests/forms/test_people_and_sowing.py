"""What single forms promise: the sign-in asks little, the evaluation counts as the report does, sowings keep time."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from handouts import build
from handouts.compose.composer import words_of
from handouts.compose.prose import plain
from handouts.editions.report import Tally
from handouts.model.document import Blank, Const, Slot, Table
from handouts.season.sowing import last_useful, repeated

from .conftest import PLACES, ROOT, WHERE

DAY = timedelta(days=1)


def flat(blocks):
    for block in blocks:
        yield block
        if isinstance(block, Slot):
            yield from flat(block.blocks)


def tables(made):
    return [block for block in flat(made.blocks) if isinstance(block, Table)]


def with_club(library, **changes):
    """The library with other settings of the club."""
    statements = changes.pop("statements", {})
    club = library.club.model_copy(
        update={**changes, "statements": library.club.statements.model_copy(update=statements)}
    )
    return replace(library, club=club)


def made_with(library, kind, event=None, topic=build.DEFAULT_TOPIC):
    here = build.place_profile(build.known_place(PLACES["cold"], ROOT, WHERE), WHERE, 2027)
    order = build.Order(topic, build.species_of(library, topic), here, 2027, event=event)
    return build.compose(library, order, kind)


@pytest.mark.parametrize(
    ("wish", "columns"),
    [
        ("first-names", ("Line", "First name", "Adult", "Young person", "First time here")),
        ("names", ("Line", "Name", "Adult", "Young person", "First time here")),
        ("no-names", ("Line", "Adult", "Young person", "First time here")),
    ],
)
def test_the_sign_in_asks_for_names_as_the_club_wishes(library, wish, columns):
    """First names are usual; a club may ask for names or for none. Nothing else that names a person is asked."""
    (table,) = tables(made_with(with_club(library, sign_in=wish), "sign-in"))
    assert table.head == columns
    assert all(not cell for row in table.rows for cell in row[1:])


def test_the_sign_in_says_what_becomes_of_it(library):
    """The privacy line is ours, or the club's own."""
    assert "use it for nothing else" in words_of(made_with(library, "sign-in").blocks)
    own = with_club(library, statements={"privacy": "We shred this sheet in the evening."})
    text = words_of(made_with(own, "sign-in").blocks)
    assert "We shred this sheet in the evening." in text
    assert "use it for nothing else" not in text


def test_without_an_event_the_door_sheets_have_boxes_for_it(library):
    """Workshop and day are printed where they are known, else there is a box."""
    event = {"title": "Winter talk", "date": "2027-09-18", "topics": [build.DEFAULT_TOPIC]}
    for kind in ("sign-in", "evaluation"):
        bare, known = made_with(library, kind), made_with(library, kind, event)
        assert "Workshop" in [block.label for block in bare.blocks if isinstance(block, Blank)]
        assert "Workshop" not in [block.label for block in known.blocks if isinstance(block, Blank)]
        assert (
            plain(known.subtitle).replace("\u00a0", " ").startswith("Winter talk, September 18, 2027, A cold garden.")
        )


def test_the_club_speaks_at_the_foot(library):
    """Each form carries the statements its kind asks for: help to take part on the sign-in, the licence on none of ours
    but the plan that is taken home.
    """
    event = {"title": "Winter talk", "date": "2027-09-18", "topics": [build.DEFAULT_TOPIC]}
    given = library.club.statements
    for kind, form in library.all_words().forms.items():
        made = made_with(library, kind, event)
        said = [plain(block.runs) for block in made.blocks if getattr(block, "role", "") == "statement"]
        for name in ("affiliation", "licence", "accommodation"):
            assert (getattr(given, name) in said) == (name in form.statements), (kind, name)


@pytest.mark.parametrize(
    "topic",
    ["overwintering-chrysalides", "feeding-caterpillars-safely", "swallowtail-garden", "egg-to-butterfly"],
)
def test_every_item_of_a_plan_is_asked_once(library, topic):
    """Ratings, plans and open questions: all items stand on the sheet, with scales that the report can tally."""
    made = made_with(library, "evaluation", topic=topic)
    ratings, plans = tables(made)
    marks = [run.text for run in ratings.rows[0][1] if isinstance(run, Const)]
    assert marks == ["1", "2", "3", "4", "5"]
    Tally.model_validate({"item": "1", "before": [0] * len(marks), "now": [0] * len(marks)})
    Tally.model_validate({"item": "4", "intents": dict.fromkeys(plans.head[1:], 0)})
    asked = [plain(row[0]) for table in (ratings, plans) for row in table.rows]
    items = library.plan(topic).talk.evaluation
    numbered = [line for line in asked if line[0].isdigit()]
    questions = [block.label for block in flat(made.blocks) if isinstance(block, Blank)]
    for number, item in enumerate(items, 1):
        stem = item.removeprefix("Before and now: ").removeprefix("How likely are you to ").split(":")[0]
        if stem in questions:
            continue
        assert f"{number}. {stem}" in numbered, item
    assert len(numbered) + sum(item in questions for item in items) == len(items)


def test_items_are_numbered_through_all_topics_of_the_event(library):
    """The second topic's items go on counting, as the report of the event counts them."""
    topics = ["overwintering-chrysalides", "swallowtail-garden"]
    event = {"title": "Two talks", "date": "2027-09-18", "topics": topics}
    first = len(library.plan(topics[0]).talk.evaluation)
    ratings, _ = tables(made_with(library, "evaluation", event, topics[1]))
    assert plain(ratings.rows[0][0]).startswith(f"{first + 1}. ")


def test_a_plan_said_as_a_statement_gets_yes_maybe_no(library):
    """An item that is neither a rating nor a question is a plan to say yes, maybe or no to."""
    plan = library.plan("swallowtail-garden")
    talk = plan.talk.model_copy(update={"evaluation": ["I plan to sow dill.", "Before and now, I can sow dill."]})
    own = replace(library, plans={**library.plans, plan.id: plan.model_copy(update={"talk": talk})})
    ratings, plans = tables(made_with(own, "evaluation", topic=plan.id))
    assert plans.head[1:] == ("yes", "maybe", "no")
    assert plain(plans.rows[0][0]) == "1. I plan to sow dill."
    assert plain(ratings.rows[0][0]) == "2. I can sow dill."


# -- sowing ------------------------------------------------------------------------------------------------------------


def sowings(made, plant="dill"):
    """The days of the later sowings of a plant on a sowing plan, in the order of its lines."""
    return [date.fromisoformat(claim.value) for claim in made.claims if claim.id.startswith(f"sowing.{plant}.sowing-")]


def test_later_sowings_lie_between_the_frosts(composed, library):
    """Each is a usual gap after the one before, the first after the first sowing, the last before that for fall."""
    gap = library.facts["dill.sow-again-every"].preferred.span.ends
    last, first = date(2027, 5, 24), date(2027, 9, 28)
    days = sowings(composed("sowing-plan", "cold"))
    assert len(days) >= 3
    assert last - 14 * DAY < days[0] < last + 14 * DAY
    assert days[-1] < first - 8 * 7 * DAY
    for earlier, later in pairwise(days):
        assert gap[0] * 7 <= (later - earlier).days <= gap[1] * 7


def test_lines_stand_in_the_order_of_the_year(composed):
    """The days on the sheet run forward, whatever plant they belong to."""
    (table,) = tables(composed("sowing-plan", "cold"))
    claims = {claim.id: claim for claim in composed("sowing-plan", "cold").claims}
    begins = []
    for row in table.rows:
        for run in row[1][:1]:
            value = claims[run.claim].value if hasattr(run, "claim") else None
            if value is not None:
                begins.append(value["low"] if isinstance(value, dict) else value)
    assert len(begins) > 8
    assert begins == sorted(begins)


def test_a_long_season_is_said_in_one_line(composed):
    """Where more sowings fit the year than the sheet has lines, the last line says how often and until when."""
    (table,) = tables(composed("sowing-plan", "mild"))
    again = [plain(row[1]).replace("\u00a0", " ") for row in table.rows if plain(row[0]) == "Dill, again"]
    assert again[-1].startswith("every 2 to 4 weeks, until about ")
    assert len(again) < 8


def test_no_plant_that_carries_a_danger_is_named_for_its_food_alone(composed, library):
    """A plant with a hazard class and no sowing time is left out, not recommended."""
    text = words_of(composed("sowing-plan", "cold").blocks)
    assert library.facts["queen-annes-lace.food-for.black-swallowtail"].preferred.term == "good"
    assert "Queen Anne" not in text
    assert "heart-leaf alexanders" in text
    assert "noxious-weed" in composed("sowing-plan", "cold").cautions  # fennel has its times and its caution


def test_repeated_sowings():
    """From the first on, evenly, none after the end, never more than asked for."""
    assert repeated(-14 * DAY, 21 * DAY, 30 * DAY, 9) == [-14 * DAY, 7 * DAY, 28 * DAY]
    assert repeated(timedelta(), 7 * DAY, None, 3) == [timedelta(), 7 * DAY, 14 * DAY]
    assert repeated(10 * DAY, 7 * DAY, 5 * DAY, 3) == []
    freeze = date(2027, 10, 1)
    assert last_useful(freeze, -10 * DAY, 60 * DAY) == date(2027, 9, 21)
    assert last_useful(freeze, None, 60 * DAY) == date(2027, 8, 2)
    assert last_useful(freeze, None, None) == freeze
    assert last_useful(None, -10 * DAY, 60 * DAY) is None
