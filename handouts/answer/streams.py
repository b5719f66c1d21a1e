"""Large files, read and written piece by piece: an output that is renamed when whole, and a bar for the terminal."""

from __future__ import annotations

import os
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

from handouts.errors import BadInput

SHOW_EVERY = 25


class Aside:
    """A text file written beside its target and renamed over it when all went well, removed otherwise."""

    def __init__(self, target: Path) -> None:
        self.target = target

    def __enter__(self) -> IO[str]:
        try:
            handle, self.name = tempfile.mkstemp(prefix=f".{self.target.name}.", suffix=".part", dir=self.target.parent)
        except OSError as error:
            raise BadInput("the output cannot be written", file=self.target, found=error.strerror) from None
        self.stream = os.fdopen(handle, "w", encoding="utf-8", newline="")
        return self.stream

    def __exit__(self, kind: Any, error: Any, trace: Any) -> None:
        self.stream.close()
        if kind is None:
            os.chmod(self.name, 0o644)
            os.replace(self.name, self.target)
        else:
            with suppress(OSError):
                os.unlink(self.name)


class Bar:
    """A line on standard error that says how far a file is read; nothing when that is no terminal."""

    def __init__(self, source: Path) -> None:
        self.shown = sys.stderr.isatty()
        self.size = 1
        with suppress(OSError):
            self.size = max(1, source.stat().st_size)

    def show(self, number: int, read: int) -> None:
        """Draw the line now and then; `read` is how many bytes of the file are behind."""
        if self.shown and number % SHOW_EVERY == 0:
            share = min(1.0, read / self.size)
            filled = round(share * 30)
            sys.stderr.write(f"\r[{'#' * filled}{'.' * (30 - filled)}] {share:4.0%}  {number} questions")
            sys.stderr.flush()

    def done(self) -> None:
        """Clear the line."""
        if self.shown:
            sys.stderr.write("\r" + " " * 60 + "\r")
            sys.stderr.flush()
