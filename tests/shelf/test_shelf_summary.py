"""The register's summary says what each chrysalis does now, and counts the club's own times honestly."""

from datetime import date
from pathlib import Path
from statistics import median

import pytest

from handouts.shelf import register
from handouts.shelf.summary import own_times, summarize

HEAD = "number,species,formed,kept,moved,opened,lost,notes\n"
TEXT = HEAD + "\n".join(
    (
        "1,black swallowtail,2024-06-20,porch,,2024-07-02,,",
        "2,black swallowtail,2024-06-21,porch,,2024-07-01,,",
        "3,black swallowtail,2025-07-01,porch,,2025-07-15,,",
        "4,black swallowtail,2025-08-28,garage,2026-05-15,2026-05-24,,",
        "5,black swallowtail,2025-08-29,garage,2026-05-15,2026-05-26,,",
        "6,black swallowtail,2025-08-29,fridge,2026-05-10,2026-06-02,,",
        "7,black swallowtail,2025-09-02,fridge,2026-05-10,,,still firm",
        "8,black swallowtail,2026-08-25,garage,,,,",
        "9,black swallowtail,2026-09-05,garage,,,,",
        "10,monarch,2026-09-05,porch,,,,",
        "11,black swallowtail,2026-07-02,porch,,,2026-07-08,wasp",
        "12,black swallowtail,2024-08-30,porch,,,,",
        "13,black swallowtail,2026-07-20,porch,,,,",
        "14,black swallowtail,2025-06-20,porch,,2025-06-21,,slip of the pen",
    )
)


@pytest.fixture
def read(library):
    """The register above."""
    return register.parse(TEXT, Path("register.csv"), library)


def test_each_chrysalis_is_in_one_group(ground, read):
    """In September: a monarch is due, a July one is past its time, fall ones wait, old ones enter a second winter."""
    found = {item.row.number: item.state.status.value for item in summarize(ground, read, date(2026, 9, 10)).items}
    assert found == {
        "7": "second-winter",
        "8": "overwinters",
        "9": "overwinters",
        "10": "due",
        "12": "waits-longer",
        "13": "past-summer-time",
    }


def test_the_counts_add_up(ground, read):
    """Every row is closed, opened or lost, and every closed one has one status."""
    counts = summarize(ground, read, date(2026, 9, 10)).counts
    assert counts["rows"] == counts["closed"] + counts["opened"] + counts["lost"] == 14
    named = ("rows", "closed", "opened", "lost", "broken")
    assert counts["closed"] == sum(count for name, count in counts.items() if name not in named)


def test_own_times_are_counted_by_kind(ground, read):
    """Summer, one winter, and warmth to opening by place; n, range and median; a slip of the pen is left out."""
    times = {(one.id, one.kept): one for one in own_times(ground, read.rows)}
    summer = times["summer", None]
    assert (summer.n, summer.days, summer.middle, summer.period) == (3, (10, 12, 14), 12, "2024 to 2025")
    winter = times["winter", None]
    assert winter.days == (269, 270, 277)
    garage, fridge = times["warm-to-opening", "garage"], times["warm-to-opening", "refrigerator"]
    assert garage.days == (9, 11)
    assert garage.middle == median([9, 11])
    assert fridge.days == (23,)
    assert garage.compare == ("warm-to-opening.garage-may",)


def test_the_page_sets_own_times_beside_what_is_known(run, put, near_42):
    """Own records stand with n, period and place; beside them the published and the common figures, each marked."""
    path = put("register.csv", TEXT)
    code, out, err = run("shelf", "--register", path, "--place", f"{near_42},name=Test", "--today", "2026-09-10")
    assert code == 0, err
    flat = " ".join(out.split())
    assert "10 to 14 days, half of them by 12 days (our own records, n = 3, 2024 to 2025, Test)" in flat
    assert "9 to 18 days [common practice]" in flat
    assert "about 2 weeks (Kansas)" in flat
    assert "18 to 36 days in the spicebush swallowtail" in flat
    assert (
        "The shelf holds 6 closed chrysalides: 1 due this year, 3 waiting for a spring and 2 past the first spring."
        in flat
    )
    assert "Line 15, opened: it opened sooner than any is known to" in flat


def test_the_data_say_the_same(run_json, put, near_42):
    """The JSON has each closed row with its days, and each own time with what stands beside it."""
    data = run_json("shelf", "--register", put("register.csv", TEXT), "--place", near_42, "--today", "2026-09-10")
    due = next(row for row in data["rows"] if row["number"] == "10")
    assert (due["low"], due["high"]) == ("2026-09-13", "2026-09-20")
    summer = next(own for own in data["own_times"] if own["id"] == "summer")
    assert (summer["n"], summer["low"], summer["median"], summer["high"]) == (3, 10, 12.0, 14)
    assert summer["basis"] == "own-observation"
    assert {item["basis"] for item in summer["beside"]} == {"common-practice", "published"}
    assert {"strips-and-foggers", "food-safety-store", "moldy-store", "reared-release"} <= set(data["cautions"])


def test_without_a_place_only_days_are_judged(run, put):
    """No place: summer times are counted, no winter date is named, and the page says why."""
    code, out, _ = run("shelf", "--register", put("register.csv", TEXT), "--today", "2026-09-10")
    assert code == 0
    assert "No place was given" in out
    body = out[out.index("Waiting for spring") : out.index("Your own times")]
    assert "stop waiting from" not in body


def test_in_spring_the_moved_ones_are_due_by_their_own_move(run_json, put, near_42):
    """In May a chrysalis moved to warmth is due 2 to 4 weeks after its own move."""
    text = HEAD + "7,black swallowtail,2025-09-02,fridge,2026-05-10,,,"
    data = run_json("shelf", "--register", put("register.csv", text), "--place", near_42, "--today", "2026-05-20")
    (row,) = data["rows"]
    assert (row["status"], row["low"], row["high"]) == ("due-in-spring", "2026-05-24", "2026-06-07")


def test_an_empty_shelf_says_so(run, put):
    """A register whose chrysalides have all opened is no error."""
    text = HEAD + "1,black swallowtail,2024-06-20,porch,,2024-07-02,,"
    code, out, _ = run("shelf", "--register", put("register.csv", text), "--today", "2026-09-10")
    assert code == 0
    assert "Nothing on the register is still closed" in out


def test_what_does_not_winter_is_never_called_a_winter_one(run, run_json, put, near_42):
    """A monarch long closed is past its time; it is not counted as waiting and gets no winter place."""
    path = put("register.csv", HEAD + "1,monarch,2026-09-05,porch,,,,\n2,black swallowtail,2026-09-05,garage,,,,")
    words = ("shelf", "--register", path, "--today", "2026-10-20", "--place", near_42)
    assert [row["status"] for row in run_json(*words)["rows"]] == ["past-its-time", "overwinters"]
    _, out, _ = run(*words)
    flat = " ".join(out.split())
    assert "2 closed chrysalides: 1 waiting for a spring and 1 overdue." in flat
    monarchs = flat[flat.index("Past their time") : flat.index("Waiting for spring")]
    assert "No. 1 (monarch" in monarchs
    assert "does not pass the winter as a chrysalis" in monarchs
    assert "winter place" not in monarchs


def test_what_is_said_of_waiting_ones_follows_the_winter(run, put, near_42):
    """Before the move: where and by when. After it: keep looking, and when to bring them to warmth."""
    path = put("register.csv", HEAD + "1,black swallowtail,2026-09-05,garage,,,,")
    words = ("shelf", "--register", path, "--place", near_42, "--today")
    _, before, _ = run(*words, "2026-10-01")
    _, after, _ = run(*words, "2027-02-01")
    assert "Have them in their winter place" in before
    assert "Have them in their winter place" not in after
    assert "bring them back to warmth from early May to late May 2027" in " ".join(after.split())


def test_a_region_is_named_only_where_its_days_are_shown(run, put):
    """Days in spring may be borrowed from a region; a group that shows none of them does not name it."""
    path = put("register.csv", HEAD + "1,black swallowtail,2027-08-21,porch,,,,")
    words = (
        "shelf",
        "--register",
        path,
        "--place",
        "lat=39.2,lon=-86.4,last-freeze=04-24,first-freeze=10-22",
        "--today",
    )
    _, summer, _ = run(*words, "2027-09-02")
    _, winter, _ = run(*words, "2027-12-02")
    assert "by the season of" not in summer
    assert "Days in spring go by the season of Missouri." in winter
