"""Days of the year without a year: dates and MM-DD come in, day numbers of a 365-day season year go out, and back."""

from __future__ import annotations

import math
from datetime import date

from handouts.errors import BadInput

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_BEFORE = tuple(sum(MONTH_DAYS[:month]) for month in range(12))
_HALF = 181  # days before 1 July, where the season year of the southern hemisphere begins


def index(month: int, day: int) -> int:
    """Place of a day on the 365-day calendar, 0 = 1 January; 29 February shares the 28th."""
    return _BEFORE[month - 1] + min(day, MONTH_DAYS[month - 1]) - 1


def number(day: date, south: bool = False) -> int:
    """Day number 1..365 in the season year: from 1 January, or from 1 July in the south."""
    return (index(day.month, day.day) - (_HALF if south else 0)) % 365 + 1


def season_year(day: date, south: bool = False) -> int:
    """The season year a date belongs to: its own, or in the south the year whose 1 July comes before it."""
    return day.year - 1 if south and day.month < 7 else day.year


def month_day(value: float, south: bool = False) -> str | None:
    """MM-DD of a day number, rounded to the nearest day; None outside the season year."""
    whole = math.floor(value + 0.5)
    if not 1 <= whole <= 365:
        return None
    at = (whole - 1 + (_HALF if south else 0)) % 365
    month = max(m for m in range(12) if _BEFORE[m] <= at)
    return f"{month + 1:02}-{at - _BEFORE[month] + 1:02}"


def parse(text: str) -> tuple[int, int]:
    """Month and day of an MM-DD text. Raises BadInput for a day that no year, or not every year, has."""
    wrong = BadInput("this is no day of the year", found=text, expected="MM-DD, such as 05-06")
    parts = text.split("-")
    if len(parts) != 2 or not all(part.isascii() and part.isdigit() and len(part) <= 2 for part in parts):
        raise wrong
    month, day = int(parts[0]), int(parts[1])
    if (month, day) == (2, 29):
        raise BadInput("29 February is not in every year", found=text, remedy="Give 02-28 or 03-01.")
    if not 1 <= month <= 12 or not 1 <= day <= MONTH_DAYS[month - 1]:
        raise wrong
    return month, day


def number_of(text: str, south: bool = False) -> int:
    """Day number of an MM-DD text. Raises BadInput."""
    month, day = parse(text)
    return (index(month, day) - (_HALF if south else 0)) % 365 + 1


def on(value: float, year: int, south: bool = False) -> date | None:
    """The date of a day number in season year `year`; None outside the season year."""
    text = month_day(value, south)
    if text is None:
        return None
    month, day = parse(text)
    return date(year + 1 if south and month < 7 else year, month, day)
