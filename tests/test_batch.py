"""Seasons of many places: a broken row harms no other, both cores work, the output comes whole or not at all."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from handouts import batch, build
from handouts.errors import BadInput
from handouts.paths import content_dir

ROOT = Path(__file__).parent.parent
SERIES = ROOT / "tests" / "data" / "series"
WHERE = build.Folders(content_dir())
HEADER = "id,name,zone,latitude,longitude,last_freeze,first_freeze\n"
GOOD = "a,Elm Street,6a,42.1,-88.0,05-01,10-15\n"
Put = Callable[[str, str | bytes], Path]


@pytest.fixture
def put(tmp_path: Path) -> Put:
    """Write a small file and return its path."""

    def write(name: str, text: str | bytes) -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write


def lines(path: Path) -> list[dict[str, object]]:
    """The objects of a JSON lines file."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def test_a_row_gives_the_same_season_as_the_place_alone(put: Put, tmp_path: Path) -> None:
    """What the file gives for a place is what `handouts season --place` gives for it."""
    source, target = put("places.csv", HEADER + GOOD), tmp_path / "out.jsonl"
    counts = batch.seasons_file(source, target, WHERE, ["black-swallowtail", "monarch"], 2027)
    assert (counts.done, counts.refused) == (1, [])
    (found,) = lines(target)
    place = "name=Elm Street,zone=6a,lat=42.1,lon=-88.0,last-freeze=05-01,first-freeze=10-15"
    alone = build.seasons(WHERE, place, ["black-swallowtail", "monarch"], 2027)
    assert found["seasons"] == [season.to_json() for season in alone]
    assert (found["line"], found["id"], found["name"], found["refused"]) == (2, "a", "Elm Street", None)


def test_csv_has_a_row_for_each_window_with_the_documented_columns(put: Put, tmp_path: Path) -> None:
    """The columns are those of the field manual, and dates are ISO or empty."""
    source, target = put("places.csv", HEADER + GOOD), tmp_path / "out.csv"
    batch.seasons_file(source, target, WHERE, (), 2027)
    with target.open(encoding="utf-8", newline="") as stream:
        found = list(csv.DictReader(stream))
    assert tuple(found[0]) == batch.COLUMNS
    manual = (ROOT / "content" / "README.md").read_text(encoding="utf-8")
    for column in batch.COLUMNS:
        assert f"| `{column}` |" in manual[manual.index("## Many places") :]
    (season,) = build.seasons(WHERE, "lat=42.1,lon=-88.0,zone=6a,last-freeze=05-01,first-freeze=10-15", [], 2027)
    assert [row["window"] for row in found] == [window.id for window in season.windows]
    cold = next(row for row in found if row["window"] == "to-cold-by")
    assert (cold["low"], cold["high"], cold["basis"], cold["refused"]) == ("2027-10-22", "2027-11-19", "derived", "")


@pytest.mark.parametrize(
    ("row", "word"),
    [
        ("b,,6a,95,-88,05-01,10-15\n", "latitude is out of range"),
        ("b,,6z,42,-88,05-01,10-15\n", "no hardiness zone"),
        ("b,,6a,42,-88,02-30,10-15\n", "no day of the year"),
        ("b,,6a,42,-88,10-15,05-01\n", "first freeze comes before"),
        ("b,,6a,42\n", "4 columns, where the header has 7"),
        ("b,,6a,42,-88,05-01,10-15,more\n", "8 columns"),
        ('b,"open quote,6a,42,-88,05-01,10-15\n', "cannot be read"),
        ("b,,,,,,\n", "nothing is known of the place"),
        (b"b,Caf\xe9,6a,42,-88,05-01,10-15\n", "cannot be read"),
    ],
)
@pytest.mark.parametrize("ending", batch.ENDINGS)
def test_a_broken_row_is_refused_by_its_line_and_the_rest_done(
    row: str | bytes, word: str, ending: str, put: Put, tmp_path: Path
) -> None:
    """The row stands in the output as refused, with file, line and reason; rows before and after it have seasons."""
    data = HEADER.encode() + GOOD.encode() + (row if isinstance(row, bytes) else row.encode()) + GOOD.encode()
    source, target = put("places.csv", data), tmp_path / f"out{ending}"
    counts = batch.seasons_file(source, target, WHERE, (), 2027)
    assert counts.done == 2
    ((line, problem),) = counts.refused
    assert line == 3
    assert "places.csv:3: " in problem
    assert word in problem
    if ending == ".jsonl":
        found = lines(target)
        assert [bool(item["seasons"]) for item in found] == [True, False, True]
        assert found[1]["refused"] == problem
    else:
        with target.open(encoding="utf-8", newline="") as stream:
            refused = [item for item in csv.DictReader(stream) if item["refused"]]
        assert [(item["line"], item["refused"]) for item in refused] == [("3", problem)]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "no rows"),
        (HEADER, "no rows"),
        ("latitude,lattitude\n42,42\n", "no place key"),
        ("latitude,latitude\n42,42\n", "column twice"),
        ("latitude;longitude\n42;-88\n", "parted by commas"),
        ("latitude,\n42,\n", "no place key"),
        (b"\xff\xfel\x00a\x00", "no CSV table in UTF-8"),
        ("name\n" + "x" * 30_000 + "\n", "too long"),
    ],
)
def test_a_file_that_is_no_list_of_places_is_refused_whole(
    text: str | bytes, word: str, put: Put, tmp_path: Path
) -> None:
    """Nothing is written and the old output stays."""
    source, target = put("places.csv", text), put("out.csv", "old")
    with pytest.raises(BadInput, match=word):
        batch.seasons_file(source, target, WHERE)
    assert target.read_text() == "old"
    assert {path.name for path in tmp_path.iterdir()} == {"places.csv", "out.csv"}


def test_wrong_names_are_refused_before_any_work(put: Put, tmp_path: Path) -> None:
    """An unknown species, another ending, a missing file, the input as output: one refusal each."""
    source = put("places.csv", HEADER + GOOD)
    for target, species in ((tmp_path / "out.xlsx", ()), (source, ()), (tmp_path / "out.csv", ("black-swalowtail",))):
        with pytest.raises(Exception, match=r"form|replace the input|species|subject"):
            batch.seasons_file(source, target, WHERE, species)
    with pytest.raises(BadInput, match="missing"):
        batch.seasons_file(tmp_path / "none.csv", tmp_path / "out.csv", WHERE)
    assert source.read_text() == HEADER + GOOD


def test_a_byte_mark_blank_lines_and_short_names_are_understood(put: Put, tmp_path: Path) -> None:
    """Spreadsheet exports: a byte-order mark, CRLF, blank lines, lat and lon, trailing commas."""
    text = "\ufeffname,lat,lon,last-freeze,first-freeze\r\n\r\nElm,42.1,-88,05-01,10-15,,\r\n\r\n"
    source, target = put("places.csv", text), tmp_path / "out.jsonl"
    counts = batch.seasons_file(source, target, WHERE, (), 2027)
    assert (counts.done, counts.refused) == (1, [])
    assert lines(target)[0]["line"] == 3


def test_files_are_read_beside_the_list(put: Put, tmp_path: Path) -> None:
    """A daily file is named relative to the list; a missing one refuses its row only."""
    put("station.csv", (SERIES / "lincoln_2016_portal.csv").read_bytes())
    source = put(
        "places.csv", "name,latitude,longitude,daily\nLincoln,40.8,-96.7,station.csv\nNone,40.8,-96.7,no.csv\n"
    )
    counts = batch.seasons_file(source, tmp_path / "out.jsonl", WHERE, (), 2027)
    assert counts.done == 1
    assert "daily file is missing" in counts.refused[0][1]


def test_both_cores_give_the_same_bytes_in_the_same_order(put: Put, tmp_path: Path) -> None:
    """Two workers and one, on more rows than one chunk, with refused rows among them: equal files, rows in order."""
    rows = [f"p{at},,6a,{27 + at / 10:.1f},-88,04-{at % 28 + 1:02},10-{at % 28 + 1:02}\n" for at in range(150)]
    rows[70] = "p70,,6a,95,-88,05-01,10-15\n"
    source = put("places.csv", HEADER + "".join(rows))
    seen: list[tuple[int, int]] = []
    one = batch.seasons_file(source, tmp_path / "one.jsonl", WHERE, (), 2027, workers=1)
    two = batch.seasons_file(
        source, tmp_path / "two.jsonl", WHERE, (), 2027, lambda done, total: seen.append((done, total)), workers=2
    )
    assert (tmp_path / "one.jsonl").read_bytes() == (tmp_path / "two.jsonl").read_bytes()
    assert one == two
    assert [item["id"] for item in lines(tmp_path / "two.jsonl")] == [f"p{at}" for at in range(150)]
    assert seen[-1] == (150, 150)


def test_the_command_says_what_was_done_and_what_was_refused(put: Put, tmp_path: Path) -> None:
    """Exit 0 with refused rows named on standard error, nothing on standard output; half the options is bad usage."""
    source = put("places.csv", HEADER + GOOD + "b,,6a,95,-88,05-01,10-15\n")
    base = [sys.executable, "-m", "handouts", "season"]
    run = [*base, "--from", str(source), "--to", str(tmp_path / "out.csv"), "--species", "monarch"]
    done = subprocess.run(run, capture_output=True, text=True, check=False, cwd=tmp_path, env={**os.environ})
    assert (done.returncode, done.stdout) == (0, "")
    assert "places.csv:3" in done.stderr
    assert "1 place done, 1 refused" in done.stderr
    for options in (["--from", str(source)], [], ["--place", "zone=6a", "--from", str(source), "--to", "x.csv"]):
        bad = subprocess.run([*base, *options], capture_output=True, text=True, check=False, cwd=tmp_path)
        assert bad.returncode == 2
        assert "either --place, or --from and --to" in bad.stderr
