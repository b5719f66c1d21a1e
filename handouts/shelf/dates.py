"""The date cells of one spreadsheet file in, dates out; a date that could mean two days is refused, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]0{1,2}:00(?::00)?)?")
_SLASHES = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_SERIAL = re.compile(r"\d{5}(?:\.0+)?")
EARLIEST, LATEST = 1950, 2100


@dataclass(frozen=True)
class Unread(Exception):
    """Why a cell is no date: what was found, what was expected."""

    problem: str
    expected: str


@dataclass(frozen=True)
class Cell:
    """A date cell: its text and its line in the file."""

    text: str
    line: int


class DateReader:
    """Reads the dates of one file.

    YYYY-MM-DD is plain. M/D/YYYY is read when it can mean one day only: the second number is no month, or both are
    equal, or another date of the same file shows that the file puts the month first and none shows the opposite.
    """

    def __init__(self, cells: Iterable[Cell]) -> None:
        self.month_first: Cell | None = None
        self.day_first: Cell | None = None
        self.slashed: dict[str, int] = {}
        self.inferred: dict[str, int] = {}
        for cell in cells:
            match = _SLASHES.fullmatch(cell.text)
            if match is None:
                continue
            first, second = int(match[1]), int(match[2])
            if first <= 12 < second <= 31 and self.month_first is None:
                self.month_first = cell
            elif second <= 12 < first <= 31 and self.day_first is None:
                self.day_first = cell

    def read(self, text: str, line: int) -> date | None:
        """Return the date of a cell, None for an empty one. Raises Unread."""
        if not text:
            return None
        if match := _ISO.fullmatch(text):
            return _day(int(match[1]), int(match[2]), int(match[3]), text)
        if match := _SLASHES.fullmatch(text):
            return self._slashes(int(match[1]), int(match[2]), int(match[3]), text, line)
        if _SERIAL.fullmatch(text):
            raise Unread("the date is a spreadsheet's day number", "the column set as dates, such as 2026-08-25")
        raise Unread("this is no date", "YYYY-MM-DD, such as 2026-08-25")

    def _slashes(self, first: int, second: int, year: int, text: str, line: int) -> date:
        if first > 12:
            raise Unread("the date is not written month first", "YYYY-MM-DD, such as 2026-08-25")
        day = _day(year, first, second, text)
        plain = second > 12 or first == second
        if not plain and (self.month_first is None or self.day_first is not None):
            raise Unread(
                "the date can mean two days",
                f"{year}-{first:02}-{second:02} or {year}-{second:02}-{first:02}",
            )
        (self.slashed if plain else self.inferred).setdefault(text, line)
        return day


def _day(year: int, month: int, day: int, text: str) -> date:
    try:
        found = date(year, month, day)
    except ValueError:
        raise Unread("there is no such day", "a day of the calendar") from None
    if not EARLIEST <= year <= LATEST:
        raise Unread("the year cannot be right", f"{EARLIEST} to {LATEST}")
    return found
