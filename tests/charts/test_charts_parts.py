"""The parts that charts are made of: letter widths, bands, lanes, the year's axis, the writer."""

from __future__ import annotations

import logging
import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handouts.charts import letters
from handouts.charts.axis import Year, duration_words, is_south
from handouts.charts.bands import Stretch, band
from handouts.charts.lanes import Option, pack, pack_tight
from handouts.charts.svg import Canvas, Run, declared, number
from handouts.charts.words import LABELS
from handouts.model.document import Claim
from handouts.model.numerals import typed_figures
from tests.charts import reading, seasons


@pytest.mark.parametrize("bold", [False, True])
def test_letter_widths_are_those_of_the_font(bold):
    """Every letter of the table is as wide as in the bundled font file."""
    names, metrics = reading.advances(bold)
    for letter in letters._CHARACTERS:
        assert letters.width(letter, 1000, bold) == metrics[names[ord(letter)]][0], letter


def test_wrapped_lines_fit_and_lose_no_word():
    """Lines stay under the width and join to the text again."""
    text = "treat new chrysalides as overwintering once the days grow short"
    lines = letters.wrap(text, 9.0, 120.0)
    assert " ".join(lines) == text
    assert len(lines) > 1
    assert all(letters.width(line, 9.0) <= 120.0 for line in lines)


def test_labels_hold_no_figures():
    """No label of the charts types a number."""
    for key, text in LABELS.items():
        assert not list(typed_figures(text)), key


def test_a_figure_without_a_claim_is_refused():
    """The writer refuses digits that are neither a claim nor a constant, and two texts for one claim."""
    canvas = Canvas("c", 100)
    with pytest.raises(ValueError, match="without a claim"):
        canvas.text(0, 0, "in 12 days")
    claim = Claim("a.b", "12", 12, "d", "derived")
    canvas.text(0, 0, [Run("12", claim)])
    with pytest.raises(ValueError, match="shows"):
        canvas.text(0, 0, [Run("13", claim)])
    with pytest.raises(ValueError, match="description"):
        canvas.finish(height=10, width_mm=10, title="t", alt="no", caption="c")
    with pytest.raises(ValueError, match="without a claim"):
        canvas.finish(height=10, width_mm=10, title="in 7 days", alt="a description", caption="c")


def test_text_is_escaped_and_seams_keep_their_space():
    """Signs of XML stay text; a space between words and a figure survives as a no-break space."""
    canvas = Canvas("c", 100)
    canvas.text(0, 10, "a < b & c")
    canvas.text(0, 20, [Run("from "), Run("May", Claim("a.b", "May", None, None, "derived")), Run(" on")])
    chart = canvas.finish(height=30, width_mm=10, title="t & t", alt="five letters", caption="c")
    assert reading.words(chart).split("\n") == ["a < b & c", "from May on"]


def test_names_with_figures_are_set_apart():
    """A region's name with a number becomes words and a constant."""
    assert [(run.text, run.const) for run in declared("region 7 north", "name")] == [
        ("region ", None), ("7", "name"), (" north", None),
    ]  # fmt: skip


def test_numbers_are_short():
    """Coordinates have no trailing zeros and no minus zero."""
    assert [number(value) for value in (1.0, 1.2345, -0.001, 10.5)] == ["1", "1.23", "0", "10.5"]


@given(
    st.floats(0, 300),
    st.floats(1, 300),
    st.floats(0, 1),
    st.floats(0, 1),
    st.sampled_from(["solid", "hatch", "back", "dots", "open"]),
)
def test_a_band_never_leaves_its_days_or_the_paper(start, length, share_in, share_out, pattern):
    """No mark of a band lies outside its stretch or beyond the axis, however its ends dissolve."""
    stretch = Stretch(start, start + length, length * share_in / 2, length * share_out / 2, 50.0, 400.0)
    canvas = Canvas("c", 500)
    band(canvas, stretch, 10.0, 10.0, pattern)
    for x in re.findall(r"[MLH](-?[\d.]+)", " ".join(canvas._parts)):
        assert max(start, 50.0) - 0.02 <= float(x) <= min(start + length, 400.0) + 0.02


def test_a_dissolving_end_is_open_and_a_sharp_one_closed():
    """The share of ink falls toward a dissolving end; only a sharp end has an upright line."""
    canvas = Canvas("c", 500)
    band(canvas, Stretch(100.0, 300.0, 0.0, 96.0, 0.0, 400.0), 0.0, 10.0, "solid")
    fill, edge = canvas._parts
    boxes = [(float(a), float(b)) for a, b in re.findall(r"M([\d.]+) [\d.]+H([\d.]+)V", fill)]
    widths = [right - left for left, right in boxes[1:]]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.4 < 1.5 < widths[0]
    assert re.findall(r"M([\d.]+) 0V10", edge) == ["100"]


@given(st.lists(st.tuples(st.floats(0, 90), st.floats(1, 40), st.floats(1, 40)), max_size=7))
def test_nothing_in_a_lane_meets(things):
    """Whatever comes in, spans of one lane keep the gap, and the tight way never takes more lanes."""
    options = [
        [
            Option(((at, at + long), (at + long, at + long + word)), "right"),
            Option(((at - word, at), (at, at + long)), "left"),
        ]
        for at, long, word in things
    ]
    results = [way(options, 3.0) for way in (pack, pack_tight)]
    for placed in results:
        assert len(placed) == len(things)
        for at, (lane, option) in enumerate(placed):
            for other_lane, other in placed[at + 1 :]:
                if lane == other_lane:
                    assert all(b + 3 <= c or d + 3 <= a for a, b in option.spans for c, d in other.spans)
    lanes = [max((lane for lane, _ in placed), default=-1) for placed in results]
    assert lanes[1] <= lanes[0]


@pytest.mark.parametrize("south", [False, True])
def test_a_stretch_over_the_turn_of_the_year_comes_in_again(south):
    """Days that run over the end of the paper are drawn at both ends, with their whole length."""
    year = Year(2027, south, 0.0, 365.0)
    low, high = (date(2027, 12, 20), date(2028, 1, 10)) if not south else (date(2028, 6, 20), date(2028, 7, 11))
    parts = year.stretches(low, high)
    assert len(parts) == 2
    seen = [stretch.seen for stretch in parts]
    assert sum(right - left for left, right in seen) == (high - low).days + 1
    assert max(right for _, right in seen) == 365.0
    assert min(left for left, _ in seen) == 0.0


def test_days_of_the_year_come_back():
    """The date of every place lies at that place, in both hemispheres."""
    for south in (False, True):
        year = Year(2028, south, 0.0, 365.0)
        assert [year.at(year.day(place)) for place in range(365)] == list(range(365))


def test_the_half_of_the_earth_is_found_out(light):
    """By day length first, else by the order of the freezes; not known counts as north."""
    north = seasons.frosts(date(2027, 5, 6), date(2027, 10, 4))
    south = seasons.frosts(date(2027, 9, 10), date(2028, 5, 20))
    assert [is_south(2027, light(north_of), south) for north_of in (40.0, 0.0, -40.0)] == [False, False, True]
    assert [is_south(2027, None, north), is_south(2027, None, south), is_south(2027, None, None)] == [
        False,
        True,
        False,
    ]


def test_day_lengths_are_said_in_hours_and_minutes():
    """Minutes round to the step; a whole hour has no minutes."""
    assert duration_words(906.2).replace("\u00a0", " ") == "15 h 6 min"
    assert duration_words(838.0, 5).replace("\u00a0", " ") == "14 h"
    assert duration_words(1440.0).replace("\u00a0", " ") == "24 h"


def test_the_page_engine_draws_a_chart_without_a_word(words, light, caplog):
    """WeasyPrint logs nothing when it draws a strip."""
    from weasyprint import HTML

    from handouts.charts.year_strip import year_strip
    from handouts.render.svg import inline_svg

    last, first = date(2027, 5, 6), date(2027, 10, 4)
    chart = year_strip(seasons.season(last, first), light(42.0), seasons.frosts(last, first), words)
    svg = inline_svg(chart.svg, chart.id, chart.title, chart.alt, "p1-", 172)
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        pdf = HTML(string=f"<html lang='en'><title>t</title><body>{svg}</body></html>").write_pdf()
    assert pdf.startswith(b"%PDF")
    assert [record for record in caplog.records if record.name == "weasyprint"] == []
