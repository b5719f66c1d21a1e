"""The register is read as a spreadsheet leaves it; a broken row is named by its line and costs no other row."""

import random
import time
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.errors import BadInput
from handouts.shelf import register
from handouts.shelf.register import COLUMNS

HEAD = ",".join(COLUMNS)


@pytest.fixture
def parse(library):
    """Read a register from text."""

    def made(text, today=None):
        return register.parse(text, Path("register.csv"), library, today)

    return made


def rows(*lines):
    return "\n".join((HEAD, *lines)) + "\n"


def test_a_plain_register_is_read(parse):
    """All eight columns come through, and species are known by id, common name and scientific name."""
    read = parse(
        rows(
            "1,black-swallowtail,2026-08-20,garage,2026-11-01,,,on a stick",
            "2,Black swallowtails,2026-06-20,,,2026-07-02,,",
            "3,Papilio polyxenes,2026-06-21,,,,2026-06-30,wasp",
        )
    )
    assert not read.problems
    assert [row.species for row in read.rows] == ["black-swallowtail"] * 3
    first = read.rows[0]
    assert (first.line, first.number, first.kept, first.notes) == (2, "1", "garage", "on a stick")
    assert first.moved == date(2026, 11, 1)
    assert first.closed
    assert not read.rows[1].closed
    assert not read.rows[2].closed


@pytest.mark.parametrize("sign", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_what_spreadsheets_write_is_read(library, put, sign, mark, end):
    """Commas, semicolons or tabs, with or without a byte-order mark, either line end; other columns are let alone."""
    lines = ["Number;Shelf;SPECIES;formed", "7;left;monarch;2026-08-01"]
    path = put("register.csv", mark + end.join(line.replace(";", sign) for line in lines) + end)
    read = register.read(path, library)
    assert [(row.number, row.species, row.formed) for row in read.rows] == [("7", "monarch", date(2026, 8, 1))]


@pytest.mark.parametrize(
    ("text", "day"),
    [("2026-08-25", date(2026, 8, 25)), ("8/25/2026", date(2026, 8, 25)), ("08/08/2026", date(2026, 8, 8))],
)
def test_days_that_mean_one_day_are_read(parse, text, day):
    """ISO days, and month/day/year where it can be nothing else; the page says how the latter were read."""
    read = parse(rows(f"1,monarch,{text},,,,,"))
    assert read.rows[0].formed == day
    assert bool(read.notes) == ("/" in text)
    if read.notes:
        assert text in read.notes[0]
        assert day.isoformat() in read.notes[0]


@pytest.mark.parametrize(
    "text", ["8/9/2026", "25/8/2026", "8/25/26", "2026-02-30", "2/30/2026", "46259", "August 25", "0206-08-25"]
)
def test_days_that_could_mean_two_or_none_are_refused(parse, text):
    """An ambiguous, impossible or unreadable day costs its own row, which is named with its line."""
    read = parse(rows("1,monarch,2026-08-01,,,,,", f"2,monarch,{text},,,,,"))
    assert [row.number for row in read.rows] == ["1"]
    (problem,) = read.problems
    assert (problem.line, problem.column, problem.found) == (3, "formed", text)
    assert problem.expected


def test_the_rest_of_the_file_settles_an_open_day_and_says_so(parse):
    """8/9/2026 is read month first once another day of the file shows that order, never when one shows the other."""
    lines = ["1,monarch,8/25/2026,,,,,", "2,monarch,8/9/2026,,,,,"]
    read = parse(rows(*lines))
    assert [row.formed for row in read.rows] == [date(2026, 8, 25), date(2026, 8, 9)]
    assert "other dates of the file" in read.notes[1]
    mixed = parse(rows(*lines, "3,monarch,25/8/2026,,,,,"))
    assert [row.number for row in mixed.rows] == ["1"]
    assert [problem.line for problem in mixed.problems] == [3, 4]


@pytest.mark.parametrize(
    ("line", "column", "word"),
    [
        ("2,monarch,2026-08-10,,,2026-08-01,,", "opened", "before"),
        ("2,monarch,2026-08-10,,,,2026-08-01,", "lost", "before"),
        ("2,monarch,2026-08-10,,2026-08-01,,,", "moved", "before"),
        ("2,monarch,2026-08-10,,2026-08-30,2026-08-20,,", "opened", "before"),
        ("2,monarch,2026-08-10,,,2026-08-20,2026-08-21,", "lost", "both"),
        ("2,monark,2026-08-10,,,,,", "species", "not known"),
        ("2,,2026-08-10,,,,,", "species", "missing"),
        (",monarch,2026-08-10,,,,,", "number", "missing"),
        ("1,monarch,2026-08-10,,,,,", "number", "twice"),
        ("2,monarch,,,,,,", "formed", "missing"),
        ("2,monarch,2026-08-10,,,,,a note, with a comma", None, "columns"),
        ('2,"monarch,2026-08-10,,,,,', None, "columns"),
        ("2,monarch,2027-01-10,,,,,", "formed", "ahead"),
    ],
)
def test_a_broken_row_is_named_by_line_and_the_rest_is_read(parse, line, column, word):
    """Days out of order, unknown species, a number twice, an open quotation mark: one row lost, the others kept."""
    text = rows("1,monarch,2026-08-01,,,,,", line, "3,monarch,2026-08-03,,,,,", "4,monarch,2026-08-04,,,,,")
    read = parse(text, date(2026, 12, 31))
    assert [row.number for row in read.rows] == ["1", "3", "4"]
    (problem,) = read.problems
    assert (problem.line, problem.column, problem.level) == (3, column, "error")
    assert word in problem.says
    assert read.errors == 1


def test_a_near_name_is_offered(parse):
    """A misspelled species names the nearest one."""
    assert parse(rows("1,blak swallowtail,2026-08-10,,,,,")).problems[0].expected == "black swallowtail"


def test_notes_may_run_over_lines_and_hold_inch_marks(parse):
    """A quoted note of two lines is one row; a quotation mark inside a word opens nothing."""
    read = parse(
        rows(
            '1,monarch,2026-08-01,,,,,"two,\nlines"',
            '2,monarch,2026-08-02,3" pot,,,,5" stick',
            "3,monarch,2026-08-03,,,,,",
        )
    )
    assert not read.problems
    assert [row.line for row in read.rows] == [2, 4, 5]
    assert read.rows[1].kept == '3" pot'


def test_a_row_that_opened_at_once_is_read_with_a_warning(parse):
    """An opening a day after forming is a slip of the pen: the row stays, the warning names it."""
    read = parse(rows("1,monarch,2026-08-01,,,2026-08-02,,"))
    assert len(read.rows) == 1
    assert [(item.level, item.line) for item in read.problems] == [("warning", 2)]
    assert read.errors == 0


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("number,species\n1,monarch\n", "formed"),
        ("number,species,formed,formed\n1,monarch,2026-08-01,2026-08-01\n", "twice"),
    ],
)
def test_a_file_that_is_no_register_is_refused(parse, text, word):
    """An empty file, a missing or doubled column: one clear refusal."""
    with pytest.raises(BadInput, match=word):
        parse(text)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(alphabet='12,;"/-monarch2026\t ', max_size=40), max_size=12))
def test_any_rows_are_either_read_or_named(library, lines):
    """Whatever stands in a row, no row disappears: it is read or a problem names its line; good rows stay."""
    text = rows("a,monarch,2026-08-01,,,,,", *lines, "z,monarch,2026-08-02,,,,,")
    read = register.parse(text, Path("register.csv"), library)
    assert {"a", "z"} <= {row.number for row in read.rows}
    told = {row.line for row in read.rows} | {problem.line for problem in read.problems}
    assert {raw.line for raw in read.raw} == told
    assert read.rows[0].number == "a"


def test_nothing_is_written_to_the_register(run, put):
    """Reading leaves the file as it is; a clean copy is made only when asked for."""
    text = rows("1,Monarch,8/25/2026,,,,,x", "2,monark,2026-08-01,,,,,")
    path = put("register.csv", text)
    code, _, _ = run("shelf", "--register", path, "--today", "2026-09-10")
    assert code == 0
    assert path.read_text() == text
    assert sorted(item.name for item in path.parent.iterdir()) == ["register.csv"]


def test_a_clean_copy_keeps_broken_rows_and_reads_the_same(run, put, library, tmp_path):
    """--tidy writes plain days and species ids, keeps other columns and broken rows, and changes no meaning."""
    path = put("register.csv", f"{HEAD},shelf\n1,Monarch,8/25/2026,,,,,x,left\n2,monark,2026-08-01,,,,,,right\n")
    code, _, err = run("shelf", "--register", path, "--today", "2026-09-10", "--tidy", tmp_path / "clean.csv")
    assert code == 0, err
    clean = (tmp_path / "clean.csv").read_text()
    assert clean.splitlines() == [f"{HEAD},shelf", "1,monarch,2026-08-25,,,,,x,left", "2,monark,2026-08-01,,,,,,right"]
    before, after = register.read(path, library), register.read(tmp_path / "clean.csv", library)
    assert before.rows == after.rows
    assert before.problems == after.problems
    assert register.tidied(after) == clean


def test_strict_stops_at_a_broken_row(run, put):
    """--strict exits 1 when a row could not be read, after printing all the same."""
    path = put("register.csv", rows("1,monarch,2026-08-01,,,,,", "2,monark,2026-08-01,,,,,"))
    code, out, _ = run("shelf", "--register", path, "--today", "2026-08-10", "--strict")
    assert code == 1
    assert "Line 3, species" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("shelf",), "there is no register"),
        (("shelf", "--register", "none.csv"), "missing"),
        (("shelf", "--register", "binary.csv"), "UTF-8"),
        (("outlook", "--register", "none.csv"), "missing"),
        (("shelf", "--register", "register.csv", "--today", "tomorrow"), "--today"),
        (("shelf", "--register", "register.csv", "--out", "page.doc"), ".txt"),
    ],
)
def test_bad_use_is_one_clear_message(run, put, words, said):
    """A missing or unreadable register, a bad day, a bad ending: one line on standard error, exit 2."""
    put("binary.csv", b"number,species,formed\n\xff\xfe,monarch,2026-08-01\n")
    put("register.csv", rows("1,monarch,2026-08-01,,,,,"))
    code, out, err = run(*words)
    assert code == 2
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    assert said in err


def test_the_clubs_own_register_is_found(run, tmp_path):
    """Without --register the club's folder is looked in, and its place is used."""
    (tmp_path / "club.yml").write_text("name: Test club\nplace: garden\n")
    (tmp_path / "places").mkdir()
    (tmp_path / "places" / "garden.yml").write_text("name: Test garden\nzone: 6a\n")
    (tmp_path / "register.csv").write_text(rows("1,black swallowtail,2026-06-20,,,,,"))
    code, out, err = run("shelf", "--today", "2026-06-25")
    assert code == 0, err
    assert "Test garden" in out
    code, out, err = run("outlook")
    assert code == 0, err
    assert "No. 1 (black swallowtail" in out


def test_a_log_from_elsewhere_does_not_lose_the_club(run, tmp_path, tmp_path_factory):
    """A logger's file on another disk is read with the place of the club one works in."""
    (tmp_path / "club.yml").write_text("name: Test club\nplace: garden\n")
    (tmp_path / "places").mkdir()
    (tmp_path / "places" / "garden.yml").write_text("name: Test garden\nzone: 6a\n")
    log = tmp_path_factory.mktemp("stick") / "log.csv"
    days = [f"2026-12-{day:02},30,40" for day in range(1, 20)]
    log.write_text("\n".join(["date,lowest (°F),highest (°F)", *days]))
    code, out, err = run("store", log)
    assert code == 0, err
    assert "Test garden" in out


def big_register(count):
    """A register of `count` rows over four summers."""
    dice = random.Random(7)
    lines = []
    for number in range(count):
        formed = date(dice.choice([2023, 2024, 2025, 2026]), dice.choice([6, 7, 8, 9]), dice.randint(1, 28))
        opened = (formed + timedelta(days=dice.randint(9, 18))).isoformat() if dice.random() < 0.5 else ""
        kept = dice.choice(["garage", "porch", "fridge", ""])
        lines.append(f'{number},black swallowtail,{formed},{kept},,{opened},,"note, {number}"')
    return rows(*lines)


def test_ten_thousand_rows_take_under_two_seconds(run, put, near_42):
    """Reading, judging and printing a register of 10,000 rows stays under two seconds of computing."""
    path = put("register.csv", big_register(10_000))
    start = time.process_time()
    code, out, err = run("shelf", "--register", path, "--place", near_42, "--today", "2026-10-15")
    spent = time.process_time() - start
    assert code == 0, err
    assert "10,000 chrysalides" in out
    assert spent < 2.0, f"{spent:.2f} s"
