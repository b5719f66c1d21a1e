"""The club's register.csv in, one record a chrysalis out; a broken row is named by its line and the rest is read.

Nothing is ever written back to the register; `tidied` makes a clean copy when somebody asks for one.
"""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, Literal

from handouts.errors import BadInput, clip
from handouts.files import MIB, decode, read_bytes
from handouts.model.facts import Subject
from handouts.model.library import Library
from handouts.shelf.dates import Cell, DateReader, Unread

COLUMNS = ("number", "species", "formed", "kept", "moved", "opened", "lost", "notes")
NEEDED = ("number", "species", "formed")
DATES = ("formed", "moved", "opened", "lost")
LIMIT = 20 * MIB
# The other names that people give a column; all are compared in lower case.
ALIASES = {
    "no": "number",
    "no.": "number",
    "#": "number",
    "tag": "number",
    "kept where": "kept",
    "where": "kept",
    "died": "lost",
    "note": "notes",
}
# Nothing opens sooner than this after it formed: such a row holds a slip of the pen.
LEAST_DAYS = 3
# A quoted note may run over a few lines; one that never ends must not swallow the rest of the file.
MOST_LINES = 12
_WHAT = "register"


@dataclass(frozen=True, slots=True)
class Chrysalis:
    """One chrysalis as the register has it; `species` is an id, `line` its place in the file."""

    line: int
    number: str
    species: str
    formed: date
    kept: str = ""
    moved: date | None = None
    opened: date | None = None
    lost: date | None = None
    notes: str = ""

    @property
    def closed(self) -> bool:
        """Whether it has neither opened nor been lost."""
        return self.opened is None and self.lost is None


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a row: an error keeps the row out, a warning does not."""

    level: Literal["error", "warning"]
    line: int
    column: str | None
    says: str
    found: str | None = None
    expected: str | None = None

    def to_json(self) -> dict[str, Any]:
        """The problem as plain data."""
        return {
            "level": self.level,
            "line": self.line,
            "column": self.column,
            "says": self.says,
            "found": self.found,
            "expected": self.expected,
        }


@dataclass(frozen=True, slots=True)
class _Row:
    """One record of the file: its line and its cells, or why it could not be cut into cells."""

    line: int
    cells: tuple[str, ...]
    broken: str | None = None


@dataclass(frozen=True)
class Register:
    """A register that was read: its rows, what is wrong with the others, and how some dates were read."""

    file: Path
    rows: tuple[Chrysalis, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    header: tuple[str, ...] = COLUMNS
    raw: tuple[_Row, ...] = ()

    def only(self, species: Collection[str]) -> Register:
        """Return the register with the rows of some species."""
        return replace(self, rows=tuple(row for row in self.rows if row.species in species))

    @property
    def errors(self) -> int:
        """How many rows were kept out."""
        return len({problem.line for problem in self.problems if problem.level == "error"})


def read(path: Path, library: Library, today: date | None = None) -> Register:
    """Read a register; with `today`, days after it are refused.

    UTF-8 with or without a mark at its start; commas, semicolons or tabs; columns by name in any order, others are
    left alone. Raises BadInput when the file as a whole cannot be used.
    """
    return parse(decode(read_bytes(path, LIMIT, _WHAT), path, _WHAT), path, library, today)


def parse(text: str, path: Path, library: Library, today: date | None = None) -> Register:
    """Like `read` for text in hand; `path` is only named in errors."""
    records = [record for record in _records(text) if record.broken or any(record.cells)]
    if not records:
        raise BadInput("the register is empty", file=path, expected=f"a first line: {','.join(COLUMNS)}")
    head, *rest = records
    if head.broken:
        raise BadInput("the register's first line cannot be read", file=path, line=head.line, found=head.broken)
    at = _columns(head, path)
    reader = DateReader(
        Cell(row.cells[at[name]], row.line)
        for row in rest
        for name in DATES
        if name in at and at[name] < len(row.cells)
    )
    reading = _Reading(library, reader, at, len(head.cells), today)
    rows = [made for row in rest if (made := reading.row(row)) is not None]
    return Register(path, tuple(rows), tuple(reading.problems), _how_read(reader), head.cells, tuple(rest))


def _columns(head: _Row, path: Path) -> dict[str, int]:
    """Return the place of each known column. Raises BadInput for one that is missing or stands twice."""
    found: dict[str, int] = {}
    for place, cell in enumerate(head.cells):
        name = " ".join(cell.lower().split())
        name = ALIASES.get(name, name)
        if name not in COLUMNS:
            continue
        if name in found:
            raise BadInput(f"the column {name} stands twice in the register", file=path, line=head.line)
        found[name] = place
    for name in NEEDED:
        if name not in found:
            near = difflib.get_close_matches(name, [cell.lower() for cell in head.cells], n=1)
            raise BadInput(
                f"the register lacks the column {name}",
                file=path,
                line=head.line,
                found=near[0] if near else ", ".join(head.cells),
                expected=",".join(COLUMNS),
            )
    return found


def _records(text: str) -> Iterator[_Row]:
    """Cut the text into records; a quotation mark that is never closed spoils its own line only."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    at = 1 if lines[0].strip().lower().startswith("sep=") else 0
    delimiter = _delimiter(lines[at]) if at < len(lines) else ","
    width = 0
    while at < len(lines):
        end, inside = at, _open(lines[at], delimiter, False)
        while inside and end + 1 < len(lines) and end - at < MOST_LINES:
            end += 1
            inside = _open(lines[end], delimiter, inside)
        row = _record("\n".join(lines[at : end + 1]), at + 1, delimiter)
        if inside or (end > at and width and len(row.cells) != width):
            cells = tuple(cell.strip() for cell in lines[at].split(delimiter))
            row, end = _Row(at + 1, cells, "a quotation mark that is never closed"), at
        width = width or (len(row.cells) if any(row.cells) else 0)
        yield row
        at = end + 1


def _open(line: str, delimiter: str, inside: bool) -> bool:
    """Whether a quoted cell is still open at the end of a line; a quotation mark inside a word opens nothing."""
    if '"' not in line:
        return inside
    state = "inside" if inside else "start"
    for sign in line:
        if state == "inside":
            state = "closed" if sign == '"' else "inside"
        elif sign == '"' and state in ("start", "closed"):
            state = "inside"
        elif sign == delimiter:
            state = "start"
        elif not (sign.isspace() and state == "start"):
            state = "plain"
    return state == "inside"


def _record(text: str, line: int, delimiter: str) -> _Row:
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True))
    except csv.Error as error:
        return _Row(line, tuple(text.split(delimiter)), str(error))
    return _Row(line, tuple(cell.strip() for row in rows for cell in row))


def _delimiter(header: str) -> str:
    """The sign that cuts the header into the most columns."""
    return max((",", ";", "\t"), key=header.count)


def species_names(library: Library) -> dict[str, str]:
    """Return every name of every species in lower case -> its id."""
    found: dict[str, str] = {}
    for subject in library.subjects.values():
        if subject.kind == "species":
            for name in _names(subject):
                found.setdefault(name.lower(), subject.id)
    return found


def _names(subject: Subject) -> list[str]:
    names = subject.names
    return [subject.id, *filter(None, (names.common, names.plural, names.scientific, *names.also))]


class _Reading:
    """Turns records into chrysalides and collects what is wrong."""

    def __init__(
        self, library: Library, reader: DateReader, at: Mapping[str, int], width: int, today: date | None
    ) -> None:
        self.species = species_names(library)
        self.reader, self.at, self.width, self.today = reader, at, width, today
        self.problems: list[Problem] = []
        self.seen: dict[str, int] = {}

    def row(self, row: _Row) -> Chrysalis | None:
        """Return the chrysalis of a record, or None after noting what is wrong."""
        before = len(self.problems)
        if row.broken:
            self._wrong(row, None, "the row cannot be cut into columns", row.broken)
            return None
        if any(row.cells[self.width :]):
            found = f"{len(row.cells)} columns"
            self._wrong(row, None, "the row has more columns than the header", found, f"{self.width} columns")
            return None
        cells = {name: row.cells[place] if place < len(row.cells) else "" for name, place in self.at.items()}
        number = self._number(row, cells["number"])
        species = self._species(row, cells["species"])
        days = {name: self._day(row, name, cells.get(name, "")) for name in DATES}
        if not cells["formed"]:
            self._wrong(row, "formed", "the day it formed is missing", None, "YYYY-MM-DD")
        formed = days["formed"]
        if formed is not None:
            self._order(row, days)
        if len(self.problems) > before or number is None or species is None or formed is None:
            return None
        opened = days["opened"]
        if opened is not None and (opened - formed).days < LEAST_DAYS:
            days_open = (opened - formed).days
            self._wrong(row, "opened", "it opened sooner than any is known to", f"{days_open} days", level="warning")
        return Chrysalis(
            row.line,
            number,
            species,
            formed,
            cells.get("kept", ""),
            days["moved"],
            opened,
            days["lost"],
            cells.get("notes", ""),
        )

    def _wrong(
        self,
        row: _Row,
        column: str | None,
        says: str,
        found: str | None = None,
        expected: str | None = None,
        level: Literal["error", "warning"] = "error",
    ) -> None:
        self.problems.append(Problem(level, row.line, column, says, clip(found) if found else None, expected))

    def _number(self, row: _Row, text: str) -> str | None:
        if not text:
            self._wrong(row, "number", "the number is missing", None, "a number or a tag of its own")
            return None
        first = self.seen.setdefault(text.casefold(), row.line)
        if first != row.line:
            self._wrong(row, "number", "the number stands twice", f"{text}, first on line {first}", "each number once")
            return None
        return text

    def _species(self, row: _Row, text: str) -> str | None:
        found = self.species.get(text.lower())
        if found is None:
            near = difflib.get_close_matches(text.lower(), self.species, n=1, cutoff=0.6)
            says = "the species is not known" if text else "the species is missing"
            self._wrong(row, "species", says, text or None, near[0] if near else "a species id or its common name")
        return found

    def _day(self, row: _Row, column: str, text: str) -> date | None:
        try:
            day = self.reader.read(text, row.line)
        except Unread as why:
            self._wrong(row, column, why.problem, text, why.expected)
            return None
        if day is not None and self.today is not None and day > self.today:
            self._wrong(row, column, "the day lies ahead", day.isoformat(), f"no later than {self.today.isoformat()}")
            return None
        return day

    def _order(self, row: _Row, days: Mapping[str, date | None]) -> None:
        """It forms, may be moved, and then opens or is lost."""
        if days["opened"] is not None and days["lost"] is not None:
            self._wrong(row, "lost", "it both opened and was lost", None, "one of the two")
        for earlier, later in (("formed", "moved"), ("formed", "opened"), ("formed", "lost")):
            self._after(row, days, earlier, later)
        for later in ("opened", "lost"):
            self._after(row, days, "moved", later)

    def _after(self, row: _Row, days: Mapping[str, date | None], earlier: str, later: str) -> None:
        first, second = days[earlier], days[later]
        if first is not None and second is not None and second < first:
            self._wrong(
                row,
                later,
                f"the day it {_DID[later]} comes before the day it {_DID[earlier]}",
                second.isoformat(),
                f"{first.isoformat()} or later",
            )


_DID = {"formed": "formed", "moved": "was moved", "opened": "opened", "lost": "was lost"}


def _how_read(reader: DateReader) -> tuple[str, ...]:
    """Say how the dates with slashes were read."""
    notes: list[str] = []
    for found, why in ((reader.slashed, ""), (reader.inferred, " because other dates of the file show it")):
        if found:
            text, line = next(iter(found.items()))
            month, day, year = (int(part) for part in text.split("/"))
            many = f" and {len(found) - 1} more like it" if len(found) > 1 else ""
            read_as = date(year, month, day).isoformat()
            notes.append(f"{text} on line {line}{many}: read month first{why}, so {read_as}")
    return tuple(notes)


def tidied(register: Register) -> str:
    """Return the register as a clean CSV: dates as YYYY-MM-DD, species as ids; broken rows and other columns as is."""
    at = {_canonical(cell): place for place, cell in enumerate(register.header)}
    good = {row.line: row for row in register.rows}
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_canonical(cell) for cell in register.header])
    for raw in register.raw:
        row = good.get(raw.line)
        writer.writerow(raw.cells if row is None else _written(row, raw.cells, at))
    return out.getvalue()


def _canonical(cell: str) -> str:
    name = " ".join(cell.lower().split())
    return ALIASES.get(name, name) if ALIASES.get(name, name) in COLUMNS else cell


def _written(row: Chrysalis, cells: Sequence[str], at: Mapping[str, int]) -> list[str]:
    made = list(cells)
    for name in ("species", *DATES):
        place = at.get(name)
        value = getattr(row, name)
        if place is not None and place < len(made):
            made[place] = value.isoformat() if isinstance(value, date) else (value or "")
    return made
