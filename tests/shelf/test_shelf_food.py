"""The food budget doubles the rule of thumb, counts sowings from the place's freezes, and names the week of a gap."""

import re
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handouts.shelf import food
from handouts.shelf.food import plants_for

LAST, FIRST = date(2027, 5, 6), date(2027, 10, 14)  # the freezes of the place near 42° N


@given(st.integers(1, 50_000))
def test_twice_the_caterpillars_get_at_least_twice_the_plants(caterpillars):
    """With the figure on record (two caterpillars to a plant at the lower end)."""
    assert plants_for(2 * caterpillars, 2) >= 2 * plants_for(caterpillars, 2)


@given(st.integers(1, 5_000), st.floats(0.1, 100))
def test_this_holds_for_any_figure_that_asks_for_a_plant(caterpillars, per_plant):
    """For any figure, as soon as doubling asks for one whole plant; below that a single plant stands for all."""
    assume(2 * caterpillars >= per_plant)
    assert plants_for(2 * caterpillars, per_plant) >= 2 * plants_for(caterpillars, per_plant)


@given(st.integers(1, 5_000), st.floats(0.1, 100))
def test_the_plain_need_is_always_covered(caterpillars, per_plant):
    """Whole plants never fall below what the rule of thumb itself asks for, and never below one."""
    assert plants_for(caterpillars, per_plant) * per_plant >= min(caterpillars, per_plant) - 1e-6
    if caterpillars >= per_plant / 2:
        assert plants_for(caterpillars, per_plant) >= caterpillars / per_plant - 1e-6


@given(st.integers(1, 5_000), st.integers(0, 500), st.floats(0.1, 100))
def test_more_caterpillars_never_get_fewer_plants(caterpillars, more, per_plant):
    """The number of plants rises with the number of caterpillars."""
    assert plants_for(caterpillars + more, per_plant) >= plants_for(caterpillars, per_plant)


def test_the_rule_of_thumb_is_doubled_and_marked(run_json, run, near_42):
    """Common practice: 2 to 3 caterpillars a plant; 24 ask for 12 at the lower number, 24 for safety; marked so."""
    data = run_json("food", "--caterpillars", 24, "--place", near_42)
    assert data["plants"] == 24
    assert [plan["plant"] for plan in data["plans"]] == ["parsley", "dill"]
    assert data["plans"][0]["need"] == [8, 12]
    _, out, _ = run("food", "--caterpillars", 24, "--place", near_42)
    flat = " ".join(out.split())
    assert "2 to 3 caterpillars [common practice]" in flat
    assert "24 plants [worked out, common practice]" in flat


@pytest.mark.parametrize(
    ("caterpillars", "per_plant", "said", "main"),
    [
        (7, 3, "Twice that, rounded down to whole plants, is 4 plants", "about twice what your own figure asks for"),
        (6, 3, "Twice that is 4 plants", "about twice what your own figure asks for"),
        (1, 3, "Twice that, rounded up to a whole plant, is 1 plant", "One plant is the least."),
    ],
)
def test_rounding_is_said(run, caterpillars, per_plant, said, main):
    """Plants are whole; the page says to which side the doubled figure was rounded, and leaves no cell empty."""
    words = ("--plant", "fennel", "--per-plant", per_plant, "--place", "lat=39.2,last-freeze=04-24")
    code, out, err = run("food", "--caterpillars", caterpillars, *words)
    assert code == 0, err
    flat = " ".join(out.split())
    assert said in flat
    assert main in flat
    assert "Feeds generation: no date here" in flat


def test_dill_is_sown_again_and_again_until_it_is_too_late(run_json, near_42):
    """Sowings run from 2 weeks before the last freeze, 3 weeks apart, and stop 8 weeks before the first freeze."""
    (plan,) = run_json("food", "--caterpillars", 10, "--plant", "dill", "--place", near_42)["plans"]
    days = [date.fromisoformat(sowing["sow"][0]) for sowing in plan["sowings"]]
    assert days[0] == LAST - timedelta(weeks=2)
    assert {(later - earlier).days for earlier, later in pairwise(days)} == {21}
    assert FIRST - timedelta(weeks=8) - timedelta(days=21) < days[-1] <= FIRST - timedelta(weeks=8)
    for sowing, day in zip(plan["sowings"], days, strict=True):
        assert date.fromisoformat(sowing["ready"][0]) == day + timedelta(weeks=8)
        assert [date.fromisoformat(end) for end in sowing["up"]] == [day + timedelta(days=7), day + timedelta(days=21)]


def test_a_failed_sowing_is_felt_until_the_next_is_ready(run_json, near_42):
    """The gap runs from when the sowing should be cut, once caterpillars feed, to the day the next can be."""
    (plan,) = run_json("food", "--caterpillars", 10, "--plant", "dill", "--place", near_42)["plans"]
    for sowing, after in pairwise(plan["sowings"]):
        if sowing["felt_week"] is not None:
            assert sowing["ready"][0] <= sowing["felt_week"] < sowing["felt_until"] == after["ready"][0]
            assert sowing["feeds"]


def test_a_single_sowing_is_felt_until_it_is_sown_again(run_json, near_42):
    """Parsley: bare ground is seen when the slowest seed should be up; sown that day, it is ready 2 months on."""
    (plan,) = run_json("food", "--caterpillars", 10, "--plant", "parsley", "--place", near_42)["plans"]
    last = plan["sowings"][-1]
    assert last["kind"] == "sow-outdoors"
    sown = date.fromisoformat(last["sow"][1])
    assert date.fromisoformat(last["felt_until"]) == sown + timedelta(days=29 + 61)
    indoors = plan["sowings"][0]
    assert [date.fromisoformat(day) for day in indoors["sow"]] == [
        LAST - timedelta(weeks=12),
        LAST - timedelta(weeks=6),
    ]


def test_other_freezes_move_every_sowing(run_json, near_42):
    """A week later last freeze moves the first sowing by a week."""
    later = near_42.replace("05-06", "05-13")
    one, two = (
        run_json("food", "--caterpillars", 5, "--plant", "dill", "--place", place) for place in (near_42, later)
    )
    days = [date.fromisoformat(data["plans"][0]["sowings"][0]["sow"][0]) for data in (one, two)]
    assert (days[1] - days[0]).days == 7


def test_a_zone_alone_gets_weeks_and_boxes(run, run_json):
    """From a zone: weeks from the reader's own last freeze, boxes to fill, and no date."""
    code, out, _ = run("food", "--caterpillars", 7, "--place", "zone=5b", "--plant", "dill")
    assert code == 0
    body = out[out.index("Dill") : out.index("Take care")]
    assert not re.search(r"(January|February|March|April|May|June|July|August|September|October|November) ", body)
    assert "Sow: 2 weeks before your last freeze" in body
    assert "Ready to cut: 6 weeks after your last freeze" in body
    assert "My last freeze: ____" in body
    assert "from the first week in which it should be ready" in " ".join(body.split())
    assert "the week given here" not in body
    data = run_json("food", "--caterpillars", 7, "--place", "zone=5b", "--plant", "dill")
    assert all(sowing["sow"] is None for sowing in data["plans"][0]["sowings"])
    assert data["plans"][0]["sowings"][0]["weeks_from_last_freeze"] == [-2, -2]


def test_the_south_sows_in_its_own_spring(run_json):
    """South of the equator the first sowing stands around the last freeze of September."""
    place = "lat=-34,lon=150,last-freeze=09-10,first-freeze=05-20"
    data = run_json("food", "--caterpillars", 5, "--plant", "dill", "--place", place, "--year", 2026)
    assert data["plans"][0]["sowings"][0]["sow"][0] == "2026-08-27"


def test_ones_own_figure_is_taken_and_said(run, run_json, near_42):
    """--per-plant replaces the figure on record, for plants without one too; what is not known is said."""
    words = ("food", "--caterpillars", 30, "--plant", "fennel", "--per-plant", 6, "--place", near_42)
    data = run_json(*words)
    assert data["plants"] == 10
    assert data["plans"][0]["per_plant_fact"] is None
    assert "first-cutting" in data["plans"][0]["not_known"]
    _, out, _ = run(*words)
    flat = " ".join(out.split())
    assert "You say that one fennel plant feeds 6 caterpillars" in flat
    assert "is not known here" in flat
    assert "noxious-weed" in data["cautions"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--caterpillars", 0), "range"),
        (("--caterpillars", -3), "range"),
        (("--caterpillars", "many"), "many"),
        ((), "--caterpillars"),
        (("--caterpillars", 5, "--per-plant", 0), "range"),
        (("--caterpillars", 5, "--plant", "parsly"), "parsley"),
        (("--caterpillars", 5, "--plant", "btk"), "no plant"),
        (("--caterpillars", 5, "--plant", "fennel"), "--per-plant"),
        (("--caterpillars", 5, "--plant", "swamp-milkweed", "--per-plant", 2), "swamp milkweed"),
        (("--caterpillars", 5, "--plant", "parsley", "--species", "monarch"), "no food"),
        (("--caterpillars", 5, "--species", "monarch"), "--plant"),
    ],
)
def test_bad_use_is_one_clear_message(run, words, said):
    """No number, none above zero, an unknown plant, one that is no food: a message on standard error, exit 2."""
    code, out, err = run("food", *words)
    assert (code, out) == (2, "")
    assert "Traceback" not in err
    assert said in err


def test_only_good_food_is_offered(ground):
    """Left to itself the budget offers plants that are good food for the species, the steadiest first."""
    assert [plant.id for plant in food.default_plants(ground, "black-swallowtail")] == ["parsley", "dill"]
    assert food.default_plants(ground, "monarch") == []
