"""A built base in, a file in a cache folder out, and back: so that a single answer need not build it anew.

The folder is the one the system keeps such files in, or the one HANDOUTS_CACHE names; with "off" nothing is read or
written. The file is a shortcut and never needed: whatever is wrong with it, the base is built from the content. Its
name holds a digest of every file the base is made of (name, size, time of change) and of the program's own modules. It
is read only when it and its folder belong to the user and nobody else may write there, and only plain data and this
program's own records are taken from it.
"""

from __future__ import annotations

import gc
import io
import os
import pickle
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from hashlib import blake2b
from pathlib import Path
from typing import Any

from handouts.answer.meaning import installed

SWITCH = "HANDOUTS_CACHE"
KEPT_MOST = 4
ENDING = ".base"
# what else than this program's own records may stand in the file
_PLAIN = {
    "builtins": {"set", "frozenset", "complex", "bytearray", "range", "slice", "list", "dict", "tuple", "str", "int"},
    "collections": {"defaultdict", "OrderedDict", "Counter", "deque"},
    "datetime": {"date", "datetime", "timedelta"},
    "pathlib": {"PosixPath", "WindowsPath", "PurePosixPath", "PureWindowsPath"},
    "copyreg": {"_reconstructor", "__newobj__"},
}


def kept(roots: tuple[Path, ...], make: Callable[[], Any]) -> Any:
    """Return what `make` returns, from the file of an earlier run where nothing it is made of has changed since.

    `roots` are the folders it is made of. Whatever `make` raises is raised.
    """
    with unwatched():
        try:
            path = _path(roots)
            found = _read(path) if path is not None else None
        except Exception:
            return make()
        if found is not None:
            return found
        made = make()
    if path is not None:
        with suppress(Exception):
            _write(path, made)
    return made


@contextmanager
def unwatched() -> Iterator[None]:
    """A hundred thousand new objects and no garbage among them: looking for it takes as long as reading them."""
    watched = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if watched:
            gc.enable()


def cache_folder() -> Path | None:
    """Return the folder for such files: the one the user named, else the system's own; None where switched off."""
    named = os.environ.get(SWITCH, "").strip()
    if named.lower() in ("off", "no", "0"):
        return None
    if named:
        return Path(named)
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Caches"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or home / ".cache")
    return base / "handouts" if home.is_dir() else None


def _path(roots: tuple[Path, ...]) -> Path | None:
    folder = cache_folder()
    if folder is None:
        return None
    digest = blake2b(repr((sys.version, sys.platform, installed())).encode(), digest_size=16)
    for root in (Path(__file__).parent.parent, *roots):
        for line in sorted(_stamps(os.fspath(root.absolute()))):
            digest.update(line.encode(errors="surrogateescape"))
    return folder / f"{digest.hexdigest()}{ENDING}"


def _stamps(folder: str) -> Iterator[str]:
    """Yield name, size and time of change of every file below a folder that content or code may stand in."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                if entry.name[0] not in "._" and entry.name != "questions":
                    yield from _stamps(entry.path)
            elif entry.name.endswith((".yml", ".md", ".py", ".csv", ".txt", ".bin")):
                about = entry.stat()
                yield f"{entry.path}\0{about.st_size}\0{about.st_mtime_ns}\n"


# -- the file ----------------------------------------------------------------------------------------------------------


class _Reader(pickle.Unpickler):
    """Takes nothing but plain data and the records of this program."""

    def find_class(self, module: str, name: str) -> Any:
        if name in _PLAIN.get(module, ()) or (module.startswith("handouts.") and "." not in name):
            found = super().find_class(module, name)
            if isinstance(found, type):
                return found
        if module == "copyreg" and name in _PLAIN["copyreg"]:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name}")


def _read(path: Path) -> Any:
    if not _ours(path.parent) or not _ours(path):
        return None
    data = path.read_bytes()
    return _Reader(io.BytesIO(data)).load()


def _ours(path: Path) -> bool:
    """Whether a path is there, belongs to this user and can be changed by nobody else."""
    try:
        about = path.lstat()
    except OSError:
        return False
    if stat.S_ISLNK(about.st_mode):
        return False
    return not hasattr(os, "getuid") or (about.st_uid == os.getuid() and not about.st_mode & 0o022)


def _write(path: Path, made: Any) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not _ours(path.parent):
        return
    data = pickle.dumps(made, protocol=5)
    _Reader(io.BytesIO(data)).load()
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise
    old = sorted(path.parent.glob(f"*{ENDING}"), key=lambda item: item.stat().st_mtime_ns, reverse=True)
    for item in old[KEPT_MOST:]:
        item.unlink()
