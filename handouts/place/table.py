"""CSV files of weather data: a path comes in, rows with their line numbers go out, or one clear refusal."""

from __future__ import annotations

import csv
import gzip
import io
import math
import re
import unicodedata
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path

from handouts.errors import BadInput
from handouts.files import MIB, decode, read_bytes


class Unit(StrEnum):
    """Units that temperature files come in."""

    FAHRENHEIT = "F"
    CELSIUS = "C"
    TENTHS = "tenths-C"


_US_DAY = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
_POINT_DAY = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")  # written with points, the day comes first
_YEAR_DAY = re.compile(r"(\d{4})/(\d{1,2})/(\d{1,2})")
_MIDNIGHT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ]00:00(?::00)?")
_DECIMAL_COMMA = re.compile(r"[-+]?\d{1,3},\d{1,2}")  # three digits behind the comma could be thousands
_HEAD_LINES = 5
_UNIT_WORDS = re.compile(
    r"(?:[°º˚]|deg(?:rees?)?\.?|^|[\s(\[_,.-])\s*(fahrenheit|celsius|centigrade|[fc])\s*(?:[\s()\],.:_-]|$)",
    re.IGNORECASE,
)
_MISSING = {"", "na", "nan", "m", "-", "null"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its line in the file (from 1) and its cells, stripped of blanks."""

    line: int
    cells: tuple[str, ...]


def load(path: Path, most_mib: int, what: str) -> str:
    """Text of a CSV file, unpacked when it is gzip; the limit holds for both forms. Raises BadInput."""
    limit = most_mib * MIB
    data = read_bytes(path, limit, what)
    if data[:2] == b"\x1f\x8b":
        try:
            with gzip.GzipFile(fileobj=io.BytesIO(data)) as stream:
                data = stream.read(limit + 1)
        except (OSError, EOFError, zlib.error) as error:
            raise BadInput(f"the {what} is a damaged gzip file", file=path, found=str(error)) from None
        if len(data) > limit:
            raise BadInput(f"the {what} is too large unpacked", file=path, expected=f"at most {limit:,} bytes")
    _check_kind(data, path, what)
    text = decode(data, path, what)
    if not text.strip():
        raise BadInput(f"the {what} is empty", file=path)
    return text


def _check_kind(data: bytes, path: Path, what: str) -> None:
    """Refuse files of another kind that are often saved in place of a table."""
    start = data[:200].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    kinds = (
        ((b"pk\x03\x04", b"\xd0\xcf\x11\xe0"), "a spreadsheet or a zip file", "Save the sheet as CSV (UTF-8)."),
        ((b"<!doctype", b"<html", b"<?xml"), "a web page", "Save the data itself, not the page."),
        ((b"%pdf",), "a PDF file", "Ask for the data as CSV."),
        ((b"\xff\xfe", b"\xfe\xff"), "text in UTF-16", "Save the file again with the encoding UTF-8."),
    )
    for marks, kind, remedy in kinds:
        if start.startswith(marks):
            raise BadInput(f"the {what} is no CSV table", file=path, found=kind, remedy=remedy)


def rows(text: str, path: Path, what: str) -> Iterator[Row]:
    """Rows that are not blank; columns are parted by commas, or by semicolons or tabs where the header has no comma.

    Raises BadInput for a row that is no CSV.
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise BadInput(f"the {what} is no CSV table", file=path, line=reader.line_num, found=str(error)) from None
        stripped = tuple([cell.strip() for cell in cells])
        if any(stripped):
            yield Row(reader.line_num, stripped)


def _delimiter(text: str) -> str:
    """The sign between columns: that of the first lines that hold a semicolon or a tab and no comma."""
    head = [line for line in text[:20_000].splitlines() if line.strip()][:_HEAD_LINES]
    for sign in (";", "\t"):
        if any(sign in line and "," not in line for line in head):
            return sign
    return ","


def check_width(row: Row, width: int, path: Path, what: str) -> None:
    """Refuse a row with more or fewer cells than the header."""
    if len(row.cells) != width:
        raise BadInput(
            f"a row of the {what} has the wrong number of columns",
            file=path,
            line=row.line,
            found=f"{len(row.cells)} columns",
            expected=f"{width} columns",
        )


def number(text: str, path: Path, line: int, what: str) -> float | None:
    """A number, or None where the file has none; a decimal comma is understood. Raises BadInput for anything else."""
    if text.lower() in _MISSING:
        return None
    if "," in text and _DECIMAL_COMMA.fullmatch(text):
        text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadInput(f"the {what} is no number", file=path, line=line, found=text, expected="a number")
    return None if abs(value) == 9999.0 else value


def day(text: str, path: Path, line: int) -> date:
    """A date: 2016-01-31, 20160131, 2016/1/31, month/day/year as US spreadsheets write it, or day.month.year.

    Raises BadInput.
    """
    try:
        if match := _US_DAY.fullmatch(text):
            return date(int(match[3]), int(match[1]), int(match[2]))
        if match := _POINT_DAY.fullmatch(text):
            return date(int(match[3]), int(match[2]), int(match[1]))
        if match := _YEAR_DAY.fullmatch(text):
            return date(int(match[1]), int(match[2]), int(match[3]))
        if match := _MIDNIGHT.fullmatch(text):
            return date.fromisoformat(match[1])
        if text[:1].isdigit() and len(text) in (8, 10):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise BadInput(
        "this is no date",
        file=path,
        line=line,
        found=text,
        expected="YYYY-MM-DD, or month/day/year",
    )


def unit_in(header: str) -> Unit | None:
    """The unit a column name states: "Temperature (°F)", "temp_C", "TMAX (Degrees Fahrenheit)"; else None."""
    found = {match[0].lower() for match in _UNIT_WORDS.findall(unicodedata.normalize("NFKC", header))}
    return (Unit.FAHRENHEIT if "f" in found else Unit.CELSIUS) if len(found) == 1 else None


def unit_named(text: str, *, file: Path | None = None, line: int | None = None) -> Unit:
    """The unit a place file names: F, C or tenths-C (a degree sign and any case are fine). Raises BadInput."""
    plain = text.strip().lstrip("°").lower()
    for unit in Unit:
        if plain == unit.value.lower():
            return unit
    raise BadInput("this temperature unit is not known", file=file, line=line, found=text, expected="F, C or tenths-C")


def to_fahrenheit(value: float, unit: Unit) -> float:
    """A temperature in °F, rounded to a thousandth so that equal readings stay equal."""
    if unit is Unit.FAHRENHEIT:
        return value
    celsius = value / 10.0 if unit is Unit.TENTHS else value
    return round(celsius * 1.8 + 32.0, 3)
