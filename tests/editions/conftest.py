"""What the tests of editions share: a club that keeps editions, its kit made once, and the command line in-process."""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from handouts import build
from handouts.cli import main

ROOT = Path(__file__).parent.parent.parent
LINK = "https://millrace.example.org/fix"


@dataclass(frozen=True)
class Club:
    """A copy of the demo with a folder of editions, and the kit made there."""

    root: Path
    kit: Path

    @property
    def folder(self) -> Path:
        return self.root / "club"

    @property
    def editions(self) -> Path:
        return self.folder / "editions"

    @property
    def manifest(self) -> dict:
        return json.loads((self.kit / "kit.json").read_text(encoding="utf-8"))

    @property
    def listed(self) -> dict[str, dict]:
        """Each edition with its first entry in kit.json: a handout and its large print are one edition."""
        found: dict[str, dict] = {}
        for item in self.manifest["documents"]:
            found.setdefault(item["edition"], item)
        return found

    def edition(self, kind: str) -> str:
        return next(item["edition"] for item in self.manifest["documents"] if item["kind"] == kind)


def copy_of_demo(root: Path) -> Path:
    """Copy the demo's event and club, with a folder of editions and a corrections link."""
    shutil.copytree(ROOT / "demo" / "club", root / "club")
    (root / "club" / "editions").mkdir()
    text = (ROOT / "demo" / "event.yml").read_text(encoding="utf-8")
    (root / "event.yml").write_text(text + "handed_out: the library, main hall\n", encoding="utf-8")
    with (root / "club" / "club.yml").open("a", encoding="utf-8") as stream:
        stream.write(f"corrections_link: {LINK}\n")
    return root


@pytest.fixture(scope="session")
def made_club(tmp_path_factory) -> Club:
    """The club and its kit, made once; tests only read it."""
    root = copy_of_demo(tmp_path_factory.mktemp("club"))
    build.kit(root / "event.yml", root / "kit", build.folders(None, root / "club"))
    return Club(root, root / "kit")


@pytest.fixture
def club(made_club, tmp_path) -> Club:
    """A copy of the club and its kit to change."""
    root = tmp_path / "a"
    shutil.copytree(made_club.root, root)
    return Club(root, root / "kit")


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


@pytest.fixture
def content(tmp_path) -> Path:
    """A copy of the content to change."""
    folder = tmp_path / "content"
    shutil.copytree(ROOT / "content", folder)
    return folder


def change(path: Path, old: str, new: str) -> None:
    """Replace one text in a file; it must stand there."""
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in {path}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
