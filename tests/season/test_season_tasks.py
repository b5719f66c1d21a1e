"""The gardener's dated list: windows and sowing together, in order of time, each with its basis."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from handouts.model.library import Library
from handouts.model.season import Season
from handouts.season.tasks import food_plants, sowing

GARDEN = "lat=42.1,lon=-88.0,last-freeze=05-01,first-freeze=10-15"
SeasonAt = Callable[..., Season]


def test_the_list_is_in_order_and_every_task_rests_on_something(season_at: SeasonAt, library: Library) -> None:
    """Tasks run by time; each unpacks to what, low, high, basis, inputs (and a note), and the inputs exist."""
    tasks = season_at(GARDEN).tasks
    assert [task.low for task in tasks] == sorted(task.low for task in tasks)
    for what, low, high, basis, inputs, note in tasks:
        assert what[:1].isupper()
        assert low <= high
        assert basis == "derived" or basis in ("published", "proxy", "common-practice")
        assert inputs
        assert note
        for name in inputs:
            assert name in library.facts or name in library.references or name.startswith("place."), name


def test_sowing_is_counted_from_the_places_own_freezes(season_at: SeasonAt, library: Library) -> None:
    """Parsley is sown indoors 12 to 6 weeks before the last freeze; the note says that this is common practice."""
    task = next(task for task in season_at(GARDEN).tasks if task.inputs[0] == "parsley.sow-indoors")
    assert task.what == "Sow parsley indoors"
    assert (task.low, task.high) == (date(2027, 2, 6), date(2027, 3, 20))
    assert task.note.startswith("common practice: 12 weeks before last freeze")
    later = next(
        task for task in season_at(GARDEN.replace("05-01", "05-11")).tasks if task.inputs[0] == "parsley.sow-indoors"
    )
    assert (later.low - task.low).days == 10


def test_without_freezes_nothing_is_sown_by_date(season_at: SeasonAt) -> None:
    """A latitude alone dates no sowing; windows of the gardener that it allows remain."""
    tasks = season_at("lat=42.1,lon=-88.0").tasks
    assert not any("sow" in task.what.lower() for task in tasks)
    assert any(task.what.startswith("Treat chrysalides") for task in tasks)
    assert season_at("zone=6a").tasks == ()


def test_plants_are_the_good_food_of_the_species(season_at: SeasonAt, library: Library) -> None:
    """Milkweed is sown for monarchs and never for black swallowtails."""
    assert "common-milkweed" in food_plants(library, "monarch")
    assert sowing(library, "common-milkweed")
    assert any("milkweed" in task.what for task in season_at(GARDEN, "monarch").tasks)
    assert not any("milkweed" in task.what for task in season_at(GARDEN).tasks)


def test_southern_tasks_follow_their_own_year(season_at: SeasonAt) -> None:
    """South of the equator sowing comes before the September freeze and the winter store after the May freeze."""
    tasks = {task.what: task for task in season_at("lat=-37.8,lon=145,last-freeze=09-10,first-freeze=05-20").tasks}
    assert tasks["Sow parsley indoors"].low.year == 2027
    assert tasks["Have chrysalides in their winter place"].low.year == 2028
