"""Weather files: the forms that are read, and every way in which one is refused."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from handouts.errors import BadInput
from handouts.place import daily, logger, normals
from handouts.place.table import Unit, unit_in, unit_named
from handouts.season.frost import Side

Put = Callable[[str, str | bytes], Path]
BY_STATION = "USC00381770,20200101,TMIN,-22,,,7,0700\nUSC00381770,20200101,TMAX,100,,,7,0700\n"
PORTAL = 'STATION,NAME,DATE,TMAX,TMIN\nUSW00094996,"LINCOLN, NE US",2016-01-01,36,15\n'


def test_by_station_form_is_tenths_of_celsius(put: Put) -> None:
    """-22 without a header is -2.2 °C, 28.04 °F, from a US station that reads whole degrees."""
    series = daily.read(put("a.csv", BY_STATION))
    assert series.days[0].tmin == pytest.approx(28.04)
    assert series.days[0].tmax == pytest.approx(50.0)
    assert series.whole_degrees
    assert series.station == "USC00381770"


def test_portal_form_is_fahrenheit(series_folder: Path) -> None:
    """A real portal file of Lincoln NE gives 366 days in °F as printed (source: NOAA, see tests/data/README.md)."""
    series = daily.read(series_folder / "lincoln_2016_portal.csv")
    assert len(series.days) == 366
    assert (series.days[0].tmin, series.days[0].tmax) == (15.0, 36.0)
    assert series.name == "LINCOLN 11 SW, NE US"
    assert any("°F by default" in note for note in series.notes)


def test_a_packed_file_reads_like_a_plain_one(put: Put) -> None:
    """Gzip makes no difference."""
    assert daily.read(put("a.csv.gz", gzip.compress(BY_STATION.encode()))) == daily.read(put("b.csv", BY_STATION))


def test_flagged_values_are_set_aside_with_their_line(put: Put) -> None:
    """A quality flag, in either form, rejects the value and shows it with its line."""
    flagged = BY_STATION + "USC00381770,20200102,TMIN,-300,,I,7,0700\n"
    (reject,) = daily.read(put("a.csv", flagged)).rejects
    assert (reject.day, reject.line, reject.why) == (date(2020, 1, 2), 3, "quality flag I")
    text = (
        "STATION,DATE,TMIN (F),TMIN_ATTRIBUTES\n"
        'USW00094996,2016-01-01,15,",G,7,0700"\n'
        'USW00094996,2016-01-02,16,",,7"\n'
    )
    series = daily.read(put("b.csv", text))
    assert series.days[0].tmin is None
    assert series.days[1].tmin == 16.0
    assert series.rejects[0].line == 2


def test_large_values_with_a_header_are_tenths(put: Put) -> None:
    """The header form in tenths of °C (station folder of the archive) is told by its size, and said."""
    rows = "".join(f"USC00381770,2020-07-{n:02},34.66,-82.82,245.1,3{n % 10}0,210\n" for n in range(1, 31))
    series = daily.read(put("a.csv", "STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,TMAX,TMIN\n" + rows))
    assert series.days[0].tmin == pytest.approx(69.8)
    assert (series.latitude, series.longitude, series.elevation) == (34.66, -82.82, 245.1)
    assert any("tenths" in note for note in series.notes)


def test_values_that_fit_no_fahrenheit_year_are_refused(put: Put) -> None:
    """A year whose warm days stay near 35 is likely °C; the file is refused until the unit is stated."""
    rows = "".join(f"USW00094996,{date.fromordinal(735000 + n)},{20 + n % 15},{5 + n % 10}\n" for n in range(365))
    path = put("a.csv", "STATION,DATE,TMAX,TMIN\n" + rows)
    with pytest.raises(BadInput, match="unit") as error:
        daily.read(path)
    assert "daily_unit" in (error.value.expected or "")
    assert daily.read(path, Unit.CELSIUS).days[0].tmax == pytest.approx(68.0)


def test_a_spreadsheet_date_is_month_first(put: Put) -> None:
    """A file saved again by a US spreadsheet reads month/day/year, and a day 13 in first place is refused."""
    text = "STATION,DATE,TMAX,TMIN\nUSW00094996,5/6/2016,60,40\n"
    assert daily.read(put("a.csv", text)).days[0].day == date(2016, 5, 6)
    with pytest.raises(BadInput) as error:
        daily.read(put("b.csv", text.replace("5/6/2016", "13/6/2016")))
    assert error.value.line == 2


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("", None, "empty"),
        ("  \n \n", None, "empty"),
        (b"STATION,DATE\n\xff\xfe", 2, "UTF-8"),
        ("STATION,DATE,TMAX\nUSW00094996,2016-01-01,36\n", 1, "TMIN"),
        ("STATION,TMAX,TMIN\nUSW00094996,36,15\n", 1, "DATE"),
        (PORTAL + "USW00094996,2016-01-02,36,15\n", 3, "number of columns"),
        (PORTAL + 'USW00094996,"X",2016-01-02,warm,15\n', 3, "no number"),
        (PORTAL + 'USW00094996,"X",2016-02-30,36,15\n', 3, "no date"),
        (PORTAL + 'USW00094996,"X",2016-01-01,36,15\n', 3, "twice"),
        (PORTAL + 'USW00014939,"X",2016-01-02,36,15\n', 3, "more than one station"),
        (PORTAL + 'USW00094996,"X",2016-01-02,inf,15\n', 3, "no number"),
        ("STATION,DATE,TMIN,TMIN\nUSW00094996,2016-01-01,36,15\n", 1, "two columns"),
        ("STATION,DATE,TMAX,TMIN\nUSW00094996,2016-01-01,,\n", None, "no temperatures"),
        (BY_STATION + "USC00381770,20200102,TMIN\n", 3, "number of columns"),
        (BY_STATION + "USC00381770,2020-13-02,TMIN,5,,,7,\n", 3, "no date"),
        (BY_STATION + "USC00381770,20200101,TMIN,-30,,,7,\n", 3, "two different"),
        (BY_STATION + "USW00094996,20200102,TMIN,-30,,,7,\n", 3, "more than one station"),
        ("DATE,TMAX,TMIN\n2016-01-01,36,15\n", 1, "unit"),
        ("STATION,DATE,TMAX (C),TMIN (F)\nUSW00094996,2016-01-01,36,15\n", 1, "different units"),
        (b"\x1f\x8bnot really", None, "gzip"),
        ('STATION,DATE,TMAX,TMIN\n"' + "x" * 200_000 + '",1,2,3\n', 2, "no CSV"),
    ],
)
def test_bad_daily_files_are_refused_with_file_and_line(
    text: str | bytes, line: int | None, word: str, put: Put
) -> None:
    """Each damaged daily file ends in one clear refusal that names the file and, where there is one, the line."""
    path = put("bad.csv", text)
    with pytest.raises(BadInput) as error:
        daily.read(path)
    assert word in error.value.problem
    assert error.value.file == path
    assert error.value.line == line


def test_a_daily_file_beyond_the_limit_is_refused_unread(tmp_path: Path) -> None:
    """More than 60 MB is refused, plain or hidden in gzip; a missing file and a folder are refused too."""
    big = tmp_path / "big.csv"
    with big.open("wb") as stream:
        stream.truncate(60 * 1024 * 1024 + 1)
    packed = tmp_path / "bomb.csv.gz"
    packed.write_bytes(gzip.compress(b"0" * (61 * 1024 * 1024), compresslevel=1))
    for path in (big, packed):
        with pytest.raises(BadInput, match="too large"):
            daily.read(path)
    with pytest.raises(BadInput, match="missing"):
        daily.read(tmp_path / "none.csv")
    with pytest.raises(BadInput, match="folder"):
        daily.read(tmp_path)
    with (tmp_path / "n.csv").open("wb") as stream:
        stream.truncate(5 * 1024 * 1024 + 1)
    with pytest.raises(BadInput, match="too large"):
        normals.read(tmp_path / "n.csv")


# -- loggers ------------------------------------------------------------------------------------------------------

HOURS = "".join(f"2026-05-06 {hour:02}:00,{40 + hour}\n" for hour in range(24))


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("time,temperature (°F)", Unit.FAHRENHEIT),
        ("Date/Time,temp_C", Unit.CELSIUS),
        ("timestamp,Temp ℃", Unit.CELSIUS),
        ('"Date Time, GMT-06:00","Temp, °F (LGR S/N: 20, SEN S/N: 20)"', Unit.FAHRENHEIT),
        ("time,Temperature_Celsius(℃)", Unit.CELSIUS),
    ],
)
def test_a_logger_states_its_unit_in_the_header(header: str, unit: Unit, put: Put) -> None:
    """Common headers are understood, in °F and °C."""
    series = logger.read(put("a.csv", f"{header}\n{HOURS}"))
    low = 40.0 if unit is Unit.FAHRENHEIT else 104.0
    assert series.days[0].tmin == pytest.approx(low)
    assert not series.whole_degrees


def test_a_logger_without_a_unit_is_refused_until_it_is_given(put: Put) -> None:
    """No unit in the header means a refusal; the caller's word mends it."""
    path = put("a.csv", f"time,temperature\n{HOURS}")
    with pytest.raises(BadInput, match="unit") as error:
        logger.read(path)
    assert error.value.line == 1
    assert logger.read(path, Unit.CELSIUS).days[0].tmin == pytest.approx(104.0)


def test_a_title_line_and_a_twelve_hour_clock_are_read(put: Put) -> None:
    """A title above the header, US dates with AM and PM, and split date and time columns all work."""
    clock = "".join(
        f"05/06/26 {(hour - 1) % 12 + 1:02}:00:00 {'AM' if hour < 12 else 'PM'},{hour}\n" for hour in range(24)
    )
    series = logger.read(put("a.csv", f"Plot Title: shelf\nDate Time,Temp (F)\n{clock}"))
    assert series.days[0].day == date(2026, 5, 6)
    split = "".join(f"2026-05-06,{hour:02}:30,{hour}\n" for hour in range(24))
    assert logger.read(put("b.csv", f"Date,Time,Temp (F)\n{split}")).days[0].tmax == 23.0


def test_a_spike_is_set_aside_and_the_day_stays(put: Put) -> None:
    """One false hour is rejected with its line; the day's minimum comes from the others."""
    text = HOURS.replace("12:00,52", "12:00,-10")
    series = logger.read(put("a.csv", f"time,temp (F)\n{text}"))
    assert series.days[0].tmin == 40.0
    assert series.rejects[0].line == 14
    assert "spike" in series.rejects[0].why


def test_a_day_with_few_readings_counts_as_missing(put: Put) -> None:
    """A day that was read from noon on has no minimum; the note counts it."""
    days = "".join(f"2026-05-{day:02} {hour:02}:00,50\n" for day in range(1, 6) for hour in range(24))
    half = "".join(f"2026-05-06 {hour:02}:00,50\n" for hour in range(12, 24))
    series = logger.read(put("a.csv", f"time,temp (F)\n{days}{half}"))
    assert series.days[-1].tmin is None
    assert any("count as missing" in note for note in series.notes)


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ("hello,world\n1,2\n", 1, "no header"),
        ("time,temp (F)\n", 1, "no readings"),
        ("time,temp in (F),temp out (F)\n2026-05-06 01:00,5,6\n", 1, "more than one temperature"),
        ("time,temp (F)\n2026-05-06 01:00,5,6\n", 2, "number of columns"),
        ("time,temp (F)\n2026-05-06 01:00,warm\n", 2, "no number"),
        ("time,temp (F)\n2026-05-06,5\n", 2, "no date with a time"),
        ("time,temp (F)\n31/05/2026 01:00,5\n", 2, "no date with a time"),
        ("time,temp (F)\n05/06/2026 13:00 PM,5\n", 2, "no date with a time"),
        (b"time,temp (F)\n\xff\n", 2, "UTF-8"),
    ],
)
def test_bad_logger_files_are_refused(text: str | bytes, line: int, word: str, put: Put) -> None:
    """Each damaged logger file ends in one refusal with its line."""
    with pytest.raises(BadInput) as error:
        logger.read(put("a.csv", text))
    assert word in error.value.problem
    assert error.value.line == line


def test_units_are_read_from_words_but_never_guessed() -> None:
    """Unit words are found; a plain "Fridge temp" or two units at once are not."""
    assert unit_in("TMAX (Degrees Fahrenheit)") is Unit.FAHRENHEIT
    assert unit_in("Fridge temp") is None
    assert unit_in("Temp (F or C)") is None
    assert unit_named("°c") is Unit.CELSIUS
    assert unit_named("tenths-C") is Unit.TENTHS
    with pytest.raises(BadInput, match="unit"):
        unit_named("K")


# -- normals ------------------------------------------------------------------------------------------------------

_CHANCES = range(10, 100, 10)


def _annual(upper: bool = True, **changes: str) -> str:
    """A small annual file; dates of 32 °F as NOAA prints them, made for the test."""
    spring = ["05/04", "04/29", "04/25", "04/22", "04/19", "04/16", "04/13", "04/09", "04/04"]
    autumn = ["10/04", "10/09", "10/13", "10/16", "10/19", "10/22", "10/26", "10/30", "11/05"]
    cells = {"STATION": "USC00131533", "NAME": "A TOWN, IA US", "LATITUDE": "41.9", "LONGITUDE": "-91.7"}
    cells["ELEVATION"] = "250.0"
    for place, chance in enumerate(_CHANCES):
        cells[f"ANN-TMIN-PRBLST-T32FP{chance}"] = spring[place]
        cells[f"ANN-TMIN-PRBFST-T32FP{chance}"] = autumn[place]
        cells[f"ANN-TMIN-PRBLST-T16FP{chance}"] = "-7777"
    cells |= {"ANN-TMIN-PRBOCC-LSTH032": "100.0", "ANN-GRDD-BASE50": " 3012.0", "ANN-GRDD-TB5086": "2999"}
    cells |= changes
    names = [name if upper or not name.startswith("ANN") else name.lower().replace("fp", "Fp") for name in cells]
    return ",".join(names) + "\n" + ",".join(f'"{value}"' for value in cells.values()) + "\n"


def _monthly(rows: int = 12) -> str:
    lows = [12, 16, 27, 38, 49, 59, 63, 61, 52, 40, 28, 17]
    body = "".join(f"USC00131533,{month + 1:02},{lows[month % 12]},{lows[month % 12] + 20}\n" for month in range(rows))
    return "STATION,DATE,MLY-TMIN-NORMAL,MLY-TMAX-NORMAL\n" + body


@pytest.mark.parametrize(("upper", "period"), [(True, "1991-2020"), (False, "1981-2010")])
def test_normals_are_read_in_both_spellings(upper: bool, period: str, put: Put) -> None:
    """Capital names are the 1991-2020 edition and small ones 1981-2010; both give dates, heat and position."""
    found = normals.read(put("n.csv", _annual(upper)))
    last = found.freeze[Side.LAST, 32].chances
    assert (last[10].day, last[50].day, last[90].day) == ("05-04", "04-19", "04-04")
    assert found.freeze[Side.FIRST, 32].chances[10].day == "10-04"
    assert found.heat["ANN", "50"] == 3012.0
    assert found.heat["ANN", "5086"] == 2999.0
    assert (found.latitude, found.elevation, found.period) == (41.9, 250.0, period)
    assert any("does not state it" in note for note in found.notes)


def test_special_values_are_never_dates_or_numbers(put: Put) -> None:
    """-7777 and other codes mean that nothing is given: no 16 °F dates, no heat."""
    found = normals.read(put("n.csv", _annual(**{"ANN-GRDD-BASE50": "-9999.0", "ANN-GRDD-TB5086": "-6666"})))
    assert (Side.LAST, 16) not in found.freeze
    assert found.heat == {}


def test_dates_across_the_turn_of_the_year_keep_their_order(put: Put) -> None:
    """In a warm place the first freeze may come in January and the last in December; the order still holds."""
    changes = {f"ANN-TMIN-PRBFST-T32FP{chance}": "-8888" for chance in _CHANCES}
    changes |= {"ANN-TMIN-PRBFST-T32FP10": "12/20", "ANN-TMIN-PRBFST-T32FP20": "01/05"}
    first = normals.read(put("n.csv", _annual(**changes))).freeze[Side.FIRST, 32]
    assert first.chances[20].day == "01-05"
    assert (first.chances[20].number or 0) > (first.chances[10].number or 0)
    assert first.chances[50].day is None


def test_annual_and_monthly_files_of_one_station_join(put: Put) -> None:
    """Two files of one station give dates and monthly means together; two stations are refused."""
    annual, monthly = put("a.csv", _annual()), put("m.csv", _monthly())
    both = normals.read_all([annual, monthly])
    assert both.tmin is not None
    assert both.tmin[0] == 12.0
    assert (Side.LAST, 32) in both.freeze
    with pytest.raises(BadInput, match="one station"):
        normals.read_all([annual, put("x.csv", _monthly().replace("USC00131533", "USC00131534"))])


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("NAME,X\na,b\n", "STATION"),
        ("STATION,ANN-GRDD-BASE50\n", "no rows"),
        ("STATION,ANN-GRDD-BASE50\nA,1\nA,2\n", "number of rows"),
        (_monthly(11), "number of rows"),
        (_monthly().replace(",02,", ",01,"), "no month"),
        (_monthly().replace("DATE", "WHEN"), "lack the column DATE"),
        (_monthly().replace("12,32", "42,32"), "above its maximum"),
        ("STATION,ANN-PRCP-NORMAL\nA,1\n", "no freeze dates"),
        ("STATION,ANN-GRDD-BASE50\nA,lots\n", "no number"),
        ("STATION,ANN-GRDD-BASE50\nA\n", "number of columns"),
        ("STATION,ANN-GRDD-BASE50,ANN-GRDD-BASE50\nA,1,2\n", "twice"),
        (_annual(**{"ANN-TMIN-PRBLST-T32FP10": "04/01"}), "wrong way"),
        (_monthly().replace("USC00131533,12", "USC00131534,12"), "more than one station"),
    ],
)
def test_bad_normals_are_refused(text: str, word: str, put: Put) -> None:
    """Each damaged normals file ends in one refusal that names the file."""
    path = put("n.csv", text)
    with pytest.raises(BadInput) as error:
        normals.read(path)
    assert word in error.value.problem
    assert error.value.file == path
