"""Times of the gardener's year in words: "early May", "05-10", "2 wk before last freeze"."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

MONTHS = tuple(calendar.month_name)[1:]
Part = Literal["early", "mid", "late", ""]
Freeze = Literal["last freeze", "first freeze"]

# Thirds of a month, the usual reading of "early", "mid" and "late" in flight tables.
_PART_DAYS: dict[str, tuple[int, int]] = {"early": (1, 10), "mid": (11, 20), "late": (21, 31), "": (1, 31)}
_OFFSET = re.compile(r"(?P<n>\d+(?:\.\d+)?) (?P<unit>d|wk) (?P<side>before|after) (?P<of>last freeze|first freeze)")
_DAY = re.compile(r"(?P<month>\d\d)-(?P<day>\d\d)")


@dataclass(frozen=True)
class MonthPart:
    """A month or a third of it."""

    month: int
    part: Part = ""

    def first(self, year: int) -> date:
        """The first day it may mean in `year`."""
        return date(year, self.month, _PART_DAYS[self.part][0])

    def last(self, year: int) -> date:
        """The last day it may mean in `year`."""
        most = calendar.monthrange(year, self.month)[1]
        return date(year, self.month, min(most, _PART_DAYS[self.part][1]))

    def __str__(self) -> str:
        return f"{self.part} {MONTHS[self.month - 1]}".strip()


@dataclass(frozen=True)
class MonthDay:
    """A day without a year."""

    month: int
    day: int

    def first(self, year: int) -> date:
        """The day in `year` (29 February becomes the 28th in common years)."""
        return date(year, self.month, min(self.day, calendar.monthrange(year, self.month)[1]))

    last = first

    def __str__(self) -> str:
        return f"{self.month:02}-{self.day:02}"


@dataclass(frozen=True)
class Offset:
    """A number of days or weeks before (negative) or after a freeze date."""

    n: float
    unit: Literal["d", "wk"]
    of: Freeze

    @property
    def days(self) -> timedelta:
        """The offset as days."""
        return timedelta(days=self.n * (7 if self.unit == "wk" else 1))

    def __str__(self) -> str:
        if self.n == 0:
            return self.of
        return f"{abs(self.n):g} {self.unit} {'before' if self.n < 0 else 'after'} {self.of}"


TimePoint = MonthPart | MonthDay | Offset


def parse_time(text: str) -> TimePoint:
    """Read one point of time. Raises ValueError with the forms that are understood."""
    words = text.strip()
    if words in ("last freeze", "first freeze"):
        return Offset(0, "d", words)  # type: ignore[arg-type]
    if match := _OFFSET.fullmatch(words):
        n = float(match["n"]) * (-1 if match["side"] == "before" else 1)
        return Offset(n, match["unit"], match["of"])  # type: ignore[arg-type]
    if match := _DAY.fullmatch(words):
        month, day = int(match["month"]), int(match["day"])
        if not 1 <= month <= 12 or not 1 <= day <= calendar.monthrange(2028, month)[1]:
            raise ValueError(f"{words!r} is no day of the year; expected MM-DD")
        return MonthDay(month, day)
    part, _, name = words.rpartition(" ")
    if name in MONTHS and part in ("", "early", "mid", "late"):
        return MonthPart(MONTHS.index(name) + 1, part)  # type: ignore[arg-type]
    raise ValueError(
        f"{words!r} is not a time; expected 'early May', 'May', '05-10', '2 wk before last freeze' or 'last freeze'"
    )
