"""The field manual says what is so: its tables list exactly the columns read and the fields printed."""

import pytest

from handouts.shelf.register import COLUMNS

from ..test_field_manual import table_after
from .conftest import NEAR_42, SERIES
from .test_shelf_summary import TEXT


@pytest.fixture
def path(put):
    """A register file with one broken row."""
    return put("register.csv", TEXT + "\n15,monark,2026-08-01,,,,,")


def test_the_registers_columns_are_documented():
    """The manual's columns are those that are read."""
    assert table_after("## The shelf's files") == set(COLUMNS)


def test_shelf_json_is_documented(run_json, path):
    """The tables of the shelf's data list exactly its fields."""
    data = run_json("shelf", "--register", path, "--place", NEAR_42, "--today", "2026-09-10")
    assert table_after("`handouts shelf --json`:") == set(data)
    assert table_after("A row of `rows`:") == set(data["rows"][0])
    assert table_after("A time of `own_times`:") == set(data["own_times"][0])
    assert table_after("A problem of `problems`:") == set(data["problems"][0])


def test_outlook_json_is_documented(run_json, path):
    """The tables of one outlook and of a register's outlooks list exactly their fields."""
    data = run_json("outlook", "--formed", "2026-08-15", "--place", NEAR_42)
    assert table_after("`handouts outlook --json`:") == set(data)
    many = run_json("outlook", "--register", path, "--place", NEAR_42)
    assert table_after("`handouts outlook --register FILE --json`") == set(many)
    ids = ("this-year", "this-year-in-heat", "to-cold-by", "next-spring", "stop-next-spring", "second-spring",
           "stop-second-spring", "longest-wait")  # fmt: skip
    assert [window["id"] for window in data["windows"]] == list(ids)


def test_store_json_is_documented(run_json):
    """The tables of a store check list exactly its fields."""
    data = run_json("store", SERIES / "lincoln_2016_portal.csv")
    assert table_after("`handouts store LOG --json`:") == set(data)
    assert table_after("A winter of `winters`:") == set(data["winter"])
    assert set(run_json("store")) == {"checklist", "not_known", "cautions", "claims"}


def test_food_json_is_documented(run_json):
    """The tables of a food budget list exactly its fields."""
    data = run_json("food", "--caterpillars", 12, "--place", NEAR_42)
    assert table_after("`handouts food --json`:") == set(data)
    assert table_after("A plan of `plans`:") == set(data["plans"][0])
    assert table_after("A sowing of `sowings`:") == set(data["plans"][0]["sowings"][0])
