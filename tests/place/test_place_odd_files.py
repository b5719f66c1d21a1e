"""Files as people really have them: extra columns, missing months, other signs and clocks, other kinds of file."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from handouts.errors import BadInput
from handouts.place import daily, logger, table
from handouts.place.table import Unit

Put = Callable[[str, str | bytes], Path]
DAYS = [date(2015, 1, 1) + timedelta(days=at) for at in range(200)]


def low(day: date) -> int:
    """A whole °F minimum for a day."""
    return round(50 - 30 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 15) / 365))


def celsius(value: float) -> str:
    """A temperature as tenths of °C in text."""
    return f"{(value - 32) / 1.8:.1f}"


def test_portal_columns_that_are_not_needed_do_no_harm(put: Put) -> None:
    """Rain, snow, observation time, weather types and quoted names stand around TMAX and TMIN; blanks are missing."""
    rows = [
        f'"USC00381770","CLEMSON UNIV, SC US","{day}","0.00","","","{low(day) + 20}",'
        f'"{"" if at == 3 else low(day)}","","1"'
        for at, day in enumerate(DAYS)
    ]
    text = '"STATION","NAME","DATE","PRCP","SNOW","TAVG","TMAX","TMIN","TOBS","WT01"\n' + "\n".join(rows) + "\n"
    series = daily.read(put("portal.csv", text))
    assert (series.days[0].tmin, series.days[3].tmin) == (low(DAYS[0]), None)
    assert series.name == "CLEMSON UNIV, SC US"
    assert series.whole_degrees


def test_a_by_station_file_may_carry_a_heading_and_lack_months(put: Put) -> None:
    """Copies of NOAA's files with a heading read like those without; a missing month leaves a gap, not an error."""
    rows = [
        f"USC00381770,{day:%Y%m%d},{name},{value},,,0,"
        for day in DAYS
        if day.month != 3
        for name, value in (("TMAX", 150), ("TMIN", 20), ("PRCP", 5))
    ]
    plain = daily.read(put("plain.csv", "\n".join(rows) + "\n"))
    headed = daily.read(
        put("headed.csv", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + "\n".join(rows))
    )
    assert daily.is_daily(
        (put("again.csv", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + rows[0])).read_text()
    )
    assert headed.days == plain.days
    assert not any(day.day.month == 3 for day in headed.days)


@pytest.mark.parametrize(
    ("header", "form", "unit"),
    [
        ("DATE;TMIN (°C);TMAX (°C)", "{day:%Y-%m-%d};{low};{high}", None),
        ("DATE\tTMIN (°C)\tTMAX (°C)", "{day:%Y-%m-%d}\t{low}\t{high}", None),
        ("date,tmin_c,tmax_c", "{day:%Y-%m-%d},{low},{high}", None),
        ("Date,Max Temperature (C),Min Temperature (C)", "{day:%Y-%m-%d},{high},{low}", None),
        ("Date,MaxTemperature,MinTemperature", "{day:%m/%d/%Y},{high},{low}", Unit.CELSIUS),
        ("DATE;TMIN (°C);TMAX (°C)", "{day:%d.%m.%Y};{low};{high}", None),
        ("DATE,TMIN (°C),TMAX (°C)", "{day:%Y/%m/%d},{low},{high}", None),
        ("DATE,TMIN (°C),TMAX (°C)", "{day:%Y-%m-%d}T00:00:00,{low},{high}", None),
    ],
)
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_other_signs_names_and_dates_read_alike(header: str, form: str, unit: Unit | None, mark: str, put: Put) -> None:
    """Semicolons, tabs, small letters, other column names, dates with points or a midnight: one and the same series."""
    rows = [form.format(day=day, low=celsius(low(day)), high=celsius(low(day) + 20)) for day in DAYS]
    if ";" in header:
        rows = [row.replace(".", ",") if "%d.%m" not in form else row[:10] + row[10:].replace(".", ",") for row in rows]
    text = f"{mark}{header}\r\n\r\n" + "\r\n\r\n".join(rows) + "\r\n"
    series = daily.read(put("file.csv", text), unit)
    assert [day.day for day in series.days] == DAYS
    assert [round(day.tmin or 0) for day in series.days] == [low(day) for day in DAYS]
    assert series.whole_degrees
    assert any("whole °F stored in °C" in note for note in series.notes)


def test_real_celsius_readings_are_not_taken_for_fahrenheit(put: Put) -> None:
    """Tenths of °C that were read as such stay what they are: no rounding to whole °F."""
    rows = [f"{day},{at % 100 / 10:.1f},{at % 100 / 10 + 9.3:.1f}" for at, day in enumerate(DAYS)]
    series = daily.read(put("canada.csv", "DATE,TMIN (°C),TMAX (°C)\n" + "\n".join(rows)))
    assert not series.whole_degrees


def test_a_title_may_stand_above_a_daily_table(put: Put) -> None:
    """A station's name in the first line is not taken for a header."""
    text = '"CLEMSON UNIV, SC"\nDate,TMIN (F),TMAX (F)\n2015-01-01,20,40\n2015-01-02,M,41\n'
    series = daily.read(put("title.csv", text))
    assert [(day.tmin, day.tmax) for day in series.days] == [(20.0, 40.0), (None, 41.0)]


@pytest.mark.parametrize(
    ("header", "stamp", "sign"),
    [
        ('"#","Date Time, GMT-06:00","Temp, °F (LGR S/N: 10)","End Of File"', "{t:%m/%d/%y %I:%M:%S %p}", ","),
        ("Date,Time,Temperature (°F),Dew point (°F)", "{t:%m/%d/%Y},{t:%I:%M %p}", ","),
        ("Timestamp,Temperature_Fahrenheit(℉),Relative_Humidity(%)", "{t:%Y-%m-%d %H:%M}", ","),
        ("time;temperature (°F);humidity", "{t:%d.%m.%Y %H:%M}", ";"),
    ],
)
def test_loggers_with_half_day_clocks_and_other_signs(header: str, stamp: str, sign: str, put: Put) -> None:
    """AM and PM, seconds, two time columns, points in dates: noon is noon and midnight belongs to its own day."""
    rows = []
    for at in range(72):
        moment = datetime(2026, 1, 30) + timedelta(hours=at)
        cells = [stamp.format(t=moment), f"{10 + moment.hour}", "5"]
        if header.startswith('"#"'):
            cells = [str(at), *cells]
        rows.append(sign.join(cells))
    series = logger.read(put("logger.csv", f"{header}\n" + "\n".join(rows) + "\n"))
    assert [(day.day, day.tmin, day.tmax) for day in series.days] == [
        (date(2026, 1, 30) + timedelta(days=at), 10.0, 33.0) for at in range(3)
    ]


@pytest.mark.parametrize(
    ("data", "word", "remedy"),
    [
        (b"PK\x03\x04\x14\x00", "spreadsheet", "CSV"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "spreadsheet", "CSV"),
        (b"<!DOCTYPE html><html></html>", "web page", "not the page"),
        (b"%PDF-1.7\n", "PDF", "CSV"),
        ("DATE,TMIN (F)\n".encode("utf-16"), "UTF-16", "UTF-8"),
    ],
)
def test_files_of_another_kind_are_named_for_what_they_are(data: bytes, word: str, remedy: str, put: Put) -> None:
    """A spreadsheet, a web page, a PDF or UTF-16 text saved as .csv is refused with the way out."""
    with pytest.raises(BadInput) as caught:
        table.load(put("wrong.csv", data), 5, "daily file")
    assert word in str(caught.value)
    assert remedy in str(caught.value)


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("DATE,TMIN (F),TMAX (F)\n2020-01-01,30,40\n2020-01-02,30\n", 3, "2 columns"),
        ("DATE,TMIN (F),TMAX (F)\n13/05/2020,30,40\n", 2, "13/05/2020"),
        ("DATE,TMIN (F),TMAX (F)\n2020-01-01,cold,40\n", 2, "cold"),
        ("DATE,TMIN (F),TMAX (F)\n2020-01-01,1,234,40\n", 2, "4 columns"),
        ('DATE,TMIN (F),TMAX (F)\n2020-01-01,"1,234",40\n', 2, "1,234"),
        ("DATE,TMIN (F),TMAX (F)\n2020-01-01,30,40\n\n2020-01-01,31,40\n", 4, "first on line 2"),
    ],
)
def test_errors_name_line_and_find(text: str, line: int, word: str, put: Put) -> None:
    """A broken line is named as an editor counts it, with what stands there."""
    with pytest.raises(BadInput) as caught:
        daily.read(put("bad.csv", text))
    assert caught.value.line == line
    assert word in str(caught.value)
