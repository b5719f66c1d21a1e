"""The year strip: what it shows, where it shows it, and that nothing meets anything."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations
from xml.etree import ElementTree

import pytest

from handouts.charts.axis import Year
from handouts.charts.svg import ALT_LENGTH, BLUE
from handouts.charts.year_strip import year_strip
from handouts.render.svg import inline_svg, read_svg
from tests.charts import reading, seasons
from tests.charts.seasons import YEAR

COLD = (date(YEAR, 5, 15), date(YEAR, 9, 25))
MILD = (date(YEAR, 3, 30), date(YEAR, 11, 4))
MIDDLE = (date(YEAR, 5, 6), date(YEAR, 10, 4))
PLACES = {
    "cold": (45.0, *COLD, 2),
    "alpine": (47.0, date(YEAR, 6, 10), date(YEAR, 9, 1), 1),
    "middle": (42.0, *MIDDLE, 4),
    "mild": (34.7, *MILD, 3),
    "warm": (29.0, date(YEAR, 2, 10), date(YEAR, 12, 10), 4),
    "hot": (26.0, date(YEAR, 1, 12), date(YEAR, 12, 28), 3),
}
PAPERS = {"handout": (172.0, 1.0), "narrow": (145.0, 1.0), "poster": (380.0, 1.6)}


def strip(words, light, name, **more):
    """The strip of one of the places."""
    latitude, last, first, generations = PLACES[name]
    return year_strip(
        seasons.season(last, first, generations), light(latitude), seasons.frosts(last, first), words, **more
    )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("height", [None, 60.0])
def test_no_words_meet_and_none_leave_the_paper(words, light, name, paper, height):
    """On every paper and at every place no label covers another or runs over the edge."""
    width_mm, scale = PAPERS[paper]
    chart = strip(words, light, name, width_mm=width_mm, scale=scale, height_mm=height)
    wide, high = reading.view(chart)
    found = reading.boxes(chart)
    assert len(found) > 25
    for box in found:
        assert -0.1 <= box.left <= box.right <= wide + 0.6, box
        assert -0.1 <= box.top <= box.bottom <= high + 0.1, box
    for one, other in combinations(found, 2):
        assert not one.meets(other), (one, other)


@pytest.mark.parametrize("name", PLACES)
def test_every_figure_is_a_claim_or_a_declared_constant(words, light, name):
    """Each data-fact text equals its claim, each claim is shown, and no digit stands loose."""
    chart = strip(words, light, name)
    shown = {claim.id: claim.shown for claim in chart.claims}
    figures = reading.figures(chart)
    assert len(shown) == len(chart.claims)
    assert dict(figures) == shown
    assert all(shown[name] == text for name, text in figures)
    assert reading.loose_digits(chart) == []
    for text in (chart.title, chart.alt, chart.caption):
        assert not any(letter.isdigit() for letter in text)
    assert ALT_LENGTH[0] <= len(chart.alt) <= ALT_LENGTH[1]


def test_the_drawing_is_plain_and_its_ids_are_its_own(words, light):
    """Title and description come first, ids begin with the chart's, nothing refers outside, the page accepts it."""
    chart = strip(words, light, "middle", chart_id="strip-two")
    root = reading.root(chart)
    assert [child.tag for child in root][:2] == [f"{reading.NS}title", f"{reading.NS}desc"]
    ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids))
    assert all(name.startswith("strip-two") for name in ids)
    assert {element.tag.removeprefix(reading.NS) for element in root.iter()} <= {
        "svg", "title", "desc", "g", "path", "text", "tspan",
    }  # fmt: skip
    for element in root.iter():
        assert not {"class", "style", "href"} & set(element.attrib)
        assert "url(" not in " ".join(element.attrib.values())
    read_svg(chart.svg, chart.id)
    assert "data-fact" in inline_svg(chart.svg, chart.id, chart.title, chart.alt, "p1-", 172)


def test_letters_are_nine_points_on_paper_or_larger(words, light):
    """The smallest letter prints at nine points, and at nine times the scale on a poster."""
    for width_mm, scale in PAPERS.values():
        chart = strip(words, light, "mild", width_mm=width_mm, scale=scale)
        points = width_mm * 72 / 25.4 / reading.view(chart)[0]
        sizes = [float(text.attrib["font-size"]) for text in reading.root(chart).iter(f"{reading.NS}text")]
        assert min(sizes) * points == pytest.approx(9.0 * scale, rel=1e-3)


def test_the_same_input_gives_the_same_bytes(words, light):
    """Two drawings of one place do not differ."""
    assert strip(words, light, "middle") == strip(words, light, "middle")


def _bars(chart):
    """Left and right end of each solid blue bar of the gardener."""
    group = reading.part(chart, "gardener")
    return [reading.extent(path) for path in group.iter(f"{reading.NS}path") if path.get("fill") == BLUE]


@pytest.mark.parametrize("name", PLACES)
def test_no_words_stand_on_a_bar_of_the_gardener(words, light, name):
    """A task's words keep clear of every bar, its own and its neighbors'."""
    chart = strip(words, light, name)
    group = reading.part(chart, "gardener")
    labels = [box for box in reading.boxes(chart) if box.text in {"".join(text.itertext()) for text in group}]
    bars = [path.attrib["d"] for path in group.iter(f"{reading.NS}path") if path.get("fill") == BLUE]
    assert len(bars) >= 6
    for data in bars:
        left, right = reading.extent(ElementTree.Element("path", d=data))
        top, bottom = (float(re.search(rf"{sign}([\d.]+)", data)[1]) for sign in (r"M[\d.]+ ", "V"))
        bar = reading.Box("bar", left, top, right, bottom)
        assert not any(label.meets(bar) for label in labels), (name, data)


def test_a_task_stands_at_its_days(words, light):
    """A "by" ends on its last day, a "from" begins on its first, an "in" spans its days."""
    latitude, last, first, _ = PLACES["cold"]
    made = seasons.season(last, first)
    for name, left_day, right_day in (
        ("to-cold-by", None, made.window("to-cold-by").high),
        ("overwinter-from", made.window("overwinter-from").low, None),
        ("to-warmth", made.window("to-warmth").low, made.window("to-warmth").high),
    ):
        alone = replace(made, windows=(made.window(name),))
        chart = year_strip(alone, light(latitude), seasons.frosts(last, first), words)
        year = Year(YEAR, False, 80.0, reading.view(chart)[0] - 1.0)
        ((left, right),) = _bars(chart)
        if left_day is not None:
            assert left == pytest.approx(year.x(year.at(left_day)), abs=2.5)
        if right_day is not None:
            assert right == pytest.approx(year.x(year.at(right_day) + 1), abs=2.5)


def test_the_open_end_of_a_task_dissolves(words, light):
    """The whole part of a "by" stands left of its stripes, that of a "from" right; an "in" has stripes alone."""
    latitude, last, first, _ = PLACES["cold"]
    made = seasons.season(last, first)
    sides = {}
    for name in ("to-cold-by", "overwinter-from", "to-warmth"):
        chart = year_strip(replace(made, windows=(made.window(name),)), light(latitude), None, words)
        (bar,) = [
            path for path in reading.part(chart, "gardener").iter() if path.get("fill") == BLUE and "d" in path.attrib
        ]
        boxes = [(float(a), float(b)) for a, b in re.findall(r"M([\d.]+) [\d.]+H([\d.]+)V", bar.attrib["d"])]
        left, right = min(boxes), max(boxes)
        sides[name] = (left[1] - left[0] > 10, right[1] - right[0] > 10)
    assert sides == {"to-cold-by": (True, False), "overwinter-from": (False, True), "to-warmth": (False, False)}


def test_the_frost_band_fades_between_the_rare_dates(words, light):
    """The whole part ends at the early date, the last stripe at the late one."""
    _latitude, last, first, _ = PLACES["cold"]
    chart = strip(words, light, "cold")
    year = Year(YEAR, False, 80.0, reading.view(chart)[0] - 1.0)
    solid = [path for path in reading.part(chart, "frost").iter(f"{reading.NS}path") if path.get("fill") == "#d2d2d2"]
    (left, right), (start, end) = (reading.extent(path) for path in solid)
    assert left == pytest.approx(year.left)
    assert right == pytest.approx(year.x(year.at(last) + 15.5), abs=2.5)
    assert start == pytest.approx(year.x(year.at(first) - 14.5), abs=2.5)
    assert end == pytest.approx(year.right)
    first_box = solid[0].attrib["d"].split("Z")[0]
    assert float(first_box.split("H")[1].split("V")[0]) == pytest.approx(year.x(year.at(last) - 14.5), abs=0.1)


def test_the_longest_day_is_the_solstice(words, light):
    """The claim of the longest day carries the solstice and its minutes."""
    claims = {claim.id: claim for claim in strip(words, light, "middle").claims}
    longest = claims["place.day-length.06-21"]
    assert longest.shown == "15\u00a0h\u00a015\u00a0min"
    assert longest.unit == "min"
    assert longest.basis == "derived"
    assert longest.value == pytest.approx(915, abs=1.5)


def test_relatives_and_regions_are_named(words, light):
    """Whatever a window was taken from stands on the drawing by name, its digits declared."""
    chart = strip(words, light, "middle")
    said = reading.words(chart)
    for name in ("Wisconsin", "region 7 north", "spicebush swallowtail"):
        assert name in said
    assert any(run.get("data-const") == "name" and run.text == "7" for run in reading.root(chart).iter())


def test_windows_keep_their_basis_and_inputs(words, light):
    """A task's claim carries basis, references, parents and proxy of its window, and the mark stands behind it."""
    chart = strip(words, light, "cold")
    claim = next(claim for claim in chart.claims if ".hosts-ready|" in claim.id)
    assert (claim.basis, claim.proxy) == ("derived", "Wisconsin")
    assert claim.references == ("a-source#key",)
    assert claim.parents == ("spicebush-swallowtail.larva",)
    assert f"{claim.shown}\u00a0wr".replace("\u00a0", " ") in reading.words(chart)


def test_an_unknown_window_shows_words_and_no_bar(words, light):
    """Without freezes the tasks that hang on them stand in words; no bar is drawn for them."""
    latitude, last, first, _ = PLACES["middle"]
    made = seasons.season(last, first)
    gone = ("to-cold-by", "to-warmth", "stop-waiting", "last-release", "flight-2", "eggs-1", "eggs-2")
    some = tuple(
        replace(one, low=None, mid=None, high=None, basis="not-known") if one.id in gone else one
        for one in made.windows
    )
    chart = year_strip(replace(made, windows=some), light(latitude), None, words)
    said = reading.words(chart)
    for name in gone[:4]:
        assert f"{words.windows[name].short}: {words.windows[name].unknown}" in said
    assert f"second: {words.windows['flight-2'].unknown}" in said
    assert words.windows["eggs-1"].unknown in said
    assert len(_bars(chart)) == 2
    assert "my last freeze" in said.lower()
    assert "median" not in said
    for one, other in combinations(reading.boxes(chart), 2):
        assert not one.meets(other)


def test_one_known_freeze_draws_one_side(words, light):
    """With the last freeze alone, the fall side says that it is not known."""
    latitude, last, first, _ = PLACES["middle"]
    sides = {"last": seasons.frosts(last, first)["last"]}
    chart = year_strip(seasons.season(last, first), light(latitude), sides, words)
    said = reading.words(chart)
    assert "median last freeze May 6" in said
    assert "first freeze not known here" in said
    for one, other in combinations(reading.boxes(chart), 2):
        assert not one.meets(other)


def test_without_a_latitude_nothing_is_said_of_day_length(words):
    """Freezes without a latitude give frost and tasks; the day-length row says what it needs."""
    chart = year_strip(seasons.season(*MIDDLE), None, seasons.frosts(*MIDDLE), words)
    assert "needs a latitude or a ZIP code" in reading.words(chart)
    assert not any("day-length" in claim.id for claim in chart.claims)


def test_tasks_of_a_species_that_leaves_are_left_out(words, light):
    """A butterfly that does not winter as a chrysalis has no winter tasks, not even in words."""
    note = "the monarch does not pass the winter as a chrysalis"
    chart = year_strip(seasons.bare(note, absent=True), light(42.0), None, words)
    said = reading.words(chart)
    assert words.windows["to-cold-by"].short not in said
    assert words.windows["overwinter-from"].unknown not in said


def test_the_southern_year_runs_from_july_to_june(words, light):
    """Months turn, the longest day is in December, and both freezes lie where their season is."""
    last, first = date(YEAR, 9, 10), date(YEAR + 1, 5, 20)
    made = seasons.season(last, first, 2, turn=date(YEAR + 1, 2, 10))
    chart = year_strip(made, light(-37.0), seasons.frosts(last, first), words)
    months = [text.text for text in reading.part(chart, "months").iter(f"{reading.NS}text")]
    assert months[0] == "Jul"
    assert months[5] == "Dec"
    assert months[-1] == "Jun"
    assert any(claim.id.startswith("place.day-length.12-2") for claim in chart.claims)
    solid = [path for path in reading.part(chart, "frost").iter(f"{reading.NS}path") if path.get("fill") == "#d2d2d2"]
    year = Year(YEAR, True, 80.0, reading.view(chart)[0] - 1.0)
    assert reading.extent(solid[0])[1] == pytest.approx(year.x(year.at(last) + 15.5), abs=2.5)
    assert reading.extent(solid[1])[0] == pytest.approx(year.x(year.at(first) - 14.5), abs=2.5)
    wide, high = reading.view(chart)
    for one, other in combinations(reading.boxes(chart), 2):
        assert not one.meets(other), (one, other)
        assert one.right <= wide + 0.6
        assert one.bottom <= high
    assert year_strip(made, None, seasons.frosts(last, first), words).svg.index("Jul") < chart.svg.index("Jan")


def test_chrysalides_pass_the_turn_of_the_year(words, light):
    """The winter bar runs to the end of the paper and comes in again at its beginning."""
    chart = strip(words, light, "cold")
    assert reading.words(chart).count("waiting through winter") == 2
    year = Year(YEAR, False, 80.0, reading.view(chart)[0] - 1.0)
    ends = [reading.extent(path) for path in reading.part(chart, "insects").iter(f"{reading.NS}path")]
    assert any(left == pytest.approx(year.left, abs=0.1) for left, _ in ends)
    assert any(right == pytest.approx(year.right, abs=0.1) for _, right in ends)


@pytest.mark.parametrize("name", PLACES)
def test_the_winter_bar_runs_from_the_turn_to_the_opening(words, light, name):
    """The open band begins with the first overwintering chrysalis and ends with the last opening, at every place."""
    latitude, last, first, _ = PLACES[name]
    made = seasons.season(last, first)
    begin, opening = made.window("overwinter-from"), made.window("spring-opening")
    chart = year_strip(replace(made, windows=(begin, opening)), light(latitude), None, words)
    year = Year(YEAR, False, 80.0, reading.view(chart)[0] - 1.0)
    band = [path for path in reading.part(chart, "insects").iter(f"{reading.NS}path") if path.get("stroke")]
    xs = sorted(reading.extent(path) for path in band)
    assert len(xs) == 2
    assert xs[0][1] == pytest.approx(year.x(year.at(opening.high) + 1), abs=2.5)
    assert xs[1][0] == pytest.approx(year.x(year.at(begin.low)), abs=2.5)


def test_a_lower_paper_drops_the_times_and_a_higher_one_is_filled(words, light):
    """`height_mm` below what the rows need drops the times in words; above it, the rows stretch to it."""
    free, low, high = (strip(words, light, "middle", height_mm=height) for height in (None, 90.0, 200.0))
    heights = [reading.view(chart)[1] for chart in (free, low, high)]
    assert heights[1] < heights[0] < heights[2]
    assert heights[2] == pytest.approx(200.0 * 72 / 25.4, rel=0.01)
    assert "by about" in reading.words(free)
    assert "by about" not in reading.words(low)
    assert not any("season." in claim.id for claim in low.claims)


def test_labels_of_the_words_file_win(words, light):
    """A label in the words file replaces the chart's own."""
    other = words.model_copy(update={"labels": {**words.labels, "chart-frost-likely": "expect ice"}})
    said = reading.words(strip(other, light, "cold"))
    assert "expect ice" in said
    assert "frost likely" not in said


def test_too_narrow_a_paper_is_refused(words, light):
    """A width that cannot hold the words raises, it does not overlap."""
    with pytest.raises(ValueError, match="too narrow"):
        strip(words, light, "cold", width_mm=120.0)
    with pytest.raises(ValueError, match="too narrow"):
        strip(words, light, "cold", scale=1.5)


def test_many_places_keep_their_words_apart(words, light):
    """Freezes all through spring and fall, with one to four generations: no two labels meet."""
    for step in range(0, 150, 10):
        last = date(YEAR, 1, 15) + timedelta(days=step)
        first = date(YEAR, 12, 30) - timedelta(days=step * 4 // 5)
        made = seasons.season(last, first, 1 + step // 10 % 4)
        chart = year_strip(made, light(27.0 + step / 8), seasons.frosts(last, first, 8 + step % 12), words)
        for one, other in combinations(reading.boxes(chart), 2):
            assert not one.meets(other), (step, one, other)
