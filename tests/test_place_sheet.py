"""The sheet of a place's charts shows what the place allows, with the profile's own dates, and nothing else."""

import gzip
import json
import re
from pathlib import Path

import pytest

from handouts import build
from handouts.charts.words import LABELS
from handouts.errors import BadInput
from handouts.inspect import inspect_files
from handouts.paths import content_dir

SERIES = Path(__file__).parent / "data" / "series" / "USC00381770_1971-2020.csv.gz"
WHERE = build.Folders(content_dir())
CHARTS = {LABELS[f"chart-{name}-title"]: name for name in ("chance", "light", "heat")}


@pytest.fixture(scope="module")
def daily(tmp_path_factory):
    """A place with a station's daily file (NOAA GHCN-Daily, Clemson, South Carolina)."""
    folder = tmp_path_factory.mktemp("place")
    (folder / "daily.csv").write_bytes(gzip.decompress(SERIES.read_bytes()))
    (folder / "place.yml").write_text(
        "name: Clemson\nzone: 8a\nlatitude: 34.68\nlongitude: -82.82\ndaily: daily.csv\n", encoding="utf-8"
    )
    return str(folder / "place.yml")


def charts(html):
    """The charts that stand in a page, in order."""
    return [CHARTS[title] for title in re.findall(r"<title id=[^>]*>([^<]+)</title>", html) if title in CHARTS]


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("zip=54703", ["light"]),
        ("zone=6a,last-freeze=05-10,first-freeze=10-01", ["chance"]),
        ("lat=44,lon=-89,last-freeze=05-10,first-freeze=10-01", ["chance", "light"]),
        ("lat=-37.8,lon=145,last-freeze=08-20,first-freeze=06-05", ["chance", "light"]),
    ],
)
def test_a_place_gets_the_charts_it_allows(place, expected, tmp_path):
    """No frost dates from a ZIP, no day length from a zone, no warmth without temperatures."""
    made = build.make("place-sheet", None, place, tmp_path / "sheet.html", WHERE)
    assert charts(made.read_text(encoding="utf-8")) == expected


def test_a_daily_file_allows_all_three(daily, tmp_path):
    """The dates on the chart are those of the profile; the relative whose warmth it is stands beside it."""
    text = build.make("place-sheet", None, daily, tmp_path / "sheet.html", WHERE).read_text(encoding="utf-8")
    assert charts(text) == list(CHARTS.values())
    profile = build.place_profile(build.known_place(daily, Path.cwd(), WHERE), WHERE, 2027)
    for side in ("last", "first"):
        for percent in (10, 50, 90):
            day = profile.freeze_day(side, 2027, percent=percent)
            assert f"{day:%b}\u00a0{day.day}<" in text
    assert "spicebush swallowtail" in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_it_is_one_page_and_keeps_the_promises(paper, daily, tmp_path):
    """With all three charts it still is one page; `inspect` finds nothing; the same input gives the same bytes."""
    event = tmp_path / "event.yml"
    event.write_text(
        "title: Frost\ndate: 2027-03-06\nstart: '10:00'\nminutes: 45\npeople: 12\naudience: gardeners\n"
        f"place: {daily}\ntopics: [overwintering-chrysalides]\ndocuments: [place-sheet]\npaper: {paper}\n",
        encoding="utf-8",
    )
    build.kit(event, tmp_path / "one", WHERE)
    build.kit(event, tmp_path / "two", WHERE)
    files = sorted((tmp_path / "one").glob("*-place-sheet.*"))
    assert [path.suffix for path in files] == [".html", ".pdf"]
    listed = json.loads((tmp_path / "one" / "kit.json").read_text(encoding="utf-8"))["documents"]
    assert {item["pages"] for item in listed if item["format"] == "pdf"} == {1}
    assert [str(item) for item in inspect_files(files, build.library(WHERE))] == []
    assert all(path.read_bytes() == (tmp_path / "two" / path.name).read_bytes() for path in files)


def test_a_zone_alone_is_refused_in_words(tmp_path):
    """There is nothing to draw; a kit goes on without the sheet and says so."""
    with pytest.raises(BadInput, match="nothing to draw"):
        build.make("place-sheet", None, "zone=5b", tmp_path / "sheet.pdf", WHERE)
    assert not (tmp_path / "sheet.pdf").exists()
