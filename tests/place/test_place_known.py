"""What a person may write of a place, and every way in which it is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from handouts.errors import BadInput
from handouts.place.known import FreezeDate, Known, from_inline, from_mapping
from handouts.place.table import Unit
from handouts.yamltext import parse_yaml


def _read(text: str, base: Path = Path()) -> Known:
    return from_mapping(parse_yaml(text, "place.yml"), base, "place.yml")


def test_a_full_place_file_is_understood(tmp_path: Path) -> None:
    """Every key of a place file lands in its field, files become whole paths, text becomes numbers."""
    for name in ("n.csv", "m.csv", "d.csv"):
        (tmp_path / name).write_text("x")
    known = _read(
        "name: Hill Garden\nzone: 6A\nlatitude: 41.9 N\nlongitude: 91.7 W\nzip: 02134\n"
        "last_freeze: {day: 05-06, chance: 10%, threshold: 28}\nfirst_freeze: 10-04\n"
        "normals: [n.csv, m.csv]\ndaily: d.csv\ndaily_unit: °F\nregion: iowa\nunits: metric\n",
        tmp_path,
    )
    assert known == Known(
        name="Hill Garden",
        zone="6a",
        latitude=41.9,
        longitude=-91.7,
        zip="02134",
        last_freeze=FreezeDate(day="05-06", chance=10, threshold=28),
        first_freeze=FreezeDate(day="10-04"),
        normals=(tmp_path / "n.csv", tmp_path / "m.csv"),
        daily=tmp_path / "d.csv",
        daily_unit=Unit.FAHRENHEIT,
        region="iowa",
        units="metric",
    )
    with pytest.raises(ValidationError):
        known.zone = "7a"  # type: ignore[misc]


def test_an_inline_place_is_the_same_as_a_file() -> None:
    """The short form gives the same as the long one; chance 50 and threshold 32 stand in."""
    inline = from_inline("zone=6a,lat=41.9,lon=-91.7,last-freeze=05-06,first-freeze=10-04")
    assert inline == _read(
        "zone: 6a\nlatitude: 41.9\nlongitude: -91.7\nlast_freeze: 05-06\nfirst_freeze: {day: 10-04, chance: 50}\n"
    )
    assert inline.last_freeze == FreezeDate(day="05-06", chance=50.0, threshold=32)
    assert from_inline("zip=02134, zone=6b").zip == "02134"
    assert from_inline("lat=42.9,name=Cedar Falls,region=iowa").name == "Cedar Falls"


def test_southern_freezes_run_the_other_way() -> None:
    """South of the equator September comes before May, and the northern order is refused."""
    assert _read("latitude: -36\nlast_freeze: 09-10\nfirst_freeze: 05-20\n").last_freeze is not None
    with pytest.raises(BadInput, match="southern"):
        _read("latitude: -36\nlast_freeze: 05-20\nfirst_freeze: 09-10\n")


@pytest.mark.parametrize(
    ("text", "line", "word", "hint"),
    [
        ("zone: 6a\nlattitude: 41\n", 2, "lattitude is not known", "latitude"),
        ("zone: 6a\nlast-freeze: 05-06\n", 2, "last-freeze is not known", "last_freeze"),
        ("zone: 6\n", 1, "lacks its half", "6a or 6b"),
        ("name: x\nzone: 14b\n", 2, "no hardiness zone", "1a to 13b"),
        ("zone: 6a\nlatitude: 95\n", 2, "latitude is out of range", "-90 to 90"),
        ("zone: 6a\nlatitude: north\n", 2, "no number of degrees", None),
        ("longitude: 181\nlatitude: 4\n", 1, "longitude is out of range", None),
        ("latitude: 41 W\n", 1, "no number of degrees", None),
        ("zip: 2134\n", 1, "five digits", None),
        ("zone: 6a\nlast_freeze: 02-30\n", 2, "no day of the year", "MM-DD"),
        ("zone: 6a\nlast_freeze: 02-29\n", 2, "not in every year", None),
        ("zone: 6a\nlast_freeze: May 6\n", 2, "no day of the year", "MM-DD"),
        ("last_freeze:\n  day: 13-01\n", 2, "no day of the year", None),
        ("last_freeze:\n  chance: 50\n", 1, "lacks its day", None),
        ("last_freeze:\n  day: 05-06\n  chance: 100\n", 3, "chance is out of range", "1 to 99"),
        ("last_freeze:\n  day: 05-06\n  threshold: 30\n", 3, "threshold is out of range", "24, 28, 32, 36"),
        ("last_freeze:\n  day: 05-06\n  odds: 30\n", 3, "last_freeze.odds is not known", None),
        ("last_freeze: 10-04\nfirst_freeze: 05-06\n", 2, "before the last one (northern", None),
        ("normals: none.csv\n", 1, "normals file is missing", None),
        ("daily: none.csv\n", 1, "daily file is missing", None),
        ("daily: [a, b]\n", 1, "file is missing", None),
        ("zone: 6a\ndaily_unit: K\n", 2, "unit is not known", "F, C or tenths-C"),
        ("zone: 6a\nregion: New York\n", 2, "no region id", None),
        ("zone: 6a\nunits: imperial\n", 2, "units are not known", "us or metric"),
        ("zone: [6a]\n", 1, "one plain value", None),
        ("name: nowhere\n", 1, "nothing is known", None),
        ("zone:\n", 1, "nothing is known", None),
    ],
)
def test_wrong_places_are_refused_with_line_and_remedy(text: str, line: int, word: str, hint: str | None) -> None:
    """Each wrong field ends in one refusal with its line and what would be right."""
    with pytest.raises(BadInput) as error:
        _read(text)
    assert word in error.value.problem
    assert error.value.line == line
    assert str(error.value.file) == "place.yml"
    if hint is not None:
        assert error.value.expected is not None
        assert error.value.expected.startswith(hint)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "key=value"),
        ("6a", "key=value"),
        ("zone=", "key=value"),
        ("zone=6a,", "key=value"),
        ("zone=6a,zone=7a", "twice"),
        ("zon=6a", "zon is not known"),
        ("daily=a.csv", "daily is not known"),
        ("lat=95", "out of range"),
        ("zip=123", "five digits"),
        ("last-freeze=02-30", "no day"),
        ("last-freeze=10-04,first-freeze=05-06", "before the last one"),
    ],
)
def test_wrong_inline_places_are_refused(text: str, word: str) -> None:
    """Each wrong inline place ends in one refusal."""
    with pytest.raises(BadInput) as error:
        from_inline(text)
    assert word in error.value.problem


def test_a_plain_dict_without_lines_serves() -> None:
    """A mapping that knows no lines still gives the file."""
    fields: dict[str, Any] = {"latitude": 95}
    with pytest.raises(BadInput) as error:
        from_mapping(fields, Path(), "event.yml")
    assert (error.value.file, error.value.line) == ("event.yml", None)
