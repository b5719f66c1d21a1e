"""The strip of a place without any date: weeks from the reader's own freezes and boxes to write in."""

from __future__ import annotations

from itertools import combinations

import pytest

from handouts.charts.year_strip import year_strip
from tests.charts import reading, seasons

OFFSETS = {"to-cold-by": (1.0, 5.0), "to-warmth": (0.0, 3.0)}


@pytest.mark.parametrize("offsets", [None, OFFSETS])
@pytest.mark.parametrize("width_mm", [145.0, 172.0, 250.0])
def test_words_keep_apart_on_the_paper(words, offsets, width_mm):
    """No label covers another or leaves the paper, with and without weeks."""
    chart = year_strip(seasons.bare(), None, None, words, width_mm=width_mm, offsets=offsets)
    wide, high = reading.view(chart)
    for box in reading.boxes(chart):
        assert 0 <= box.left <= box.right <= wide + 0.1, box
        assert 0 <= box.top <= box.bottom <= high, box
    for one, other in combinations(reading.boxes(chart), 2):
        assert not one.meets(other), (one, other)


def test_no_date_no_month_and_no_claim_is_shown(words):
    """Nothing of the calendar: no claim, no month's name, and only the scale's weeks as figures."""
    chart = year_strip(seasons.bare(), None, {}, words)
    said = reading.words(chart)
    assert chart.claims == ()
    assert reading.figures(chart) == []
    assert reading.loose_digits(chart) == []
    assert not any(month in said for month in ("Jan", "May", "Sep"))
    assert "My last freeze" in said
    assert "My first freeze" in said
    assert said.count("My date") == 6
    for name in ("hosts-ready", "to-cold-by", "overwinter-from"):
        assert words.windows[name].short in said


def test_weeks_stand_at_their_place_on_the_scale(words):
    """A task one to five weeks after the first freeze is drawn between these weeks."""
    chart = year_strip(seasons.bare(), None, None, words, offsets={"to-cold-by": (1.0, 5.0)})
    group = reading.part(chart, "fall")
    bar = next(path for path in group.iter(f"{reading.NS}path") if path.get("fill") == "#1b3a5d")
    scale = [text for text in group.iter(f"{reading.NS}text") if text.get("data-const") == "list"]
    # eight numbers: 8 6 4 2 before, 2 4 6 8 after; a digit is as wide as any other
    middles = [float(text.attrib["x"]) + reading.width(text.text, 9, False) / 2 for text in scale]
    week = (middles[-1] - middles[0]) / 16
    freeze = (middles[-1] + middles[0]) / 2
    left, right = reading.extent(bar)
    assert left == pytest.approx(freeze + week, abs=2.5)
    assert right == pytest.approx(freeze + 5 * week, abs=2.5)


def test_a_latitude_alone_is_enough_for_the_calendar(words, light):
    """With a day length the year is drawn, not the weeks."""
    chart = year_strip(seasons.bare(), light(42.0), None, words)
    assert "Jan" in reading.words(chart)
