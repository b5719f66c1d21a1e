"""The shipped tables: hardiness zones, ZIP areas, regions."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from handouts.errors import BadInput
from handouts.model.records import Region
from handouts.place.zips import distance_km, spot
from handouts.place.zones import band_of, scheme, zone_named
from handouts.yamltext import read_yaml


def test_zones_are_steps_of_five_degrees_from_minus_sixty(content: Path) -> None:
    """26 half zones from 1a at -60 °F to 13b up to 70 °F, without gap (source: scheme of the 2023 USDA map)."""
    zones = list(scheme(content).values())
    assert [zone.name for zone in zones] == [f"{number}{half}" for number in range(1, 14) for half in "ab"]
    assert [zone.low for zone in zones] == [-60 + 5 * step for step in range(26)]
    assert all(zone.high == zone.low + 5 for zone in zones)


@pytest.mark.parametrize(
    ("name", "low", "high"), [("3b", -35, -30), ("5a", -20, -15), ("6b", -5, 0), ("8a", 10, 15), ("10b", 35, 40)]
)
def test_zone_bounds_are_the_published_ones(name: str, low: float, high: float, content: Path) -> None:
    """Five bands as the map's legend gives them (source: USDA Plant Hardiness Zone Map legend)."""
    zone = scheme(content)[name]
    assert (zone.low, zone.high) == (low, high)


def test_a_bound_belongs_to_the_warmer_half(content: Path) -> None:
    """10 °F is 8a, a hair below is 7b, and a mean night of 70 °F or -61 °F has no zone."""
    assert band_of(10, content).name == "8a"  # type: ignore[union-attr]
    assert band_of(9.99, content).name == "7b"  # type: ignore[union-attr]
    assert band_of(70, content) is None
    assert band_of(-61, content) is None


@pytest.mark.parametrize("text", ["6a", "6A", " zone 6a ", "Zone 6A"])
def test_a_zone_may_be_typed_in_several_ways(text: str, content: Path) -> None:
    """Capitals, blanks and the word "zone" do no harm."""
    assert zone_named(text, content).name == "6a"


@pytest.mark.parametrize(("text", "expected"), [("6", "6a or 6b"), ("14a", "1a to 13b"), ("cold", "1a to 13b")])
def test_a_wrong_zone_is_refused_with_the_right_ones(text: str, expected: str, content: Path) -> None:
    """A zone without its half, beyond the scheme, or no zone at all is refused in words."""
    with pytest.raises(BadInput) as error:
        zone_named(text, content)
    assert error.value.expected == expected


@pytest.mark.parametrize(
    ("zip_code", "latitude", "longitude"),
    [("02134", 42.355, -71.13), ("90012", 34.066, -118.238), ("60601", 41.886, -87.622), ("33109", 25.76, -80.14)],
)
def test_zip_areas_lie_where_their_cities_do(zip_code: str, latitude: float, longitude: float, content: Path) -> None:
    """Boston, Los Angeles, Chicago and Miami ZIPs lie within 3 km of the cities' coordinates (from maps)."""
    found = spot(zip_code, content)
    assert distance_km((found.latitude, found.longitude), (latitude, longitude)) < 3


def test_the_first_and_last_zip_are_found(content: Path) -> None:
    """The first row (Puerto Rico) and the last outside Alaska (Washington) are reachable."""
    assert spot("00601", content).latitude == pytest.approx(18.1806)
    assert spot("99403", content).longitude < -116


@pytest.mark.parametrize("zip_code", ["00000", "20001000", "2134", "abcde", "99950", "99503", "10048", "०२१३४"])
def test_zips_that_place_nothing_are_refused_in_words(zip_code: str, content: Path) -> None:
    """Unknown, malformed and Alaskan ZIPs are refused, never guessed."""
    with pytest.raises(BadInput) as error:
        spot(zip_code, content)
    assert error.value.remedy or error.value.expected
    if zip_code.startswith("99"):
        assert "latitude" in (error.value.remedy or "")


def test_the_zip_table_is_sorted_packed_without_a_clock_and_described(content: Path) -> None:
    """33,791 areas as the 2023 gazetteer has, no time stamp in the gzip header, source and licence beside it."""
    data = (content / "places" / "zcta-2023.csv.gz").read_bytes()
    assert data[4:8] == b"\0\0\0\0"
    lines = gzip.decompress(data).decode().splitlines()
    assert lines[0] == "zip,latitude,longitude"
    assert lines[1:] == sorted(lines[1:])
    assert len(lines) - 1 == 33791
    about = read_yaml(content / "places" / "zcta-2023.yml")
    assert about["rows"] == "33791"
    assert "Census" in about["publisher"]
    assert "public domain" in about["licence"]
    assert read_yaml(content / "places" / "hardiness-zones.yml")["edition"] == "2023 map"


def test_regions_are_boxes_around_their_centers(content: Path) -> None:
    """Every region holds its center, names its source, and a known state lies where atlases put it."""
    found = {
        path.stem: Region.model_validate({**read_yaml(path), "id": path.stem})
        for path in sorted((content / "regions").glob("*.yml"))
    }
    assert len(found) >= 25
    for name, region in found.items():
        assert region.latitude.low < region.centre.latitude < region.latitude.high, name
        assert region.longitude.low < region.centre.longitude < region.longitude.high, name
        assert "Census" in region.source
        assert region.in_words.split()[0] in ("in", "along")
    iowa = found["iowa"]
    assert (iowa.latitude.low, iowa.latitude.high) == (40.38, 43.50)
    assert distance_km((iowa.centre.latitude, iowa.centre.longitude), (42.07, -93.5)) < 20
    assert found["ohio-south"].latitude.high == 40.0
    assert found["florida-south"].note is not None
