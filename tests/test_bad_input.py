"""Bad input of every sort gets one clear message with file and line, exit code 2, and nothing half-written."""

import shutil
from pathlib import Path

import pytest

from handouts.cli import main

ROOT = Path(__file__).parent.parent
INVALID = Path(__file__).parent / "data" / "invalid"
EVENTS = {
    "event-typo-key.yml": (3, "peeple"),
    "event-30-february.yml": (2, "date"),
    "event-minus-people.yml": (3, "people"),
    "event-latitude-95.yml": (4, "latitude"),
    "event-frost-order.yml": (6, "first freeze"),
    "event-missing-place.yml": (None, "nowhere"),
    "event-unknown-topic.yml": (None, "overwintering-chrysalides"),
    "event-alias-bomb.yml": (1, "aliases"),
}
CONTENT = {
    "content-typo-key.yml": (4, "carries"),
    "content-unknown-unit.yml": (9, "furlong"),
    "content-no-basis.yml": (9, "basis"),
    "content-missing-reference.yml": (9, "no-such-source#spacing"),
    "content-missing-fact.yml": (None, "black-swallowtail.pupa.summer"),
    "content-typed-figure.yml": (None, "12"),
    "content-duplicate-key.yml": (5, "twice"),
}


@pytest.fixture
def run(capsys, monkeypatch):
    """Run the command line in this process; return exit code, standard output, standard error."""

    def call(*words):
        monkeypatch.setattr("sys.argv", ["handouts", *map(str, words)])
        with pytest.raises(SystemExit) as stop:
            main()
        said = capsys.readouterr()
        return stop.value.code, said.out, said.err

    return call


def refused(code, out, err, out_folder):
    assert code == 2, err
    assert out == ""
    assert "Traceback" not in err
    assert len(err.strip().splitlines()) == 1, err
    assert not out_folder.exists() or not list(out_folder.iterdir())


@pytest.mark.parametrize("name", EVENTS)
def test_a_bad_event_file_is_refused(name, run, tmp_path):
    """Typo, impossible day, place and number, missing file, alias bomb: file, line and what to do."""
    line, word = EVENTS[name]
    code, out, err = run("kit", INVALID / name, "--out", tmp_path / "out")
    refused(code, out, err, tmp_path / "out")
    assert word in err
    assert line is None or f"{name}:{line}:" in err


@pytest.mark.parametrize("name", CONTENT)
def test_bad_content_is_refused_when_it_is_used(name, run, tmp_path):
    """A record that does not fit, or that names what is not there, stops what uses it."""
    line, word = CONTENT[name]
    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content)
    text = (INVALID / name).read_text(encoding="utf-8")
    target = content / text.splitlines()[0].removeprefix("# goes to ")
    target.write_text(text, encoding="utf-8")
    if "missing-reference" in name:
        plan = content / "plans" / "overwintering-chrysalides.yml"
        plan.write_text(
            plan.read_text("utf-8").replace("main_message: ", "main_message: Set {bad.spacing}. ", 1), "utf-8"
        )
    topic = "bad" if target.parent.name == "plans" else "overwintering-chrysalides"
    out_file = tmp_path / "out" / "x.html"
    code, out, err = run("make", "handout", topic, "--place", "zone=6a", "--out", out_file, "--content", content)
    refused(code, out, err, tmp_path / "out")
    assert word in err
    assert line is None or f":{line}:" in err


def test_check_lists_bad_content_with_file_and_line(run, tmp_path):
    """`check` reports a broken copy as findings and exits with 1."""
    content = tmp_path / "content"
    shutil.copytree(ROOT / "content", content)
    for name in ("content-unknown-unit.yml", "content-no-basis.yml"):
        shutil.copy(INVALID / name, content / "plants" / name.replace("content-", "bad-"))
    code, out, _ = run("check", "--content", content, "--today", "2026-11-25")
    assert code == 1
    assert "bad-unknown-unit.yml:9: error: shape" in out
    assert "bad-no-basis.yml:9: error: shape" in out


def test_a_file_that_is_not_utf8_is_refused(run, tmp_path):
    """Latin-1 bytes are named with their line."""
    event = tmp_path / "event.yml"
    event.write_bytes("title: Café\n".encode("latin-1"))
    code, out, err = run("kit", event, "--out", tmp_path / "out")
    refused(code, out, err, tmp_path / "out")
    assert "event.yml:1:" in err
    assert "UTF-8" in err


def test_a_huge_file_is_refused_before_it_is_parsed(run, tmp_path):
    """Fifty megabytes of YAML are turned away by size."""
    event = tmp_path / "event.yml"
    event.write_bytes(b"# filler\n" * (50 * 1024 * 1024 // 9))
    code, out, err = run("kit", event, "--out", tmp_path / "out")
    refused(code, out, err, tmp_path / "out")
    assert "too large" in err


def test_a_missing_event_file_is_refused(run, tmp_path):
    """The name of the missing file is said."""
    code, out, err = run("kit", tmp_path / "no.yml", "--out", tmp_path / "out")
    refused(code, out, err, tmp_path / "out")
    assert "no.yml" in err


def test_an_output_below_a_file_is_refused(run, tmp_path):
    """An output folder below a regular file cannot be made; the file is left alone."""
    stone = tmp_path / "stone"
    stone.write_text("here")
    code, _, err = run("kit", ROOT / "demo" / "event.yml", "--out", stone / "kit")
    assert code == 2
    assert "regular file" in err
    assert stone.read_text() == "here"


@pytest.mark.parametrize("words", [["kit"], ["nonsense"], ["make", "handout"], ["make", "leaflet", "--place", "zone=6a",
                                   "--out", "x.pdf"], ["season", "--place", "zone=14q"], ["--today", "soon", "check"],
                                   ["place", "zone=6a,lat=nowhere"], ["facts", "no-such-thing"]])  # fmt: skip
def test_bad_usage_exits_with_2(words, run):
    """Wrong words on the command line are explained on standard error."""
    code, out, err = run(*words)
    assert code == 2
    assert out == ""
    assert err.strip()
