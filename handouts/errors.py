"""Every refusal of the tool: what was found where, what was expected, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass
class HandoutsError(Exception):
    """One clear refusal; the command line prints it on standard error and exits with 2.

    Args: `problem` says what is wrong in one sentence; `file` and `line` say where (line counts from 1);
    `found`, `expected` and `remedy` are short phrases.
    """

    problem: str
    file: Path | str | None = None
    line: int | None = None
    found: str | None = None
    expected: str | None = None
    remedy: str | None = None

    def __post_init__(self) -> None:
        super().__init__(str(self))

    def __str__(self) -> str:
        where = ""
        if self.file is not None:
            where = f"{self.file}:{self.line}: " if self.line else f"{self.file}: "
        parts = [f"{where}{self.problem}"]
        if self.found is not None:
            parts.append(f"found {clip(self.found)}")
        if self.expected is not None:
            parts.append(f"expected {self.expected}")
        text = "; ".join(parts)
        return f"{text}. {self.remedy}" if self.remedy else text


class BadInput(HandoutsError):
    """A file, an option or a place that cannot be used as it is."""


class BadContent(HandoutsError):
    """A record in the content or the club's folder that does not fit its format."""


class Unavailable(HandoutsError):
    """Something the machine lacks (a system library), with the line that mends it."""


def clip(text: str, most: int = 120) -> str:
    """Shorten `text` to one printable line of at most `most` characters."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text[: most * 4]).split())
    return line if len(line) <= most else line[: most - 1] + "…"


class Stopped(HandoutsError):
    """Error-level findings on what a document uses; the command line prints them and exits with 1."""
