"""Paths in, bytes out: reading with a size limit, writing aside and renaming."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from handouts.errors import BadInput

MIB = 1 << 20
TEXT_LIMIT = 1 * MIB


def read_bytes(path: Path, limit: int = TEXT_LIMIT, what: str = "file") -> bytes:
    """Return the bytes of `path`, refusing a missing, unreadable or too large file before it is parsed.

    `limit` is in bytes. Raises BadInput.
    """
    try:
        with path.open("rb") as stream:
            data = stream.read(limit + 1)
    except FileNotFoundError:
        raise BadInput(f"the {what} is missing", file=path, remedy="Check the name and the folder.") from None
    except IsADirectoryError:
        raise BadInput(f"the {what} is a folder", file=path, expected="a file") from None
    except OSError as error:
        raise BadInput(f"the {what} cannot be read", file=path, found=error.strerror or str(error)) from None
    if len(data) > limit:
        raise BadInput(
            f"the {what} is too large",
            file=path,
            found=f"more than {limit:,} bytes",
            expected=f"at most {limit:,} bytes",
        )
    return data


def read_text(path: Path, limit: int = TEXT_LIMIT, what: str = "file") -> str:
    """Return the text of a UTF-8 file (a byte-order mark is dropped). Raises BadInput with the line."""
    return decode(read_bytes(path, limit, what), path, what)


def decode(data: bytes, path: Path | str, what: str = "file") -> str:
    """Decode UTF-8 bytes; `path` is only named in the error. Raises BadInput with the line."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"the {what} is not UTF-8 text",
            file=path,
            line=data.count(b"\n", 0, error.start) + 1,
            found=f"byte {data[error.start]:#04x}",
            expected="UTF-8",
            remedy="Save the file again with the encoding UTF-8.",
        ) from None


def check_folder(folder: Path) -> None:
    """Refuse an output folder that could not be made, before any work is done. Raises BadInput."""
    for path in (folder, *folder.parents):
        if path.is_dir():
            return
        if path.exists():
            raise BadInput("the output path is below a regular file", file=folder, expected="a folder or a new name")


def ready_folder(folder: Path) -> None:
    """Make `folder` if it is not there. Raises BadInput when a file stands in the way or it can't be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise BadInput(
            "the output path is below a regular file", file=folder, expected="a folder or a new name"
        ) from None
    except OSError as error:
        raise BadInput("the output folder cannot be made", file=folder, found=error.strerror or str(error)) from None


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write all files aside first, then rename each: a stopped run leaves old files or new ones, never halves."""
    aside: dict[Path, Path] = {}
    try:
        for target, data in files.items():
            ready_folder(target.parent)
            if target.is_dir():
                raise BadInput("the output path is a folder", file=target, expected="a file name")
            aside[target] = _write_aside(target, data)
        for target, temporary in list(aside.items()):
            os.replace(temporary, target)
            del aside[target]
    except OSError as error:
        raise BadInput(
            "the output cannot be written", file=error.filename, found=error.strerror or str(error)
        ) from None
    finally:
        for temporary in aside.values():
            with suppress(OSError):
                temporary.unlink()


def _write_aside(target: Path, data: bytes) -> Path:
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
        os.chmod(temporary, 0o644)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary
