"""A file of comments in (CSV or JSON lines), one comment at a time out, each with its line; never the whole file."""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from handouts.answer.clean import BYTE_LIMIT
from handouts.errors import BadInput

CSV = ".csv"
# what the columns of a list of comments may be called; no other column is read, so no name or address comes along
COLUMNS = {
    "id": ("id", "number", "no", "comment id", "comment_id", "commentid"),
    "text": ("text", "comment", "question", "message", "comments", "questions"),
    "place": ("place",),
    "date": ("date",),
}
WANTED = '{"id": …, "text": "…"}, with "place" and "date" if there are any'
SAMPLE = 4_000
_DELIMITERS = ",;\t"


@dataclass(frozen=True)
class Comment:
    """One comment: the line it starts on, its id as given (the row's number where there is none), its text."""

    line: int
    id: Any
    text: str
    place: str | None = None
    date: str | None = None


class Comments:
    """The comments of a file, in their order: CSV when it is named so, else JSON lines."""

    def __init__(self, source: Path) -> None:
        self.source = source
        self._bytes: IO[bytes] | None = None

    @property
    def read(self) -> int:
        """How far the file is read, in bytes."""
        return self._bytes.tell() if self._bytes is not None else 0

    def __iter__(self) -> Iterator[Comment]:
        """Yield each comment. Raises BadInput that names the line, before anything after it is read."""
        try:
            self._bytes = self.source.open("rb")
        except OSError as error:
            raise BadInput("the questions file cannot be read", file=self.source, found=error.strerror) from None
        with self._bytes as stream:
            if self.source.suffix.lower() == CSV:
                yield from _csv_rows(Lines(stream, self.source), self.source)
            else:
                for number, line in enumerate(Lines(stream, self.source), 1):
                    if line.strip():
                        yield _json_row(line, self.source, number)


class Lines:
    """The lines of an open file as text, none longer than a megabyte. Raises BadInput with the line."""

    def __init__(self, stream: IO[bytes], source: Path) -> None:
        self.stream = stream
        self.source = source
        self.number = 0

    def __iter__(self) -> Lines:
        return self

    def __next__(self) -> str:
        raw = self.stream.readline(BYTE_LIMIT + 2)
        if not raw:
            raise StopIteration
        self.number += 1
        if len(raw) > BYTE_LIMIT:
            raise BadInput("the line is too long", file=self.source, line=self.number, expected="at most one megabyte")
        try:
            return raw.decode("utf-8-sig" if self.number == 1 else "utf-8")
        except UnicodeDecodeError:
            remedy = "Save the file again with the encoding UTF-8."
            raise BadInput("the line is not UTF-8 text", file=self.source, line=self.number, remedy=remedy) from None


# -- JSON lines --------------------------------------------------------------------------------------------------------


def _json_row(line: str, source: Path, number: int) -> Comment:
    row = json_object(line, source, number, WANTED)

    def bad(problem: str, found: str | None = None, expected: str | None = None) -> BadInput:
        return BadInput(problem, file=source, line=number, found=found, expected=expected)

    if not isinstance(row.get("text"), str):
        raise bad("the line has no text", expected=WANTED)
    if "id" not in row or isinstance(row["id"], dict | list):
        raise bad("the line has no id", expected=WANTED)
    for key in ("place", "date"):
        if row.get(key) is not None and not isinstance(row[key], str):
            raise bad(f"{key} must be a text", found=str(row[key]))
    return Comment(number, row["id"], row["text"], row.get("place") or None, row.get("date") or None)


def json_object(line: str, source: Path, number: int, wanted: str) -> dict[str, Any]:
    """Read one line of JSON. Raises BadInput unless it is an object."""
    try:
        row = json.loads(line)
    except (json.JSONDecodeError, RecursionError):
        raise BadInput("the line is not JSON", file=source, line=number, expected=wanted) from None
    if not isinstance(row, dict):
        raise BadInput("the line is no JSON object", file=source, line=number, expected=wanted)
    return row


# -- CSV ---------------------------------------------------------------------------------------------------------------


def table_rows(lines: Lines, source: Path, what: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows of a CSV with the line each starts on, the header first; the delimiter is read from the header.

    Raises BadInput for a file that is no CSV and for a cell of more than a megabyte.
    """
    first = next(lines, "")
    if not first.strip():
        raise BadInput(f"the {what} is empty", file=source, expected="a header and one row for each comment")
    delimiter = max(_DELIMITERS, key=first[:SAMPLE].count)
    csv.field_size_limit(BYTE_LIMIT)

    def texts() -> Iterator[str]:
        yield first
        yield from lines

    reader = csv.reader(texts(), delimiter=delimiter, strict=True)
    start = 1
    for _ in range(sys.maxsize):
        try:
            row = next(reader, None)
        except csv.Error as error:
            raise BadInput(f"the {what} is no CSV", file=source, line=start, found=str(error)) from None
        if row is None:
            return
        if any(cell.strip() for cell in row):
            yield start, row
        start = lines.number + 1


def _csv_rows(lines: Lines, source: Path) -> Iterator[Comment]:
    rows = table_rows(lines, source, "questions file")
    _, header = next(rows)
    places = _places([cell.strip().lower() for cell in header])
    if "text" not in places:
        raise BadInput(
            "there is no column of comments",
            file=source,
            line=1,
            found=", ".join(header)[:200],
            expected=f"a column named {', '.join(COLUMNS['text'][:3])}",
        )
    for number, (line, row) in enumerate(rows, 1):
        cells = {name: row[at].strip() if at < len(row) else "" for name, at in places.items()}
        yield Comment(
            line,
            cells.get("id") or str(number),
            unguarded(cells["text"]),
            cells.get("place") or None,
            cells.get("date") or None,
        )


def _places(header: list[str]) -> dict[str, int]:
    """Return where each known column stands; of several names for one the first in the table counts."""
    found: dict[str, int] = {}
    for name, names in COLUMNS.items():
        for other in names:
            if other in header:
                found[name] = header.index(other)
                break
    return found


# a cell that begins like this is run as a formula by spreadsheets
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def guarded(text: str) -> str:
    """Return a cell that no spreadsheet runs: an apostrophe goes before what looks like a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def unguarded(text: str) -> str:
    """Undo `guarded`."""
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text
