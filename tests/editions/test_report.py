"""The volunteer report: entered once, a row and a page; sums only, appended only when asked, nothing half-written."""

from __future__ import annotations

import csv
import io
import json

import pytest

from handouts.editions import report
from tests.editions.conftest import copy_of_demo
from tests.editions.test_status import pages_of

AFTER = """\
date: 2027-09-18
hours: 3
travel: 1.5
preparation: 4
contacts: 21
groups: {adults: 15, youth: 6}
tallies:
  - {item: 1, before: [4, 6, 3, 2, 0], now: [0, 1, 3, 7, 4]}
  - {item: "I feel ready.", before: [1, 0, 0, 0, 1], now: [0, 0, 0, 0, 2]}
  - {item: 4, intents: {very: 11, somewhat: 3, not: 1}}
  - {item: I will tell a friend., intents: {yes: 9, maybe: 4, no: 2}}
"""


@pytest.fixture
def demo(tmp_path):
    """A copy of the demo with what was counted after its event."""
    root = copy_of_demo(tmp_path / "demo")
    (root / "club" / "after.yml").write_text(AFTER, encoding="utf-8")
    return root


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_hours_people_and_tallies_give_the_row(demo, run):
    """Sums and means of the row, counted by hand: 33 of 15 before, 59 of 15 now, two answers more."""
    code, out, _ = run("report", demo / "event.yml")
    assert code == 0
    (row,) = rows(out)
    assert tuple(row) == report.COLUMNS
    assert row["total_hours"] == "8.5"
    assert (row["contacts"], row["groups"], row["responses"]) == ("21", "adults 15; youth 6", "15")
    before = (1 * 4 + 2 * 6 + 3 * 3 + 4 * 2 + 1 + 5) / 17
    now = (2 * 1 + 3 * 3 + 4 * 7 + 5 * 4 + 5 * 2) / 17
    assert (row["before_mean"], row["now_mean"]) == (f"{before:.2f}", f"{now:.2f}")
    assert [row[f"plan_{name}"] for name in ("yes", "maybe", "no")] == ["20", "7", "3"]
    assert not list(demo.glob("*.csv"))


def test_options_stand_in_for_the_file(demo, run):
    """Hours and people from the command line win over the file, and are enough without one."""
    (row,) = rows(run("report", demo / "event.yml", "--contacts", "30", "--hours", "2")[1])
    assert (row["contacts"], row["hours"], row["travel"]) == ("30", "2", "1.5")
    (demo / "club" / "after.yml").unlink()
    (row,) = rows(run("report", demo / "event.yml", "--contacts", "30")[1])
    assert (row["contacts"], row["hours"], row["responses"]) == ("30", "", "")
    code, out, err = run("report", demo / "event.yml")
    assert (code, out) == (2, "")
    assert "after.yml" in err


def test_rows_are_appended_once_and_only_when_asked(demo, run):
    """The first run makes the file, another event adds a row, the same event is refused with its line."""
    target = demo / "reports.csv"
    assert run("report", demo / "event.yml", "--append", target)[0] == 0
    before = target.read_bytes()
    code, out, err = run("report", demo / "event.yml", "--append", target)
    assert (code, out) == (2, "")
    assert "reports.csv:2:" in err
    assert target.read_bytes() == before
    text = (demo / "event.yml").read_text(encoding="utf-8")
    (demo / "other.yml").write_text(text.replace("2027-09-18", "2027-10-02"), encoding="utf-8")
    (demo / "club" / "after.yml").write_text(AFTER.replace("2027-09-18", "2027-10-02"), encoding="utf-8")
    assert run("report", demo / "other.yml", "--append", target)[0] == 0
    assert target.read_bytes().startswith(before)
    assert [row["date"] for row in rows(target.read_text(encoding="utf-8"))] == ["2027-09-18", "2027-10-02"]
    target.write_text("name,hours\nx,1\n", encoding="utf-8")
    code, _, err = run("report", demo / "other.yml", "--append", target, "--out", demo / "page.html")
    assert code == 2
    assert "other columns" in err
    assert target.read_text(encoding="utf-8") == "name,hours\nx,1\n"
    assert not (demo / "page.html").exists()


def test_no_cell_can_be_taken_for_a_formula():
    """A title that begins like a formula is set apart for spreadsheets."""
    row = dict.fromkeys(report.COLUMNS, "") | {"event": "=HYPERLINK(1)"}
    assert rows(report.as_csv(row))[0]["event"] == "'=HYPERLINK(1)"


def test_the_summary_is_one_page_with_every_figure_a_claim(demo, run):
    """One page that names sums and means and the caution its items ask for, and no person."""
    code, _, err = run("report", demo / "event.yml", "--out", demo / "page.pdf")
    assert code == 0, err
    (page,) = pages_of(demo / "page.pdf")
    words = " ".join(page.split())
    for part in ("Volunteer hours: 8.5", "People reached: 21 (15 adults, 6 youth)", "+1.7", "Take care"):
        assert part in words, part
    assert run("report", demo / "event.yml", "--out", demo / "page.html", "--json")[0] == 0
    from handouts import build

    found = build.inspect([demo / "page.html"], build.folders(None, demo / "club"))
    assert not [item for item in found if item.level == "error"], "\n".join(map(str, found))


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("date: 2027-09-18", "date: 2026-09-18", None, "another event"),
        ("hours: 3", "hours: -3", 2, "hours"),
        ("contacts: 21", "contacts: some", 5, "contacts"),
        ("youth: 6", "youth: 60", 6, "they add up to 75"),
        ("hours: 3", "names: [Ana]", 2, "names"),
        ("[4, 6, 3, 2, 0]", "[4, 6, 3, 2]", 8, "5 counts"),
        ("item: 1", "item: 99", 8, "no evaluation item 99"),
        ("item: 4, intents: {very: 11", "item: 4, intents: {perhaps: 11", 10, "perhaps"),
        ("item: 4", "item: 1", 10, "twice"),
    ],
)
def test_bad_tallies_are_refused_with_their_line(old, new, line, said, demo, run):
    """One message, exit code 2, nothing printed and nothing written."""
    path = demo / "club" / "after.yml"
    assert old in AFTER
    path.write_text(AFTER.replace(old, new, 1), encoding="utf-8")
    code, out, err = run("report", demo / "event.yml", "--append", demo / "r.csv", "--out", demo / "p.html")
    assert (code, out) == (2, "")
    assert len(err.strip().splitlines()) == 1
    assert said in err
    assert line is None or f"after.yml:{line}:" in err, err
    assert not list(demo.glob("r.csv"))
    assert not list(demo.glob("p.html"))


def test_json_gives_row_and_tallies(demo, run):
    """The JSON holds the row's columns and each item's answers."""
    data = json.loads(run("report", demo / "event.yml", "--json")[1])
    assert tuple(data["row"]) == report.COLUMNS
    assert [tally["answers"] for tally in data["tallies"]] == [15, 2, 15, 15]
