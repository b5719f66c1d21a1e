"""The store check adds up heat that never falls in a warmer log, and holds the cold against named relatives."""

import csv
import gzip
import math
import re
import xml.etree.ElementTree as ElementTree
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.place.table import Unit
from handouts.shelf import log as logs
from handouts.shelf import store
from handouts.shelf.log import LogDay

from .conftest import ROOT, SERIES

SPECIES = "black-swallowtail"
BASE_F = 13.6 * 1.8 + 32  # spicebush-swallowtail.opening-base, the stand-in's
LEAST_F = 163 * 1.8  # the low end of its opening-heat, °F degree-days
TEMPERATURE = st.floats(-20, 90, allow_nan=False)
WARMER = st.floats(0, 40, allow_nan=False)


def logger_file(folder, values, start=datetime(2026, 12, 1), step=3, name="log.csv"):
    """Write a logger file in °F with a reading every `step` hours."""
    path = Path(folder) / name
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(["time", "temperature (°F)"])
        writer.writerows((start + timedelta(hours=step * at), f"{value:.2f}") for at, value in enumerate(values))
    return path


def daily_file(folder, days, head="date,lowest (F),highest (F)", name="hand.csv"):
    """Write a list of (day, low, high)."""
    path = Path(folder) / name
    path.write_text("\n".join((head, *(f"{day},{low},{high}" for day, low, high in days))) + "\n")
    return path


def steady(low, high, count=60, start=date(2026, 12, 1)):
    return [(start + timedelta(days=at), low, high) for at in range(count)]


# -- properties --------------------------------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(TEMPERATURE, TEMPERATURE, WARMER, WARMER), min_size=1, max_size=10))
def test_warmer_days_never_add_up_to_less_heat(days):
    """From lows and highs: raise any of them and the heat rises or stays."""
    start = date(2026, 12, 1)
    cold, warm = [], []
    for at, (one, two, up_low, up_high) in enumerate(days):
        low, high = sorted((one, two))
        day = start + timedelta(days=at)
        cold.append(LogDay(day, low, high))
        warm.append(LogDay(day, min(low + up_low, high + up_high), high + up_high))
    assert store.heat_of(warm, BASE_F) >= store.heat_of(cold, BASE_F) - 1e-9


# Hours near a level with a spike now and then, as a garage has them; each may be made warmer by its own amount.
HOURS = st.lists(
    st.tuples(st.one_of(st.floats(40, 66), st.floats(-20, 110)), st.one_of(st.just(0.0), st.floats(0, 45))),
    min_size=24,
    max_size=72,
)


@settings(max_examples=200, deadline=None)
@given(HOURS, st.floats(0, 25))
def test_a_warmer_log_never_lowers_the_heat_counted(tmp_path_factory, readings, shift):
    """A whole logger file, read and screened: warmer readings, one by one or all together, never lower the heat.

    Spikes among them change which readings are set aside, and still cannot lower it.
    """
    folder = tmp_path_factory.mktemp("logs")
    cold = logs.read(logger_file(folder, [value for value, _ in readings], step=1))
    for warmer in ([value + up for value, up in readings], [value + shift for value, _ in readings]):
        warm = logs.read(logger_file(folder, [min(value, 139.0) for value in warmer], step=1, name="warm.csv"))
        assert [day.day for day in warm.days] == [day.day for day in cold.days]
        for one, two in zip(cold.days, warm.days, strict=True):
            assert store.day_heat(two, BASE_F) >= store.day_heat(one, BASE_F) - 1e-6
        assert store.heat_of(warm.days, BASE_F) >= store.heat_of(cold.days, BASE_F) - 1e-6


# -- outside checks on real series -------------------------------------------------------------------------------------


def lincoln_rows():
    with (SERIES / "lincoln_2016_portal.csv").open(encoding="utf-8") as stream:
        rows = [row for row in csv.DictReader(stream) if row["TMIN"] and row["TMAX"]]
    return [(date.fromisoformat(row["DATE"]), float(row["TMIN"]), float(row["TMAX"])) for row in rows]


def wave_heat(low, high, base, steps=2000):
    """Degree-days of a day drawn as a sine, by adding up many moments (independent of the program's formula)."""
    moments = (
        (low + high) / 2 + (high - low) / 2 * math.sin(2 * math.pi * (step + 0.5) / steps) for step in range(steps)
    )
    return sum(max(0.0, value - base) for value in moments) / steps


def test_lincoln_in_early_2016(ground_at):
    """Lincoln NE, January to March 2016 (NOAA GHCN-Daily): heat, cold and thaws as counted from the file by hand."""
    check = store.check(ground_at(None), logs.read(SERIES / "lincoln_2016_portal.csv"), SPECIES)
    days = [row for row in lincoln_rows() if row[0].month <= 3]
    winter = check.winter
    assert (winter.first, winter.last, winter.n) == (date(2016, 1, 1), date(2016, 3, 31), 91)
    assert len(days) == 91
    assert winter.heat == pytest.approx(sum(wave_heat(low, high, BASE_F) for _, low, high in days), abs=0.1)
    assert winter.heat == pytest.approx(85.2, abs=0.5)
    assert winter.coldest.low == min(low for _, low, _ in days) == -7
    assert winter.crossings == sum(low < 32 < high for _, low, high in days)
    assert winter.widest.high - winter.widest.low == max(high - low for _, low, high in days) == 42
    assert check.share == pytest.approx(winter.heat / LEAST_F, abs=0.005)
    assert ("move", "cold-reached") in check.findings  # −7 °F lies below the anise swallowtail's −5 °F
    assert ("watch", "thaw-then-freeze") in check.findings
    assert check.verdict == "move"
    assert check.basis == "derived"  # a weather station's record is not the club's own


def test_jfk_in_2013_sets_the_false_reading_aside(ground_at):
    """JFK airport 2013, hourly: the false 13 °F of May 8 is shown and counts for nothing; heat is the hours' own."""
    path = SERIES / "jfk_2013_hourly.csv.gz"
    read = logs.read(path)
    (reject,) = read.rejects
    assert (reject.day, reject.line) == (date(2013, 5, 8), 3066)
    assert "13.1" in reject.value
    check = store.check(ground_at(None), read, SPECIES, date(2013, 11, 1), date(2013, 12, 30))
    by_day = {}
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        for row in csv.reader(stream):
            if row[0].startswith(("2013-11", "2013-12")):
                by_day.setdefault(row[0][:10], []).append(float(row[1]))
    by_day.pop("2013-12-31", None)
    heat = sum(sum(max(0.0, value - BASE_F) for value in values) / len(values) for values in by_day.values())
    assert check.winter.heat == pytest.approx(heat, abs=0.2)
    assert check.winter.heat == pytest.approx(20.9, abs=0.5)
    assert check.winter.coldest.low == min(min(values) for values in by_day.values())
    assert check.verdict == "watch"
    may = store.check(ground_at(None), read, SPECIES, date(2013, 5, 1), date(2013, 5, 31))
    assert may.winter.coldest.low > 32


def test_clemson_has_fifty_winters(ground_at):
    """Clemson SC, 1971-2020: every winter is judged, the coldest is found, the last whole one gives the verdict."""
    read = logs.read(SERIES / "USC00381770_1971-2020.csv.gz")
    check = store.check(ground_at(None), read, SPECIES)
    whole = [winter for winter in check.winters if winter.whole]
    assert 45 <= len(whole) <= 50
    assert (check.winter.first, check.winter.last) == (date(2019, 11, 1), date(2020, 3, 31))
    coldest = min(check.winters, key=lambda winter: winter.coldest.low)
    assert coldest.first.year in (1981, 1984)  # the freezes of January 1982 and January 1985
    assert coldest.coldest.low < 0
    assert check.how == "months"


def table_of_winters():
    """The rows of the contributors' table: series, days, heat, coldest, thaws, verdict."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(
        r"^\| (\w+)[^|]*\| (\d+) \| ([\d.]+) \((\d+) %\) \| (−?\d+) °F \| (\d+) \| (\w+)", text, re.MULTILINE
    )
    assert len(rows) == 5
    return rows


FILES = {
    "Lincoln": "lincoln_2016_portal.csv",
    "JFK": "jfk_2013_hourly.csv.gz",
    "Chicago": "chicago_2001-2016.csv.gz",
    "New": "new_york_2012-2015.csv.gz",
    "Clemson": "USC00381770_1971-2020.csv.gz",
}


@pytest.mark.parametrize("row", table_of_winters(), ids=lambda row: row[0])
def test_the_contributors_table_is_what_is_computed(ground_at, row):
    """Real winters: days, heat, share, cold, thaws and verdict of the table are those of the check."""
    name, days, heat, share, coldest, thaws, verdict = row
    check = store.check(ground_at(None), logs.read(SERIES / FILES[name]), SPECIES)
    assert check.winter.n == int(days)
    assert check.winter.heat == pytest.approx(float(heat), abs=0.5 if float(heat) >= 1 else 0.05)
    assert round(check.share * 100) == int(share)
    assert round(check.winter.coldest.low) == int(coldest.replace("−", "-"))
    assert len(check.winter.thaws) == int(thaws)
    assert check.verdict == {"act": "move"}.get(verdict, verdict)


def test_the_numbers_are_on_the_page(run):
    """The verdict on the real winter is printed with its numbers, n and period, and the relatives' names."""
    code, out, err = run("store", SERIES / "lincoln_2016_portal.csv")
    assert code == 0, err
    flat = " ".join(out.split())
    assert "91 days counted, from January 1, 2016 to March 31, 2016" in flat
    assert "85 degree-days (°F)" in flat
    assert "spicebush swallowtail" in flat
    assert "−7 °F on January 17, 2016" in flat
    assert "(anise swallowtail)" in flat
    assert "(eastern tiger swallowtail)" in flat


# -- verdicts ----------------------------------------------------------------------------------------------------------

FREEZER = (-12, -6)
CASES = [
    ((30, 40), "good", {"heat-none", "cold-well-above"}),
    ((45, 62), "watch", {"heat-some"}),
    ((50, 66), "move", {"heat-much"}),
    ((60, 72), "move", {"heat-enough"}),
    ((2, 20), "watch", {"cold-close"}),
    ((-7, 5), "move", {"cold-reached"}),
    (FREEZER, "move", {"cold-below"}),
    ((20, 50), "watch", {"swings-wide", "freeze-thaw"}),
]


@pytest.mark.parametrize(("span", "verdict", "names"), CASES)
def test_each_danger_has_its_verdict(ground_at, tmp_path, span, verdict, names):
    """Sixty even days of one sort lead to the verdict that belongs to them."""
    check = store.check(ground_at(None), logs.read(daily_file(tmp_path, steady(*span))), SPECIES)
    assert check.verdict == verdict
    assert names <= {name for _, name in check.findings}
    assert check.basis == "own-observation"


def test_a_thaw_with_a_hard_freeze_after_it_is_named(ground_at, tmp_path):
    """Three warm days and a hard freeze five days later are a warning; the same without the freeze are not."""
    days = steady(33, 45)
    for at in (20, 21, 22):
        days[at] = (days[at][0], 45, 68)
    calm = store.check(ground_at(None), logs.read(daily_file(tmp_path, days)), SPECIES)
    assert not calm.winter.thaws
    days[27] = (days[27][0], 18, 40)
    check = store.check(ground_at(None), logs.read(daily_file(tmp_path, days)), SPECIES)
    (thaw,) = check.winter.thaws
    assert (thaw.spell.first, thaw.spell.last, thaw.freeze, thaw.low) == (days[20][0], days[22][0], days[27][0], 18)
    assert check.verdict == "watch"


def test_a_sun_patch_is_shown_and_partly_counted(tmp_path):
    """Two hours of sun on the sensor are set aside as a spike, shown with their line, and still add some heat."""
    values = [40.0] * (24 * 10)
    plain = logs.read(logger_file(tmp_path, values, step=1))
    values[100] = 95.0
    sunny = logs.read(logger_file(tmp_path, values, step=1))
    (reject,) = sunny.rejects
    assert (reject.value, reject.line) == ("95 °F at 04:00", 102)
    assert store.heat_of(plain.days, BASE_F) == 0
    assert 0 < store.heat_of(sunny.days, BASE_F) <= 0.1
    assert max(day.high for day in sunny.days) == 40


def test_celsius_and_fahrenheit_agree(ground_at, tmp_path):
    """The same winter in °C and in °F has the same numbers."""
    fahrenheit = steady(41, 59)
    celsius = [(day, 5, 15) for day, _, _ in fahrenheit]
    one = store.check(ground_at(None), logs.read(daily_file(tmp_path, fahrenheit)), SPECIES)
    two = store.check(
        ground_at(None), logs.read(daily_file(tmp_path, celsius, "date,min,max", "c.csv"), Unit.CELSIUS), SPECIES
    )
    assert one.winter.heat == pytest.approx(two.winter.heat)
    assert one.findings == two.findings


@pytest.mark.parametrize(
    "head", ["date,lowest (F),highest (F)", "Day;Low (°F);High (°F)", "DATE,TMIN (F),TMAX (F)", "date,min (F),max (F)"]
)
def test_a_list_by_hand_is_read(tmp_path, head):
    """A day's lowest and highest under plain headings is a log like any other."""
    sign = ";" if ";" in head else ","
    text = "\n".join((head, *(f"{day}{sign}30{sign}41" for day, _, _ in steady(30, 41, 10))))
    path = tmp_path / "hand.csv"
    path.write_text(text)
    read = logs.read(path)
    assert [(day.low, day.high) for day in read.days] == [(30, 41)] * 10
    assert not read.station


def test_a_place_limits_the_count_to_its_winter(ground, tmp_path):
    """With a place, warm days before the first move and after the return to warmth are not counted."""
    days = (
        steady(60, 75, 30, date(2026, 9, 1))
        + steady(30, 40, 200, date(2026, 10, 1))
        + steady(60, 75, 40, date(2027, 4, 19))
    )
    days = list({row[0]: row for row in days}.values())
    check = store.check(ground, logs.read(daily_file(tmp_path, days)), SPECIES)
    assert check.how == "place"
    assert check.winter.first > date(2026, 10, 14)
    assert check.winter.last < date(2027, 5, 27)


def test_days_asked_for_are_the_days_counted(run_json, tmp_path):
    """--from and --to choose the days, both included."""
    path = daily_file(tmp_path, steady(30, 40))
    data = run_json("store", path, "--from", "2026-12-10", "--to", "2026-12-20")
    assert data["counted"] == "asked"
    assert data["winter"]["n_days"] == 11
    assert (data["winter"]["first"], data["winter"]["last"]) == ("2026-12-10", "2026-12-20")


def test_the_drawing_is_plain_svg_with_words(run, tmp_path):
    """--plot writes one self-contained drawing with a title, a description and the levels' names."""
    path = daily_file(tmp_path, steady(-7, 60))
    code, _, err = run("store", path, "--plot", tmp_path / "plot.svg")
    assert code == 0, err
    root = ElementTree.parse(tmp_path / "plot.svg").getroot()
    names = {node.tag.rpartition("}")[2] for node in root.iter()}
    assert names <= {"svg", "g", "path", "text", "tspan", "title", "desc"}
    text = " ".join(root.itertext())
    for word in ("spicebush swallowtail", "anise swallowtail", "eastern tiger swallowtail", "freezing"):
        assert word in text
    ElementTree.parse(tmp_path / "plot.svg")


def test_the_checklist_names_what_threatens_them(run):
    """Without a log: mice, ants, sun, fumes, strips, the frost-free draft, food; and the cautions of those classes."""
    code, out, err = run("store")
    assert code == 0, err
    flat = " ".join(out.split()).lower()
    for word in ("mice", "ants", "sun", "fumes", "pest strip", "fogger", "frost-free", "apart from food", "power cut"):
        assert word in flat, word
    for caution in ("pest strips and foggers", "chrysalides in the refrigerator", "mold in the winter box"):
        assert f"caution: {caution}" in flat


def test_the_place_it_is_kept_brings_its_advice(run, tmp_path):
    """--kept adds what to look at in a refrigerator, a garage, a cellar."""
    path = daily_file(tmp_path, steady(34, 38))
    for kept, word in (("fridge", "away from the fan"), ("garage", "engine fumes"), ("cellar", "furnace")):
        _, out, _ = run("store", path, "--kept", kept)
        assert word in " ".join(out.split()), kept


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        (None, (), "missing"),
        ("", (), "empty"),
        ("number,species,formed\n1,monarch,2026-08-01\n", (), "header"),
        ("time,temp\n2026-12-01 00:00,3\n2026-12-01 06:00,3\n", (), "unit"),
        ("time,temperature (C)\n2026-12-01 00:00,x\n", (), "no number"),
        ("time,temperature (C)\n2026-12-01 00:00,3\n2026-12-01 06:00,3\n", (), "enough readings"),
        ("date,lowest (F),highest (F)\n2026-12-01,30,40\n2026-12-02,30,41\n", (), "too short"),
        ("date,lowest (F),highest (F)\n2026-12-01,30,40\n", ("--from", "2027-01-02", "--to", "2027-01-01"), "--from"),
        ("date,lowest (F),highest (F)\n2026-12-01,30,40\n", ("--plot", "plot.png"), ".svg"),
        ("date,lowest (F),highest (F)\n2026-12-01,30,40\n", ("--species", "monrach"), "monarch"),
    ],
)
def test_bad_use_is_one_clear_message(run, tmp_path, text, words, said):
    """A missing, empty, short or unreadable log, or options that do not fit: one line on standard error, exit 2."""
    path = tmp_path / "log.csv"
    if text is not None:
        path.write_text(text)
    code, out, err = run("store", path, *words)
    assert (code, out) == (2, ""), err
    assert len(err.strip().splitlines()) == 1
    assert said in err


def test_a_species_without_a_base_is_refused(ground_at, tmp_path):
    """Nothing is counted for a species when neither it nor a relative has a base."""
    with pytest.raises(BadInput, match="no opening warmth"):
        store.check(ground_at(None), logs.read(daily_file(tmp_path, steady(30, 40))), "monarch")
