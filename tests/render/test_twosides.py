"""The handout's plan: the first column is as wide as breaks the fewest lines."""

import pytest

from handouts.model.document import Table, Text
from handouts.render.twosides import FIRST_SHARES, first_share


def plan(*rows):
    """A table of two columns with the given cells."""
    return Table("plan", ("When", "What"), tuple(((Text(one),), (Text(other),)) for one, other in rows), "plan")


SHORT = ("in early May", "Sow.")
LONG_TIME = ("from two weeks before to two weeks after your last freeze", "Sow dill.")
LONG_WORK = (
    "by midsummer, once wild butterflies have flown",
    "Stop waiting this year. Keep any that are heavy and firm.",
)


@pytest.mark.parametrize("rows", [(SHORT,), (SHORT, SHORT), ()])
def test_short_times_are_left_to_the_style_sheet(rows):
    """Where no time of the plan need be broken nothing is asked of the layout."""
    assert first_share(plan(*rows)) == 0


def test_long_times_get_more_room_than_long_work():
    """The share is one that the style sheet knows, and follows where the letters are."""
    wide, narrow = first_share(plan(SHORT, LONG_TIME)), first_share(plan(SHORT, LONG_WORK))
    assert {wide, narrow} <= set(FIRST_SHARES)
    assert wide > narrow


def test_the_style_sheet_knows_every_share(assets):
    """No share is named that has no width."""
    style = (assets.root / "style" / "print-handout.css").read_text(encoding="utf-8")
    for share in FIRST_SHARES:
        assert f"table.first-{share} thead th:first-child {{ width: {share}%; }}" in style
