"""The routine: comments to drafts, drafts with a person's decisions to a final file, the log, the report."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from handouts.build import Folders
from handouts.cli import cli
from handouts.desk import Desk
from handouts.errors import BadContent, BadInput
from handouts.routine import report as reports
from handouts.routine.drafts import read_drafts, write_drafts
from handouts.routine.log import Log, log_folder, read_log
from handouts.routine.names import without_names
from handouts.routine.review import write_final
from tests.answer.conftest import HERE

COMMENTS = """Id,Author,Comment,Place,Date
a,A. Person,"Why did my caterpillar stop eating?
Thanks, Karen",,
b,,"Is it a boy or a girl, and how long will it live after we let it go?",zone=6a,2027-06-01
c,,=1+1 how do I get rid of japanese beetles,,
d,,my son ate a milkweed leaf,,
e,,Is my chrysalis dead?,,
f,,does my chrysalis need water,,
"""
TODAY = date(2027, 4, 3)


@pytest.fixture
def comments(tmp_path: Path) -> Path:
    """A list of comments as a spreadsheet saves it."""
    path = tmp_path / "comments.csv"
    path.write_text("\ufeff" + COMMENTS, encoding="utf-8")
    return path


@pytest.fixture
def club(tmp_path: Path) -> Path:
    """A club that keeps a log."""
    folder = tmp_path / "club"
    (folder / "questions").mkdir(parents=True)
    (folder / "club.yml").write_text("name: A club of the tests\ninvented: true\n", encoding="utf-8")
    return folder


def rows(path: Path) -> list[dict[str, str]]:
    """Read a CSV."""
    with path.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))


def decide(path: Path, change: Callable[[dict[str, str]], None], delimiter: str = ",") -> None:
    """Save the drafts again after a person changed some rows, with another delimiter if told."""
    found = rows(path)
    for row in found:
        change(row)
    with path.open("w", encoding="utf-8", newline="") as stream:
        table = csv.DictWriter(stream, list(found[0]), delimiter=delimiter)
        table.writeheader()
        table.writerows(found)


def draft(desk: Desk, comments: Path, ending: str = ".csv") -> Path:
    """Write drafts of the comments."""
    target = comments.with_name(f"drafts{ending}")
    write_drafts(desk, comments, target, place=None, length="brief", day=None)
    return target


@pytest.mark.parametrize("ending", [".csv", ".jsonl"])
def test_each_comment_gets_a_row_to_decide(desk: Desk, comments: Path, ending: str) -> None:
    """Drafts keep order, ids, words and places; nobody has decided yet; no other column comes along."""
    path = draft(desk, comments, ending)
    found = [item for _, item in read_drafts(path)]
    assert [item.id for item in found] == list("abcdef")
    assert {item.decision for item in found} == {""}
    assert found[0].entries == "not-eating"
    assert found[1].entries == "male-or-female life-span"
    assert (found[1].place, found[1].date) == ("zone=6a", "2027-06-01")
    assert (found[2].entries, found[2].reason) == ("", "other-field")
    assert found[3].refer.split()[0] == "poison-help"
    assert "A. Person" not in path.read_text(encoding="utf-8")


def test_a_formula_in_a_comment_is_not_run(desk: Desk, comments: Path) -> None:
    """A cell that a spreadsheet would run is marked, and comes back as it was typed."""
    path = draft(desk, comments)
    assert rows(path)[2]["question"].startswith("'=1+1")
    assert next(item for _, item in read_drafts(path) if item.id == "c").question.startswith("=1+1")


def test_a_draft_holds_both_answers_of_two_questions(desk: Desk, comments: Path) -> None:
    """A comment with two questions keeps both brief answers whole."""
    item = next(item for _, item in read_drafts(draft(desk, comments)) if item.id == "b")
    parts = desk.reply(item.question, "zone=6a", "brief", date(2027, 6, 1)).parts
    assert len(parts) == 2
    assert item.answer == "\n\n".join(part.answer for part in parts)


def decisions(row: dict[str, str]) -> None:
    """Decide all rows but the last."""
    row["decision"] = {"a": "accept", "b": "E", "c": "Skip", "d": "a", "e": "edit", "f": ""}[row["id"]]
    if row["id"] == "b":
        row["answer"] = "Look at the wings. Clean the cage with bleach."
    if row["id"] == "e":
        row["entries"] = "chrysalis-wiggles"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_final_file_holds_what_was_decided(desk: Desk, comments: Path, delimiter: str) -> None:
    """Accepted and edited rows come out in order, skipped and undecided ones do not; another entry brings its words."""
    path = draft(desk, comments)
    before = {row["id"]: row["answer"] for row in rows(path)}
    decide(path, decisions, delimiter)
    target = comments.with_name("final.csv")
    counts = write_final(desk, path, target)
    final = {row["id"]: row for row in rows(target)}
    assert list(final) == ["a", "b", "d", "e"]
    assert (counts.accepted, counts.edited, counts.skipped, counts.undecided) == (2, 2, 1, 1)
    assert final["a"]["answer"] == before["a"]
    assert final["e"]["answer"] == desk.chosen(["chrysalis-wiggles"], None, "brief", None).answer
    assert final["e"]["entries"] == "chrysalis-wiggles"


def test_a_caution_cannot_be_edited_away(desk: Desk, comments: Path) -> None:
    """An edited answer gets back the caution of its draft, and that of what it newly names; one kept is not doubled."""
    path = draft(desk, comments)
    target = comments.with_name("final.jsonl")

    def change(row: dict[str, str]) -> None:
        row["decision"] = "skip"
        if row["id"] == "a":
            assert row["cautions"] == "pesticide-residue"
            row.update(decision="edit", answer="Wait two days. Wash the cage with bleach.")
        if row["id"] == "f":
            row.update(decision="edit", answer=row["answer"].replace("They do not drink", "No: they do not drink"))

    decide(path, change)
    counts = write_final(desk, path, target)
    final = {row["id"]: row["answer"] for row in map(json.loads, target.read_text(encoding="utf-8").splitlines())}
    short = {name: " ".join(caution.short.split()) for name, caution in desk.base.library.cautions.items()}
    assert short["pesticide-residue"] in final["a"]
    assert short["bleach"] in final["a"]
    assert final["f"].count(short["moldy-store"]) == 1
    assert len(counts.added) == 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"decision": "perhaps"}, "no such decision"),
        ({"decision": "edit"}, "as it was"),
        ({"decision": "accept", "answer": "  "}, "answer is empty"),
        ({"decision": "edit", "entries": "no-such-entry"}, "no answer"),
        ({"decision": "edit", "entries": ""}, "no entry is named"),
    ],
)
def test_a_row_that_does_not_fit_is_named_with_its_line(
    desk: Desk, comments: Path, change: dict[str, str], words: str
) -> None:
    """Nothing is written when a decision cannot be understood."""
    path = draft(desk, comments)
    decide(path, lambda row: row.update(change) if row["id"] == "b" else None)
    target = comments.with_name("final.csv")
    with pytest.raises(BadInput, match=words) as caught:
        write_final(desk, path, target)
    assert caught.value.line is not None
    assert caught.value.line >= 3
    assert not target.exists()


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.csv", "", "empty"),
        ("a.csv", "who,when\nx,y\n", "no column of comments"),
        ("a.csv", 'text\n"open', "no CSV"),
        ("a.jsonl", "{", "not JSON"),
    ],
)
def test_a_bad_list_of_comments_is_refused(desk: Desk, tmp_path: Path, name: str, text: str, words: str) -> None:
    """A list that cannot be read stops with one message, and leaves no file."""
    source = tmp_path / name
    source.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=words):
        write_drafts(desk, source, tmp_path / "drafts.csv", place=None, length="brief", day=None)
    assert sorted(path.name for path in tmp_path.iterdir()) == [name]


def test_the_log_is_kept_where_the_club_wants_one(desk: Desk, comments: Path, club: Path) -> None:
    """Decided rows are noted once, also when the file is finished again; names are not."""
    path = draft(desk, comments)
    decide(path, decisions)
    folder = log_folder(club)
    assert folder is not None
    for _ in range(2):
        with Log(folder, TODAY, desk.base.vocabulary) as log:
            write_final(desk, path, comments.with_name("final.csv"), log)
    found = list(read_log(folder))
    assert [row.decision for row in found] == ["accept", "edit", "skip", "accept", "edit"]
    assert "Karen" not in (folder / "2027-04.jsonl").read_text(encoding="utf-8")
    assert found[4].entries == ("chrysalis-wiggles",)
    assert found[4].drafted == ("alive-or-dead",)
    assert [row.answered for row in found] == [True, True, False, False, True]


def test_no_folder_no_log(club: Path) -> None:
    """A club without the folder keeps no log, and its report is refused with the way to begin."""
    (club / "questions").rmdir()
    assert log_folder(club) is None
    done = CliRunner().invoke(cli, ["--club", str(club), "answer", "--report"])
    assert isinstance(done.exception, BadInput)
    assert "questions" in str(done.exception)


def test_a_failed_run_leaves_the_log_as_it_was(desk: Desk, comments: Path, club: Path) -> None:
    """When a row is refused, neither the final file nor the log has changed."""
    path = draft(desk, comments)
    decide(path, lambda row: row.update(decision="maybe" if row["id"] == "d" else "accept"))
    folder = club / "questions"
    with pytest.raises(BadInput), Log(folder, TODAY, desk.base.vocabulary) as log:
        write_final(desk, path, comments.with_name("final.csv"), log)
    assert list(folder.iterdir()) == []


def test_the_commands_note_and_report(club: Path, tmp_path: Path) -> None:
    """A single answer and a file are noted; the report counts them; --json gives the same as data."""
    runner, there = CliRunner(), ["--club", str(club), "--today", "2027-05-02"]
    source = tmp_path / "in.csv"
    source.write_text("text\nIs my chrysalis dead?\nIs my chrysalis alive or dead?\nhow to fix a carburetor\n")
    for command in (
        ["answer", "Is my chrysalis dead?"],
        ["answer", "--from", str(source), "--to", str(tmp_path / "out.jsonl")],
    ):
        done = runner.invoke(cli, [*there, *command], obj={})
        assert done.exit_code == 0, done.exception
    done = runner.invoke(cli, [*there, "--json", "answer", "--report"], obj={})
    data = json.loads(done.stdout)
    assert (data["questions"], data["answered"]) == (4, 3)
    assert data["asked_most"][0] == {
        "entry": "alive-or-dead",
        "question": "My chrysalis has not opened. Is it alive or dead?",
        "count": 3,
    }
    assert data["no_answer"][0]["examples"] == ["how to fix a carburetor"]
    assert data["make_next"][0]["entry"] == "alive-or-dead"
    page = runner.invoke(cli, [*there, "answer", "--report"], obj={}).stdout
    assert "4 questions (2027-05-02), 3 answered (75 %)" in page


def test_the_report_names_entries_that_mislead(desk: Desk, club: Path) -> None:
    """An entry whose drafts were often changed, replaced or skipped is named; one changed now and then is not."""
    with Log(club / "questions", TODAY, desk.base.vocabulary) as log:
        for number in range(10):
            bad = number < 4
            log.add(
                "x",
                ["life-span"],
                drafted=["life-span"],
                decision="edit" if number == 0 else "accept",
                edited=number == 0,
            )
            log.add("y", ["oe-parasite"] if bad else ["wandering"], drafted=["wandering"], decision="edit", edited=bad)
    report = reports.make_report(club, desk.base)
    assert report.misleading() == ["wandering"]
    assert report.replaced["wandering"] == 4


@pytest.mark.parametrize(
    "options",
    [
        ["--from", "a.csv"],
        ["--to", "b.csv"],
        ["--drafts", "d.csv"],
        ["--report", "--from", "a.csv"],
        ["why", "--from", "a.csv", "--to", "b.jsonl"],
        [],
    ],
)
def test_options_that_do_not_go_together_are_refused(options: list[str]) -> None:
    """Each form of the command stands alone."""
    done = CliRunner().invoke(cli, ["answer", *options], obj={})
    assert isinstance(done.exception, BadInput)


@pytest.mark.parametrize(
    ("text", "gone", "stays"),
    [
        ("my name is karen from ohio, is it dead", "karen", "ohio"),
        ("Hi Barbara, my caterpillar is black. Thanks, Lou Ann", "Lou", "caterpillar is black"),
        ("My grandson Tyler found a caterpillar in Virginia", "Tyler", "found a caterpillar in Virginia"),
        ("Mrs. Oldfield sprayed her roses", "Oldfield", "sprayed her roses"),
        ("write to me at kay.o@example.org or 555-123-4567", "kay.o@example.org", "write to me"),
        ("I live at 42 Maple Grove Rd. Is it too cold?", "Maple", "Is it too cold?"),
        ("@birdlady99 is this a Black Swallowtail?", "birdlady99", "Black Swallowtail"),
        ("we showed it to Dorothea and she said Monarch", "Dorothea", "Monarch"),
        ("Is rue safe? Asking for my sister Rue in New York", "sister Rue", "in New York"),
        ("see https://example.org/kay for the picture", "example.org", "for the picture"),
        ("In July my parsley bolted. On Monday I sowed Zinnias and Fennel", "[name]", "Fennel"),
    ],
)
def test_names_do_not_reach_the_log(desk: Desk, text: str, gone: str, stays: str) -> None:
    """Names, addresses and numbers to call are taken out; species, plants, states and months stay."""
    vocabulary = desk.base.vocabulary
    plain = without_names(text, vocabulary.speller.known, vocabulary.areas)
    assert gone not in plain
    assert stays in plain


def test_an_entry_names_the_clubs_own_video(club: Path) -> None:
    """The club's list of videos and sheets names them in the answer: with the link in writing, without it aloud."""
    (club / "shows.yml").write_text(
        "alive-or-dead: {title: Is it alive? (our video), link: https://example.org/v}\n", encoding="utf-8"
    )
    desk = Desk(Folders(HERE.content, club))
    text = "Is my chrysalis dead?"
    assert (
        "To see it: Is it alive? (our video), https://example.org/v." in desk.reply(text, None, "standard", None).answer
    )
    spoken = desk.reply(text, None, "spoken", None).answer
    assert "Is it alive? (our video)." in spoken
    assert "https" not in spoken
    assert len(desk.reply(text, None, "brief", None).answer.split()) <= 90


@pytest.mark.parametrize("line", ["no-such-entry: {title: x x x}", "life-span: {title: ok ok, link: javascript:x}"])
def test_a_wrong_line_in_the_list_of_videos_is_named(club: Path, line: str) -> None:
    """An unknown entry or an unsafe link is refused with its place."""
    (club / "shows.yml").write_text(line + "\n", encoding="utf-8")
    with pytest.raises(BadContent) as caught:
        Desk(Folders(HERE.content, club))
    assert caught.value.file == club / "shows.yml"
