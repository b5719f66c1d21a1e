"""What must hold for any place: colder means later, rarer means safer, warmer never means less heat."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from handouts.model.library import Library
from handouts.place import logger
from handouts.season.curve import temperature_curve
from handouts.season.frost import Side, from_daily
from handouts.season.profile import Profile
from handouts.season.series import Series
from handouts.season.sums import daily_heat
from handouts.season.windows import season

LOWS = [14.0, 18.0, 28.0, 39.0, 49.0, 59.0, 64.0, 62.0, 54.0, 42.0, 32.0, 20.0]
HIGHS = [31.0, 35.0, 47.0, 59.0, 70.0, 80.0, 84.0, 82.0, 75.0, 62.0, 48.0, 35.0]


def _garden(shift: float, latitude: float | None) -> Profile:
    curve = temperature_curve(
        [low + shift for low in LOWS], [high + shift for high in HIGHS], basis="test", period="", source=""
    )
    east = -88.0 if latitude is not None else None
    return Profile("garden", None, latitude, east, None, False, {}, {}, (), curve=curve)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.5, 8.0))
def test_a_colder_garden_opens_later(library: Library, colder: float) -> None:
    """Without a published flight the early edge moves later too; with one the best day never comes earlier."""
    for latitude, strict in ((None, True), (42.0, False)):
        warm, cold = (
            season(library, "black-swallowtail", _garden(shift, latitude), 2027).window("spring-opening")
            for shift in (0.0, -colder)
        )
        assert warm is not None
        assert cold is not None
        assert warm.low
        assert warm.mid
        assert warm.high
        assert cold.low
        assert cold.mid
        assert cold.high
        assert cold.mid >= warm.mid
        if strict:
            assert (cold.low, cold.mid) > (warm.low, warm.mid)


def test_the_ten_percent_date_is_the_safe_one(clemson_new: Series) -> None:
    """In spring P10 is the latest and P90 the earliest, in autumn the reverse, at every threshold."""
    for line in (24, 28, 32, 36):
        for side in Side:
            chances = from_daily(clemson_new, line, side).chances
            days = [chances[percent].number for percent in (10, 50, 90) if chances[percent].number is not None]
            assert days == sorted(days, reverse=side is Side.LAST)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.floats(20.0, 90.0), min_size=96, max_size=96),
    st.floats(0.1, 15.0),
    st.floats(40.0, 60.0),
)
def test_a_warmer_log_never_lowers_the_heat_counted(readings: list[float], warmer: float, base: float) -> None:
    """Add the same warmth to every reading of a logger and no day counts less heat."""

    def heat(shift: float) -> float:
        # neighbors stay close, so that the spike screen, which looks at differences, keeps the same readings
        smooth = [60.0 + (value - 55.0) / 10.0 for value in readings]
        rows = "\n".join(
            f"{datetime(2026, 5, 1) + timedelta(hours=at):%Y-%m-%d %H:%M},{value + shift:.3f}"
            for at, value in enumerate(smooth)
        )
        series = logger.parse(f"time,temperature (°F)\n{rows}\n", Path("log.csv"))
        return sum(value for _, value in daily_heat(series, base))

    assert heat(warmer) >= heat(0.0)


@settings(max_examples=25, deadline=None)
@given(st.floats(27.0, 44.0), st.floats(0.5, 4.0))
def test_further_north_caterpillars_turn_no_later(library: Library, latitude: float, step: float) -> None:
    """Northern stocks answer to longer days: between the tested stocks the turn never comes later further north."""
    turns = []
    for at in (latitude, min(44.0, latitude + step)):
        garden = Profile("garden", None, at, -88.0, None, False, {}, {}, ())
        turn = season(library, "black-swallowtail", garden, 2027).window("diapause-turn")
        assert turn is not None
        assert turn.mid is not None
        turns.append(turn.mid)
    assert turns[1] <= turns[0] + timedelta(days=1)
