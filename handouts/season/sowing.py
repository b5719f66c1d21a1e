"""A first sowing and the gap between sowings in; the later sowings of the year out, counted from the last freeze."""

from __future__ import annotations

from datetime import date, timedelta


def repeated(first: timedelta, every: timedelta, until: timedelta | None, most: int) -> list[timedelta]:
    """Return sowings from `first` on, `every` so long, none after `until` (all counted from the last freeze)."""
    found = [first + at * every for at in range(most)]
    return found if until is None else [at for at in found if at <= until]


def last_useful(first_freeze: date | None, fall: timedelta | None, to_cut: timedelta | None) -> date | None:
    """Return the last day a sowing still comes to something: the end of fall sowing where that is known, else as long
    before the first freeze as it takes to cut. None when the first freeze is not known.
    """
    if first_freeze is None:
        return None
    if fall is not None:
        return first_freeze + fall
    return first_freeze - to_cut if to_cut is not None else first_freeze
