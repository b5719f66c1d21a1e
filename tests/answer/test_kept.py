"""The built base kept between runs is a shortcut: the same answers, built anew when anything changed, never needed."""

from __future__ import annotations

import os
import pickle
import shutil
from pathlib import Path

import pytest

from handouts import desk as desks
from handouts.answer.kept import ENDING, KEPT_MOST, SWITCH, _Reader, cache_folder, kept
from handouts.desk import Desk
from handouts.paths import Folders
from tests.answer.conftest import HERE, IOWA

TEXTS = (
    ("Why did my caterpilar stop eating?", None),
    ("when do I sow dill, and how many plants do ten caterpillars need?", IOWA),
    ("how to fix a carburetor", None),
    ("my son ate a milkweed leaf", None),
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache folder of the test's own."""
    monkeypatch.setenv(SWITCH, str(tmp_path / "cache"))
    return tmp_path / "cache"


def files(folder: Path) -> list[Path]:
    """The kept files."""
    return sorted(folder.glob(f"*{ENDING}"))


def test_a_kept_base_gives_the_same_replies(desk: Desk, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first run keeps the base, the second takes it and loads no content; all replies are those of a fresh desk."""
    Desk(HERE, keep=True)
    assert len(files(folder)) == 1
    monkeypatch.setattr(desks, "load_stock", lambda where: pytest.fail("built again"))
    again = Desk(HERE, keep=True)
    for text, place in TEXTS:
        for length in ("brief", "standard", "spoken"):
            assert again.reply(text, place, length, None).to_json() == desk.reply(text, place, length, None).to_json()


def test_a_changed_file_is_noticed(folder: Path, tmp_path: Path) -> None:
    """After an edit of the content the base is built anew; only so many files are kept."""
    content = tmp_path / "content"
    shutil.copytree(HERE.content, content)
    entry = content / "faq" / "life-span.yml"
    text = entry.read_text(encoding="utf-8")
    for number in range(KEPT_MOST + 2):
        entry.write_text(text.replace("question: ", f"question: {'So, ' * number}", 1), encoding="utf-8")
        desk = Desk(Folders(content), keep=True)
        assert desk.base.library.entries["life-span"].question.startswith("So, " * number)
    assert len(files(folder)) == KEPT_MOST


@pytest.mark.parametrize("damage", [b"", b"nonsense", pickle.dumps(print), pickle.dumps(os.system)])
def test_a_damaged_file_is_passed_over(folder: Path, tmp_path: Path, damage: bytes) -> None:
    """A file that is cut short, or holds anything but plain data and records, is not used."""
    root = tmp_path / "root"
    root.mkdir()
    assert kept((root,), lambda: {"a": 1}) == {"a": 1}
    files(folder)[0].write_bytes(damage)
    assert kept((root,), lambda: {"a": 2}) == {"a": 2}


def test_only_records_are_read() -> None:
    """No function is ever called by name from the file."""
    import io

    for evil in (os.system, eval, desks.answer_one):
        with pytest.raises(pickle.UnpicklingError):
            _Reader(io.BytesIO(pickle.dumps(evil))).load()


def test_a_file_others_may_write_is_not_read(folder: Path, tmp_path: Path) -> None:
    """A file or folder that others may change is passed over."""
    root = tmp_path / "root"
    root.mkdir()
    kept((root,), lambda: 1)
    files(folder)[0].chmod(0o666)
    assert kept((root,), lambda: 2) == 2
    assert kept((root,), lambda: 3) == 2
    folder.chmod(0o777)
    assert kept((root,), lambda: 4) == 4


def at_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Give the user a home of the test's own and a root to make something of; return the root."""
    home, root = tmp_path / "home", tmp_path / "root"
    home.mkdir()
    root.mkdir()
    for name in ("HOME", "USERPROFILE", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(home))
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.chdir(root)
    return root


@pytest.mark.parametrize("value", [None, ""])
def test_the_system_s_own_folder_is_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, value: str | None) -> None:
    """Where the user names no folder, the one of the system serves, below the home and nowhere else."""
    root = at_home(monkeypatch, tmp_path)
    monkeypatch.delenv(SWITCH) if value is None else monkeypatch.setenv(SWITCH, value)
    folder = cache_folder()
    assert folder is not None
    assert tmp_path / "home" in folder.parents
    assert [kept((root,), lambda n=n: n) for n in (1, 2)] == [1, 1]
    assert len(files(folder)) == 1
    assert not list(root.iterdir())


def test_the_system_s_folder_may_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """On Linux the folder for such files is the one XDG_CACHE_HOME names (the base directory specification)."""
    at_home(monkeypatch, tmp_path)
    monkeypatch.delenv(SWITCH)
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "named"))
    assert cache_folder() == tmp_path / "named" / "handouts"


def test_switched_off_nothing_is_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Switched off, nothing of an earlier run is read and nothing is written, nowhere."""
    root = at_home(monkeypatch, tmp_path)
    monkeypatch.setenv(SWITCH, str(tmp_path / "earlier"))
    assert kept((root,), lambda: 1) == 1
    assert len(files(tmp_path / "earlier")) == 1
    monkeypatch.setenv(SWITCH, "off")
    assert cache_folder() is None
    assert kept((root,), lambda: 2) == 2
    assert not list((tmp_path / "home").iterdir())
    assert not list(root.iterdir())


@pytest.mark.parametrize("value", ["off", "/proc/nowhere/at/all"])
def test_no_cache_no_harm(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, value: str) -> None:
    """Switched off, or where nothing can be written, the base is built each time."""
    monkeypatch.setenv(SWITCH, value)
    assert [kept((tmp_path,), lambda n=n: n) for n in (1, 2)] == [1, 2]


def test_what_cannot_be_loaded_is_still_refused(folder: Path, tmp_path: Path) -> None:
    """An error of the content comes out as always, and nothing is kept."""
    with pytest.raises(Exception, match="missing"):
        Desk(Folders(tmp_path / "nowhere"), keep=True)
    assert files(folder) == []


def test_a_base_kept_without_embeddings_is_not_taken_for_one_with_them(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether embeddings are there and wanted is part of what the base is made of."""
    root = tmp_path / "root"
    root.mkdir()
    for number, there in enumerate((False, True)):
        monkeypatch.setattr("handouts.answer.kept.installed", lambda there=there: there)
        assert kept((root,), lambda number=number: number) == number
    assert len(files(folder)) == 2
