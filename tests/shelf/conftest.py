"""What the shelf's tests share: the content, grounds for outlooks at places, and the command line."""

import json
from functools import lru_cache, partial
from pathlib import Path

import pytest

from handouts import build
from handouts.cli import main
from handouts.season.profile import Profile
from handouts.shelf.outlook import Ground
from handouts.shelf.words import read_words

ROOT = Path(__file__).parent.parent.parent
SERIES = ROOT / "tests" / "data" / "series"
# Near 42° N with a first frost in mid October: the place that the common-practice figures speak of.
NEAR_42 = "lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-14"
WHERE = build.Folders(ROOT / "content")


@pytest.fixture(scope="session")
def library():
    """The shipped content."""
    return build.library(WHERE)


@pytest.fixture(scope="session")
def ground_at(library):
    """A function: a place as one text (or nothing) in, what outlooks stand on out."""
    words = read_words(library)

    @lru_cache(maxsize=64)
    def made(place=None, year=2026):
        if place is None:
            profile = Profile(None, None, None, None, None, False, {}, {}, ())
        else:
            profile = build.place_profile(build.known_place(place, ROOT, WHERE), WHERE, year)
        return Ground(library, words, profile, partial(build.season_of, library))

    return made


@pytest.fixture(scope="session")
def near_42():
    """The inline place near 42° N."""
    return NEAR_42


@pytest.fixture(scope="session")
def ground(ground_at):
    """The ground near 42° N."""
    return ground_at(NEAR_42)


@pytest.fixture
def run(capsys, monkeypatch, tmp_path):
    """Run the command line in an empty folder; return exit code, standard output, standard error."""
    monkeypatch.chdir(tmp_path)

    def call(*words):
        monkeypatch.setattr("sys.argv", ["handouts", *map(str, words)])
        with pytest.raises(SystemExit) as stop:
            main()
        said = capsys.readouterr()
        return stop.value.code, said.out.replace("\u00a0", " "), said.err

    return call


@pytest.fixture
def run_json(run):
    """Run a command with --json and return what it printed, parsed."""

    def call(*words):
        code, out, err = run(*words, "--json")
        assert code == 0, err
        return json.loads(out)

    return call


@pytest.fixture
def put(tmp_path):
    """Write a small file and return its path."""

    def made(name, text):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return made
