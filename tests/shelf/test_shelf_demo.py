"""The demo club's register, winter log and counts are read without a problem, and are marked as invented."""

import shutil
from pathlib import Path

from tests.shelf.conftest import ROOT

CLUB = ROOT / "demo" / "club"


def test_the_demos_register_has_something_of_each_sort(run_json):
    """Due, past its time, waiting, a second winter, own times; no row is broken; every row says that it is invented."""
    data = run_json("shelf", "--club", CLUB, "--today", "2027-09-18")
    statuses = {row["status"] for row in data["rows"]}
    assert statuses == {"due", "past-summer-time", "overwinters", "second-winter"}
    assert data["problems"] == []
    assert {own["id"] for own in data["own_times"]} == {"summer", "winter", "warm-to-opening"}
    rows = (CLUB / "register.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert all("invented" in row for row in rows)


def test_the_demos_log_has_a_thaw_to_find(run_json, run):
    """The shed is watched for its one thaw; the file's name says on the page that it is invented."""
    path = CLUB / "shed-winter-invented.csv"
    data = run_json("store", path)
    assert data["verdict"] == "watch"
    assert len(data["winter"]["thaws_then_freeze"]) == 1
    assert "shed-winter-invented.csv" in run("store", path)[1]


def test_trying_the_demo_leaves_its_club_as_it_was(run, tmp_path):
    """Reading commands write nothing into the club's folder."""
    club = tmp_path / "demo" / "club"
    shutil.copytree(CLUB, club)
    event = Path(shutil.copy(ROOT / "demo" / "event.yml", tmp_path / "demo"))
    before = {path: path.read_bytes() for path in club.rglob("*") if path.is_file()}
    for words in (
        ("shelf", "--club", club, "--today", "2027-09-18"),
        ("outlook", "--club", club),
        ("store", club / "shed-winter-invented.csv"),
        ("report", event),
    ):
        code, _, err = run(*words)
        assert code == 0, err
    assert {path: path.read_bytes() for path in club.rglob("*") if path.is_file()} == before
