"""An outlook and today's date in, what to do with the chrysalis now out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from handouts.model.season import Window
from handouts.season import yearday
from handouts.shelf.outlook import Ground, Outlook

# Without this place's freezes a late opening is watched for this long before it counts as waiting.
GRACE = timedelta(days=30)
# The longest wait through one winter that is expected when no window of the place is known.
_WINTER = "pupa.winter"


class Status(StrEnum):
    """What a chrysalis that is still closed is doing; the order is that of the page."""

    DUE = "due"
    EITHER = "could-be-either"
    OVERDUE = "past-summer-time"
    PAST = "past-its-time"
    WAITS = "overwinters"
    SPRING = "due-in-spring"
    SECOND_WINTER = "second-winter"
    SECOND_SPRING = "due-in-second-spring"
    LONG = "waits-longer"
    UNKNOWN = "cannot-say"


@dataclass(frozen=True)
class State:
    """The status on a day, when it may open (None where nothing can be said), and when to stop waiting."""

    status: Status
    low: date | None
    high: date | None
    stop: Window | None = None


def state_on(ground: Ground, look: Outlook, today: date, moved: date | None = None) -> State:
    """Return what a closed chrysalis is doing on `today`; `moved` is its last move, if any.

    A move in the year after it formed counts as the move to warmth, and its own opening time is counted from it.
    """
    summer = look.window("this-year")
    if summer is not None and summer.high is not None and not look.waits and today <= summer.high:
        status = Status.EITHER if look.chance.value in ("could-be-either", "cannot-say") else Status.DUE
        return State(status, summer.low, summer.high)
    if look.chance.value == "does-not-winter-as-chrysalis":
        return State(Status.UNKNOWN if summer is None else Status.PAST, None, None)
    if _beyond(look, today):
        return State(Status.LONG, None, None)
    first, second = look.window("next-spring"), look.window("second-spring")
    stop, stop_two = look.window("stop-next-spring"), look.window("stop-second-spring")
    if stop is None or stop.high is None:
        return _without_place(ground, look, today, first)
    if today <= stop.high:
        return _before_stop(ground, look, today, moved, first, stop)
    if stop_two is not None and stop_two.high is not None and today > stop_two.high:
        return State(Status.LONG, None, None)
    warmth = ground.known(look.species, look.year + 2, "to-warmth")
    opened = second.low if second is not None else None
    begins = warmth.low if warmth is not None else opened
    later = begins is not None and today >= begins
    status = Status.SECOND_SPRING if later else Status.SECOND_WINTER
    return State(status, opened, second.high if second is not None else None, stop_two)


def _before_stop(
    ground: Ground, look: Outlook, today: date, moved: date | None, first: Window | None, stop: Window
) -> State:
    low, high = (first.low, first.high) if first is not None else (None, None)
    if moved is not None and yearday.season_year(moved, ground.profile.south) == look.year + 1:
        kind = ground.words.kept.get(look.kept or "")
        quantity = kind.opens if kind is not None and kind.opens not in (None, "spring") else "warm-to-opening.room"
        stage = ground.stage(look.species, quantity or "warm-to-opening.room")
        if stage is not None:
            low, high = stage.after(moved)
    warmth = ground.known(look.species, look.year + 1, "to-warmth")
    begins = min(day for day in (low, warmth.low if warmth is not None else None, stop.high) if day is not None)
    if today >= begins:
        return State(Status.SPRING, low, high, stop)
    summer, cold = look.window("this-year"), look.window("to-cold-by")
    late = summer is not None and summer.high is not None and not look.waits
    if late and (cold is None or cold.low is None or today < cold.low):
        return State(Status.OVERDUE, low, high, stop)
    return State(Status.WAITS, low, high, stop)


def _without_place(ground: Ground, look: Outlook, today: date, first: Window | None) -> State:
    """By days alone: past the summer time, then past the longest time through one winter."""
    low, high = (first.low, first.high) if first is not None else (None, None)
    winter = ground.stage(look.species, _WINTER)
    if winter is not None and today > winter.after(look.formed)[1]:
        return State(Status.SECOND_WINTER, None, None)
    summer = look.window("this-year")
    if summer is not None and summer.high is not None and not look.waits and today <= summer.high + GRACE:
        return State(Status.OVERDUE, low, high)
    return State(Status.WAITS, low, high)


def _beyond(look: Outlook, today: date) -> bool:
    longest = look.window("longest-wait")
    return longest is not None and longest.high is not None and today > longest.high
