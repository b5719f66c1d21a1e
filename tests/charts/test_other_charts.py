"""Freeze chances, day length and heat toward opening: readings, places and words."""

from __future__ import annotations

import csv
import re
from datetime import date, timedelta
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from handouts.charts.axis import Year
from handouts.charts.day_length import day_length_chart
from handouts.charts.frost_chance import frost_chance
from handouts.charts.heat_opening import HeatTarget, heat_opening
from handouts.render.svg import read_svg
from handouts.season.curve import reach, temperature_curve
from handouts.season.sun import Event
from tests.charts import reading, seasons
from tests.charts.seasons import YEAR

COLD = ([5, 10, 22, 36, 48, 58, 63, 60, 51, 39, 26, 11], [24, 29, 41, 57, 69, 79, 83, 80, 72, 58, 41, 27])
MILD = ([31, 34, 40, 47, 56, 64, 68, 67, 61, 49, 39, 33], [52, 56, 64, 72, 80, 86, 89, 88, 82, 73, 63, 54])
TARGET = HeatTarget(
    293.0, 529.0, 56.5, "spicebush-swallowtail.opening-heat", "spicebush-swallowtail.opening-base",
    proxy="spicebush swallowtail",
)  # fmt: skip
FREEZES = {
    "cold": seasons.frosts(date(YEAR, 5, 15), date(YEAR, 9, 25)),
    "mild": seasons.frosts(date(YEAR, 3, 30), date(YEAR, 11, 4), 9),
    "uneven": {
        "last": (date(YEAR, 4, 20), date(YEAR, 4, 24), date(YEAR, 5, 30)),
        "first": (date(YEAR, 8, 30), date(YEAR, 10, 1), date(YEAR, 10, 6)),
    },
    "winter": {"last": (date(YEAR - 1, 12, 20), date(YEAR, 1, 10), date(YEAR, 1, 31))},
    "south": seasons.frosts(date(YEAR, 9, 10), date(YEAR + 1, 5, 20)),
}


def _means(values):
    return temperature_curve(*values, basis="station normals", period="1991-2020", source="a station")


def _southern(values):
    low, high = ([*part[6:], *part[:6]] for part in values)
    return _means((low, high))


def _all(words, light):
    made = {f"frost-{name}": frost_chance(days, words) for name, days in FREEZES.items()}
    for latitude in (0.0, 20.0, 34.7, 45.0, 60.0, 70.0, -37.0):
        turn = seasons.window(
            "diapause-turn",
            *(
                (date(YEAR, 7, 20), date(YEAR, 8, 28))
                if latitude >= 0
                else (date(YEAR + 1, 1, 20), date(YEAR + 1, 2, 28))
            ),
        )
        twilight = light(latitude, Event.CIVIL_TWILIGHT)
        made[f"light-{latitude}"] = day_length_chart(light(latitude), words, YEAR, twilight=twilight, turn=turn)
        made[f"plain-{latitude}"] = day_length_chart(light(latitude), words, YEAR)
    made["heat-cold"] = heat_opening(_means(COLD), TARGET, words, YEAR)
    made["heat-mild"] = heat_opening(_means(MILD), TARGET, words, YEAR)
    made["heat-low"] = heat_opening(_means(MILD), HeatTarget(60, 80, 50, "a.b", "a.c"), words, YEAR, width_mm=140)
    made["heat-south"] = heat_opening(_southern(COLD), TARGET, words, YEAR, south=True)
    return made


def test_words_keep_apart_and_figures_are_claims(words, light):
    """On every chart no label meets another or leaves the paper, and each figure is a claim or a constant."""
    for name, chart in _all(words, light).items():
        wide, high = reading.view(chart)
        found = reading.boxes(chart)
        for box in found:
            assert -0.1 <= box.left <= box.right <= wide + 0.6, (name, box)
            assert -0.1 <= box.top <= box.bottom <= high + 0.1, (name, box)
        for one, other in combinations(found, 2):
            assert not one.meets(other), (name, one, other)
        shown = {claim.id: claim.shown for claim in chart.claims}
        assert dict(reading.figures(chart)) == shown, name
        assert reading.loose_digits(chart) == [], name
        assert 5 <= len(chart.alt) <= 150, name
        assert not re.search(r"\d", chart.title + chart.alt + chart.caption), name
        read_svg(chart.svg, name)
        ids = [element.attrib["id"] for element in reading.root(chart).iter() if "id" in element.attrib]
        assert len(ids) == len(set(ids)), name
        assert all(one.startswith(chart.id) for one in ids), name


def test_the_same_input_gives_the_same_bytes(words, light):
    """Two runs of every chart do not differ."""
    assert _all(words, light) == _all(words, light)


@pytest.mark.parametrize("name", FREEZES)
def test_the_curve_of_chances_passes_through_the_dates(words, name):
    """The readings of nine, five and one year in ten lie on the curve, and the curve only falls or only rises."""
    chart = frost_chance(FREEZES[name], words)
    for side, part, order in (("last", "spring", (0.9, 0.5, 0.1)), ("first", "fall", (0.1, 0.5, 0.9))):
        if side not in FREEZES[name]:
            continue
        group = reading.part(chart, part)
        paths = list(group.iter(f"{reading.NS}path"))
        curve = next(path for path in paths if path.get("stroke-width") == "1.2")
        points = [tuple(map(float, pair.split())) for pair in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", curve.attrib["d"])]
        dots = [re.match(r"M(-?[\d.]+) (-?[\d.]+)a", path.attrib["d"]) for path in paths]
        readings = [(float(dot[1]) + 2.0, float(dot[2])) for dot in dots if dot]
        days = sorted(FREEZES[name][side])
        assert len(readings) == 3
        for (x, y), chance in zip(readings, order, strict=True):
            assert y == pytest.approx(20.0 + 84.0 * (1 - chance), abs=0.1)
            before, after = next((a, b) for a, b in pairwise(points) if a[0] <= x <= b[0])
            share = (x - before[0]) / (after[0] - before[0])
            assert before[1] + share * (after[1] - before[1]) == pytest.approx(y, abs=0.9)
        across = (readings[2][0] - readings[0][0]) / (days[2] - days[0]).days
        assert readings[1][0] - readings[0][0] == pytest.approx(across * (days[1] - days[0]).days, abs=0.1)
        steps = [b[1] - a[1] for a, b in pairwise(points)]
        assert all(step >= 0 for step in steps) if side == "last" else all(step <= 0 for step in steps)


def test_chances_name_the_right_dates(words):
    """One year in ten goes with the late last freeze and the early first freeze."""
    shown = {claim.id: claim.shown.replace("\u00a0", " ") for claim in frost_chance(FREEZES["cold"], words).claims}
    assert shown["place.last-freeze.p10|chance"] == "May 30"
    assert shown["place.last-freeze.p90|chance"] == "Apr 30"
    assert shown["place.first-freeze.p10|chance"] == "Sep 10"
    assert shown["place.first-freeze.p90|chance"] == "Oct 10"


def test_the_median_keeps_its_own_basis(words):
    """A given median stays given; the other dates are worked out."""
    bases = {
        claim.id: claim.basis
        for claim in frost_chance(FREEZES["cold"], words, frost_basis={"last": "given", "first": "published"}).claims
    }
    assert bases["place.last-freeze.p50|chance"] == "given"
    assert bases["place.first-freeze.p50|chance"] == "published"
    assert bases["place.last-freeze.p10|chance"] == "derived"


def test_dates_that_fall_together_are_refused(words):
    """Without a spread there is no curve to draw."""
    same = (date(YEAR, 5, 1),) * 3
    with pytest.raises(ValueError, match="fall together"):
        frost_chance({"last": same}, words)
    with pytest.raises(ValueError, match="at least one side"):
        frost_chance({}, words)


@pytest.mark.parametrize("latitude", [34.7, 45.0, -37.0])
def test_the_turn_is_hatched_on_its_days(words, light, latitude):
    """The upright lines lie within the window, and the curve is highest at the solstice."""
    start = date(YEAR, 7, 20) if latitude > 0 else date(YEAR + 1, 1, 20)
    turn = seasons.window("diapause-turn", start, start + timedelta(days=38))
    chart = day_length_chart(light(latitude), words, YEAR, turn=turn)
    year = Year(YEAR, latitude < 0, 32.0, reading.view(chart)[0] - 1.0)
    hatch = next(path for path in reading.part(chart, "curves") if path.get("stroke") == "#1b3a5d")
    left, right = reading.extent(hatch)
    first = year.x(year.at(start))
    assert first <= left <= first + 6
    assert first + 38 * year.per_day - 8 <= right <= first + 39 * year.per_day
    curve = next(path for path in reading.part(chart, "curves") if path.get("stroke-width") == "1.4")
    points = [tuple(map(float, pair.split())) for pair in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", curve.attrib["d"])]
    peak = min(points, key=lambda point: point[1])[0]
    middle = year.at(date(YEAR, 6 if latitude > 0 else 12, 21))
    assert peak == pytest.approx(year.x(middle), abs=5 * year.per_day)


@pytest.mark.parametrize("values", [COLD, MILD])
def test_opening_is_drawn_where_the_heat_sums_say(words, values):
    """The bar runs from the low sum of a warm year to the high sum of a cold one, as the heat module has it."""
    source = _means(values)
    chart = heat_opening(source, TARGET, words, YEAR)
    begin = date(YEAR, 1, 1)
    low, high = reach(source, begin, 293.0, 56.5).low, reach(source, begin, 529.0, 56.5).high
    claim = next(claim for claim in chart.claims if claim.id == "place.opening-by-heat|chart")
    assert (claim.value["low"], claim.value["high"]) == (low.isoformat(), high.isoformat())
    assert claim.parents == (TARGET.heat, TARGET.floor)
    assert claim.proxy == "spicebush swallowtail"
    bar = next(path for path in reading.part(chart, "opening") if path.get("fill") == "#1b3a5d")
    months = {
        text.text: float(text.attrib["x"]) + reading.width(text.text, 9, True) / 2
        for text in reading.part(chart, "scale").iter(f"{reading.NS}text")
        if text.get("font-weight") == "bold"
    }
    per_day = (months["May"] - months["Apr"]) / 30.5
    first_of_may = months["May"] - 15.5 * per_day
    left, right = reading.extent(bar)
    assert left == pytest.approx(first_of_may + (low - date(YEAR, 5, 1)).days * per_day, abs=4)
    assert right == pytest.approx(first_of_may + ((high - date(YEAR, 5, 1)).days + 1) * per_day, abs=4)
    assert "spicebush swallowtail" in reading.words(chart)


def test_the_longest_and_shortest_day_are_the_solstices(words, light):
    """Both claims at 45 degrees north carry the minutes that three other programs give for these days."""
    values = {claim.id: claim.value for claim in day_length_chart(light(45.0), words, 2026).claims}
    path = Path(__file__).parents[1] / "data" / "reference" / "daylength.csv"
    with path.open(encoding="utf-8") as file:
        rows = {(row["lat"], row["date"], row["event"]): float(row["skyfield"]) for row in csv.DictReader(file)}
    days = {f"place.day-length.{day}": rows["45", f"2026-{day}", "sunrise_sunset"] for day in ("06-21", "12-21")}
    assert values == {name: pytest.approx(minutes, abs=0.5) for name, minutes in days.items()}


def test_the_sentence_below_speaks_only_of_what_is_drawn(words, light):
    """Without a turn nothing is said of hatched weeks."""
    plain = day_length_chart(light(42.0), words, YEAR)
    turn = seasons.window("diapause-turn", date(YEAR, 7, 20), date(YEAR, 8, 28))
    hatched = day_length_chart(light(42.0), words, YEAR, turn=turn)
    assert "hatched" in hatched.caption
    assert "hatched" not in plain.caption
    assert "turn" not in plain.alt


def test_heat_that_is_never_reached_is_refused(words):
    """A place too cold for the sum gives an error, not a drawing."""
    with pytest.raises(ValueError, match="never reaches"):
        heat_opening(_means(COLD), HeatTarget(9000, 9500, 50, "a.b", "a.c"), words, YEAR)
    with pytest.raises(ValueError, match="cannot be reached"):
        heat_opening(_means(COLD), HeatTarget(0, 10, 50, "a.b", "a.c"), words, YEAR)


def test_papers_too_small_are_refused(words, light):
    """Each chart says when its paper is too narrow or too low."""
    with pytest.raises(ValueError, match="too narrow"):
        frost_chance(FREEZES["cold"], words, width_mm=100)
    with pytest.raises(ValueError, match="too low"):
        day_length_chart(light(42.0), words, YEAR, height_mm=20)
    with pytest.raises(ValueError, match="too low"):
        heat_opening(_means(COLD), TARGET, words, YEAR, height_mm=20)
