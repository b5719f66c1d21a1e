"""The windows of a species at a place: what carries them, how wide they are, and what is refused in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from handouts.errors import BadInput
from handouts.model.library import Library
from handouts.model.season import Season, Window
from handouts.season.diapause import critical_hours, populations

SeasonAt = Callable[..., Season]
NINE = (
    "black-swallowtail", "monarch", "eastern-tiger-swallowtail", "spicebush-swallowtail", "giant-swallowtail",
    "pipevine-swallowtail", "zebra-swallowtail", "anise-swallowtail", "painted-lady",
)  # fmt: skip
PLACES = (
    "zone=6a",
    "zip=60614",
    "lat=42.1",
    "lat=42.1,lon=-88.0,last-freeze=05-01,first-freeze=10-15",
    "lat=34.7,lon=-82.8,last-freeze=03-30,first-freeze=11-04",
    "lat=26.2,lon=-80.2",
    "lat=37.9,lon=-122.3,last-freeze=01-20,first-freeze=12-10",
    "lat=47.6,lon=-122.3,last-freeze=03-25,first-freeze=11-10",
    "lat=46.0,lon=-94.0,last-freeze=05-20,first-freeze=09-20",
    "lat=-37.8,lon=145.0,last-freeze=09-10,first-freeze=05-20",
    "lat=69.0,lon=-150.0",
    "zone=6a,region=wisconsin",
)
GARDEN = "lat=42.1,lon=-88.0,last-freeze=05-01,first-freeze=10-15"
WINTER = ("diapause-turn", "overwinter-from", "to-cold-by", "to-warmth", "spring-opening", "stop-waiting")


def window(season: Season, name: str) -> Window:
    """Return a window that must be there."""
    found = season.window(name)
    assert found is not None, f"{season.species} has no {name}"
    return found


@pytest.mark.parametrize("species", NINE)
@pytest.mark.parametrize("place", PLACES)
def test_every_window_is_whole_and_says_how_it_is_known(
    species: str, place: str, season_at: SeasonAt, library: Library
) -> None:
    """Bounds are in order, inputs are real, no memory value is used, and a wide or missing window says so in words."""
    made = season_at(place, species)
    names = [item.id for item in made.windows]
    assert len(names) == len(set(names))
    assert {*WINTER, "hosts-ready", "last-release", "flight-1"} <= set(names)
    for item in made.windows:
        assert item.note, item.id
        assert "None" not in item.note
        if not item.known:
            assert item.basis == "not-known"
            assert item.mid is None
            continue
        assert not item.absent
        assert item.low is not None
        assert item.mid is not None
        assert item.high is not None
        assert item.low <= item.mid <= item.high
        assert item.basis in ("published", "derived", "proxy", "common-practice", "own-observation")
        assert item.inputs
        width = (item.high - item.low).days
        assert width <= 120 or f"{width} days" in item.note, (item.id, item.note)
        for name in item.inputs:
            if "#" in name:
                assert name in library.references
            elif not name.startswith("place."):
                assert library.facts[name].preferred.basis.kind not in ("memory", "not-known"), name


@pytest.mark.parametrize("species", NINE)
def test_zone_alone_gives_no_date(species: str, season_at: SeasonAt) -> None:
    """A zone tells winter cold only: no window has dates, and each says what it needs."""
    assert not any(item.known for item in season_at("zone=6a", species).windows)


def test_published_flights_name_region_distance_and_side(season_at: SeasonAt) -> None:
    """With both coordinates the distance is told, without the longitude the side only, without both only the name."""
    far = window(season_at("lat=41.0,lon=-89.8"), "flight-2").note
    assert far.startswith("as published for Wisconsin, about 250 miles north of you")
    side = window(season_at("lat=41.0"), "flight-2").note
    assert "miles" not in side
    assert " of you" in side
    named = window(season_at("zone=5b,region=wisconsin"), "flight-2").note
    assert named.startswith("as published for Wisconsin; your distance from it is not known")
    assert "mile" not in named


def test_flights_are_widened_by_the_latitude_between(season_at: SeasonAt, library: Library) -> None:
    """A flight published for another latitude is wider by the published days a degree, at both ends."""
    region = library.regions["wisconsin"]
    here = window(season_at(f"lat={region.centre.latitude},lon={region.centre.longitude}"), "flight-2")
    away = window(season_at(f"lat={region.centre.latitude - 2},lon={region.centre.longitude}"), "flight-2")
    days = timedelta(days=8)
    assert here.low is not None
    assert here.high is not None
    assert (away.low, away.high) == (here.low - days, here.high + days)
    assert here.basis == "published"
    assert away.basis == "derived"
    assert "spring-shift.latitude" in away.inputs
    assert "widened by 8 days at each end" in away.note


def test_published_times_go_before_common_practice(season_at: SeasonAt) -> None:
    """In Iowa the published flight of a neighbor carries the window; common practice is a second voice."""
    first = window(season_at("lat=42.1,lon=-93.5"), "flight-1")
    assert first.note.startswith("as published for ")
    assert "common practice nearer to you, in Iowa" in first.note
    asked = window(season_at("lat=42.1,lon=-93.5,region=iowa"), "flight-1")
    assert asked.note.startswith("common practice in Iowa")
    assert asked.basis == "common-practice"


def test_a_start_alone_is_given_the_length_published_elsewhere(season_at: SeasonAt) -> None:
    """Wisconsin tells only the start of the first flight; its length is lent by name, so that later stages fit."""
    season = season_at(GARDEN)
    first = window(season, "flight-1")
    assert first.proxy == "Wisconsin, Missouri"
    assert "taken to last as long as in Missouri" in first.note
    assert "black-swallowtail.flight-1.missouri" in first.inputs
    hosts = window(season, "hosts-ready")
    assert first.low is not None
    assert first.high is not None
    assert hosts.high is not None
    assert hosts.low == first.low
    assert hosts.high < first.high


def test_later_flights_come_from_one_region_and_follow_the_first(season_at: SeasonAt) -> None:
    """Where the nearest region tells only a first flight, later ones come from the next, and none overtakes another."""
    season = season_at("lat=38.6,lon=-90.3")
    assert window(season, "flight-1").proxy == "Missouri"
    second = window(season, "flight-2")
    assert "the first flight is taken from Missouri" in second.note
    for species in NINE:
        for place in PLACES:
            flights = [
                item for item in season_at(place, species).windows if item.id.startswith("flight-") and item.known
            ]
            numbered = [item.low for item in flights if item.id[-1].isdigit() and item.low]
            assert numbered == sorted(numbered), (species, place)


def test_generations_beyond_the_published_number_are_not_drawn(season_at: SeasonAt) -> None:
    """Central New York counts about one generation of the tiger swallowtail, so none is borrowed from Wisconsin."""
    season = season_at("lat=42.5,lon=-76.5", "eastern-tiger-swallowtail")
    assert "about 1 generation a year published for central New York" in window(season, "flight-1").note
    assert season.window("flight-2") is None


@pytest.mark.parametrize(("species", "place"), [("monarch", GARDEN), ("painted-lady", GARDEN)])
def test_species_that_leave_have_flights_and_hosts_but_no_winter(species: str, place: str, season_at: SeasonAt) -> None:
    """Winter windows are absent for good; host plants and a last release remain, by flight and first freeze."""
    season = season_at(place, species)
    for name in WINTER:
        assert window(season, name).absent
        assert "does not pass the winter as a chrysalis" in window(season, name).note
    first, whole = window(season, "flight-1"), window(season, "flight-season")
    assert first.known
    assert whole.known
    assert window(season, "hosts-ready").low == first.low
    last = window(season, "last-release")
    assert last.high is not None
    assert whole.high is not None
    assert last.high <= min(date(2027, 10, 15), whole.high)
    assert not any(window(season_at(place), name).absent for name in WINTER)


def test_where_butterflies_fly_all_year_there_is_no_first_flight(season_at: SeasonAt) -> None:
    """Southern Florida's giant swallowtails have no start: the season says so and no stage gets a time."""
    season = season_at("lat=26.2,lon=-80.9", "giant-swallowtail")
    assert window(season, "flight-season").known
    assert "fly all year" in window(season, "flight-1").note
    assert "needed all year" in window(season, "hosts-ready").note


def test_places_too_far_from_any_published_flight_say_which_is_nearest(season_at: SeasonAt) -> None:
    """Nothing is stretched over half a continent; the reason names the nearest region and how far it is."""
    note = window(season_at("lat=47.6,lon=-122.3", "anise-swallowtail"), "flight-1").note
    assert note.startswith("the nearest flight times are for lowland California, about ")
    assert "too far" in note


def test_the_southern_half_has_its_own_season_year_and_no_american_flights(season_at: SeasonAt) -> None:
    """South of the equator the turn falls into the second half of the season year, and flights are refused in words."""
    season = season_at("lat=-37.8,lon=145.0,last-freeze=09-10,first-freeze=05-20")
    assert "southern half of the Earth" in window(season, "flight-1").note
    turn, cold, warmth = (window(season, name) for name in ("diapause-turn", "to-cold-by", "to-warmth"))
    assert turn.low is not None
    assert cold.low is not None
    assert warmth.low is not None
    assert turn.low.year == cold.low.year == 2028
    assert warmth.low.year == 2027
    assert "turned round for the south" in turn.note


def test_polar_and_tropical_places_are_refused_in_words(season_at: SeasonAt) -> None:
    """Too far from every tested stock there is no turn, and the reason names the tested latitudes."""
    for place, degrees in (("lat=69,lon=-150", "69 degrees"), ("lat=12,lon=-85", "12 degrees")):
        for name in ("diapause-turn", "overwinter-from"):
            note = window(season_at(place), name).note
            assert degrees in note
            assert "too far" in note


def test_an_unknown_region_is_refused_with_the_known_ones(season_at: SeasonAt) -> None:
    """A region id that the content does not have is bad input, not silence."""
    with pytest.raises(BadInput, match="wisconsin") as caught:
        season_at("zone=6a,region=wisconsn")
    assert caught.value.found == "wisconsn"


def test_coming_back_to_warmth_keeps_both_rules(season_at: SeasonAt) -> None:
    """The window never begins before the last freeze, nor more than two weeks before the published first flight."""
    for place in (GARDEN, "lat=34.7,lon=-82.8,last-freeze=02-10,first-freeze=11-30"):
        for species in ("black-swallowtail", "eastern-tiger-swallowtail", "giant-swallowtail"):
            season = season_at(place, species)
            warmth, first = window(season, "to-warmth"), window(season, "hosts-ready")
            assert warmth.low is not None
            assert warmth.low >= (date(2027, 5, 1) if place == GARDEN else date(2027, 2, 10))
            if first.low is not None and window(season, "flight-1").known:
                assert warmth.low >= first.low - timedelta(weeks=2)
                assert "two weeks before the first flight" in warmth.note
    without = window(season_at("lat=42.1,lon=-88.0"), "to-warmth")
    assert not without.known
    assert "only once hard freezes are over" in without.note


def test_heat_and_published_flight_are_both_kept(season_at: SeasonAt) -> None:
    """With temperatures the opening holds heat sum and published start, names both and says how they compare."""
    place = "lat=41.9,lon=-87.7"
    season = season_at(place, daily="chicago_2001-2016.csv.gz")
    opening, hosts = window(season, "spring-opening"), window(season, "hosts-ready")
    assert opening.proxy == "spicebush swallowtail, Wisconsin"
    assert "days later than the first flight as published for Wisconsin" in opening.note
    assert "the window holds both" in opening.note
    assert {"spicebush-swallowtail.opening-heat", "place.temperatures"} <= set(opening.inputs)
    assert window(season_at(place), "flight-1").low == window(season, "flight-1").low == opening.low == hosts.low
    plain = window(season_at(place), "spring-opening")
    assert plain.mid is not None
    assert opening.mid is not None
    assert plain.proxy == "Wisconsin, Missouri"


def test_heat_alone_serves_where_no_flight_is_published(season_at: SeasonAt) -> None:
    """The giant swallowtail near Chicago has no published flight within reach, but a relative's heat sum."""
    season = season_at("lat=41.9,lon=-87.7", "giant-swallowtail", daily="chicago_2001-2016.csv.gz")
    opening, hosts = window(season, "spring-opening"), window(season, "hosts-ready")
    assert not window(season, "flight-1").known
    assert opening.proxy == "spicebush swallowtail"
    assert hosts.low == opening.low


def test_a_longest_time_alone_does_not_become_a_shortest(season_at: SeasonAt) -> None:
    """Giant swallowtail caterpillars are known by their longest time only; the last release counts on it."""
    last = window(season_at(GARDEN, "giant-swallowtail"), "last-release")
    assert last.mid == last.low
    assert "the shortest time is not known" in last.note
    assert "up to 21 days" in window(season_at(GARDEN, "giant-swallowtail"), "overwinter-from").note


def test_a_relative_is_named_only_where_it_stands_in(season_at: SeasonAt) -> None:
    """The spicebush swallowtail's own day lengths are its own; the black swallowtail borrows them by name."""
    assert window(season_at(GARDEN, "spicebush-swallowtail"), "diapause-turn").proxy is None
    borrowed = window(season_at(GARDEN), "diapause-turn")
    assert (borrowed.basis, borrowed.proxy) == ("proxy", "spicebush swallowtail")


def test_outside_the_tested_stocks_the_hours_never_narrow(library: Library) -> None:
    """South and north of the tested stocks the range keeps the nearest stock's hours and grows, never shrinks."""
    known = populations(library, "spicebush-swallowtail")
    for latitude, edge in ((known[0][0] - 4, known[0][1]), (known[-1][0] + 4, known[-1][1])):
        found = critical_hours(known, latitude)
        span = edge.preferred.span
        assert found is not None
        assert span is not None
        low, high = span.ends
        assert found[0] <= (low or 0)
        assert found[1] >= (high or 0)


def test_late_chrysalides_are_told_to_wait(season_at: SeasonAt) -> None:
    """A window of chrysalides that runs past the turn says from when they are likely to wait for spring."""
    season = season_at(GARDEN)
    assert "are likely to wait for spring" in window(season, "chrysalides-2").note


def test_leaf_eaters_end_with_the_late_edge_of_first_freezes(season_at: SeasonAt) -> None:
    """Eggs and caterpillars are not said to be about after nine first freezes in ten have come."""
    for species in NINE:
        season = season_at("lat=46.0,lon=-94.0,last-freeze=05-20,first-freeze=09-20", species)
        for item in season.windows:
            if item.id.startswith(("eggs", "caterpillars")) and item.high is not None:
                assert item.high <= date(2027, 10, 6)


def test_the_same_place_gives_the_same_season(season_at: SeasonAt) -> None:
    """Two runs give equal windows and tasks."""
    assert season_at(GARDEN).to_json() == season_at(GARDEN).to_json()
