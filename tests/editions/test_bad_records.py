"""Bad records and bad words on the command line: one message with file and line, exit code 2, nothing half-written."""

from __future__ import annotations

import shutil

import pytest

from tests.editions.conftest import copy_of_demo

ENTRY = """\
title: A video
link: https://example.org/v
date: 2026-05-01
kind: video
states:
  - {fact: black-swallowtail.pupa.summer, shown: 9 to 18 days}
  - {fact: black-swallowtail.instars, value: 5}
"""


@pytest.fixture
def demo(tmp_path):
    """A copy of the demo whose club keeps editions, with one video entered."""
    root = copy_of_demo(tmp_path / "demo")
    folder = root / "club" / "editions" / "outside"
    folder.mkdir()
    (folder / "a-video.yml").write_text(ENTRY, encoding="utf-8")
    return root


def refused(answer):
    code, out, err = answer
    assert (code, out) == (2, ""), err
    assert "Traceback" not in err
    assert len(err.strip().splitlines()) == 1, err
    return err


def test_the_entry_as_it_stands_is_read(demo, run):
    """The entry that the cases below break is fine itself."""
    assert run("recall", "--club", demo / "club")[:2] == (0, "")


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("kind: video", "kind: film", 4, "video"),
        ("date: 2026-05-01", "date: soon", 3, "soon"),
        ("title: A video", "titel: A video", 1, "title"),
        ("link: https", "links: https", 2, "link"),
        ("fact: black-swallowtail.pupa.summer", "fact: The pupa", 6, "fact"),
        ("value: 5", "value: many", 7, "no number"),
        ("value: 5", "value: 5, unit: gram", 7, "gram"),
        ("value: 5", "value: {least: 5}", 7, "least"),
        ("value: 5}", "value: 5", 8, "parse"),
        ("title: A video", "title: A video\ntitle: A video", 2, "twice"),
        ("states:\n", "states: []\nmore:\n", 5, "states"),
        ("title: A video", "title: &a [*a]", 1, "aliases"),
    ],
)
def test_a_bad_entry_is_named_by_file_and_line(old, new, line, said, demo, run):
    """Typos, bad days, unknown kinds, units and values stop the recall; no correction is written."""
    path = demo / "club" / "editions" / "outside" / "a-video.yml"
    assert old in ENTRY
    path.write_text(ENTRY.replace(old, new, 1), encoding="utf-8")
    err = refused(run("recall", "--out", demo / "out", "--club", demo / "club"))
    assert f"a-video.yml:{line}:" in err, err
    assert said in err
    assert not (demo / "out").exists()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("status: draft", "status: approved", "by whom"),
        ("status: draft", "status: withdrawn", "why"),
        ("status: draft", "status: fine", "status"),
        ("id: ", "id: x", "id"),
        ("date: 2027-09-18", "date: 2027-02-30", "date"),
    ],
)
def test_a_bad_record_is_named_by_file_and_line(old, new, said, club, run):
    """A record that does not fit stops list, recall, approval and the next kit; the kit is left as it was."""
    name = club.edition("handout")
    path = club.editions / f"{name}.yml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    signed = ("--name", "Ana Ruiz", "--role", "Educator")
    for words in (("editions",), ("recall",), ("approve", name, *signed)):
        err = refused(run(*words, "--club", club.folder))
        assert f"{name}.yml:" in err
        assert said in err


def test_a_record_under_another_name_is_refused(club, run):
    """The file name is the edition's id."""
    path = club.editions / f"{club.edition('handout')}.yml"
    path.rename(club.editions / "abcd-abcd-abcd.yml")
    assert "abcd-abcd-abcd.yml" in refused(run("recall", "--club", club.folder))


def test_without_a_folder_of_editions_the_commands_say_what_to_do(demo, run):
    """List, recall, approval, withdrawal and entry ask for the folder."""
    shutil.rmtree(demo / "club" / "editions")
    signed = ("--name", "Ana Ruiz", "--role", "Educator")
    for words in (
        ("editions",),
        ("recall",),
        ("approve", "abcd-abcd-abcd", *signed),
        ("withdraw", "abcd-abcd-abcd", "--why", "A test."),
        ("enter", "x", "--kind", "video", "--title", "A film", "--states", "black-swallowtail.pupa.summer"),
    ):
        assert "Make the folder" in refused(run(*words, "--club", demo / "club"))


def test_an_unknown_edition_is_answered_with_the_nearest(club, run):
    """A mistyped id names the one that is meant; a file that is no manifest is refused."""
    name = club.edition("handout")
    signed = ("--name", "Ana Ruiz", "--role", "Educator", "--club", club.folder)
    assert name in refused(run("approve", f"{name[:-1]}{'b' if name[-1] != 'b' else 'c'}", *signed))
    (club.root / "x.json").write_text("[1]", encoding="utf-8")
    assert "manifest" in refused(run("approve", club.root / "x.json", *signed))
    assert "--date" in refused(run("approve", name, *signed, "--date", "soon"))
    assert "--role" in refused(run("approve", name, "--name", "Ana Ruiz", "--role", "", "--club", club.folder))
    assert "../x" in refused(run("approve", "../x", *signed))


def test_one_bad_id_leaves_all_as_they_were(club, run):
    """Of several editions one unknown stops the whole approval."""
    before = {path.name: path.read_bytes() for path in club.editions.iterdir()}
    refused(run("approve", club.edition("handout"), "abcd-abcd-abcd", "--name", "Ana Ruiz", "--role", "Educator",
                "--club", club.folder))  # fmt: skip
    assert {path.name: path.read_bytes() for path in club.editions.iterdir()} == before


@pytest.mark.parametrize(
    ("name", "fact", "said"),
    [
        ("A Video", "black-swallowtail.pupa.summer", "id"),
        ("new", "no-such.fact", "no-such.fact"),
        ("new", "pupa", "fact id"),
        ("new", "black-swallowtail.pupa.summer=", "no words"),
        ("a-video", "black-swallowtail.pupa.summer", "a-video.yml"),
    ],
)
def test_a_bad_entry_on_the_command_line_is_refused(name, fact, said, demo, run):
    """A name that is no id, an unknown fact, an entry that is there already: nothing is written."""
    folder = demo / "club" / "editions" / "outside"
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    words = ("enter", name, "--kind", "video", "--title", "A film", "--states", fact, "--club", demo / "club")
    assert said in refused(run(*words))
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_state_without_words_or_value_is_said_not_guessed(demo, run):
    """An entry that does not say what it stated cannot be held against the fact: a note names file and line."""
    path = demo / "club" / "editions" / "outside" / "a-video.yml"
    path.write_text(ENTRY.replace(", value: 5", ""), encoding="utf-8")
    code, out, err = run("recall", "--club", demo / "club")
    assert (code, out) == (0, "")
    assert "a-video.yml:7:" in err


def test_a_correction_below_a_file_is_refused(demo, run):
    """An output folder below a regular file cannot be made."""
    (demo / "stone").write_text("here", encoding="utf-8")
    refused(run("recall", "--out", demo / "stone" / "out", "--club", demo / "club"))
    assert (demo / "stone").read_text(encoding="utf-8") == "here"
