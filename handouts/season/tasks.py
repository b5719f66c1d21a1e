"""The windows of a season and the freezes of a place in; the gardener's dated list out, in order of time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from handouts.model.facts import Fact
from handouts.model.library import Library
from handouts.model.season import Task, Window
from handouts.model.times import Offset
from handouts.season.making import USABLE
from handouts.season.profile import Profile

GOOD_FOOD = ("good",)
_SIDES = {"last freeze": "last", "first freeze": "first"}


def tasks_of(
    library: Library,
    species: str,
    windows: Iterable[Window],
    profile: Profile,
    year: int,
    plants: Iterable[str] | None = None,
) -> tuple[Task, ...]:
    """Return what the gardener does, from when to when, how that is known and from what, in order of time.

    The gardener's windows of the season come with the sowing and planting of `plants`; left out, these are the good
    food plants of the species. Sowing needs the place's freeze dates and is left out without them.
    """
    words = library.all_words().windows
    found = [
        Task(window.label, window.low, window.high, window.basis, window.inputs, window.note)
        for window in windows
        if window.low is not None and window.high is not None and words[window.id].row == "gardener"
    ]
    for plant in food_plants(library, species) if plants is None else plants:
        for fact in sowing(library, plant):
            days = freeze_days(fact, profile, year)
            if days is not None:
                found.append(_planting(fact, *days))
    return tuple(sorted(found, key=lambda task: (task.low, task.high, task.what)))


def food_plants(library: Library, species: str) -> list[str]:
    """Return the plants that are good food for a species, in the order of the fact base."""
    found = []
    for name in library.subjects:
        fact = library.facts.get(f"{name}.food-for.{species}")
        if fact is not None and fact.preferred.basis.kind in USABLE and fact.preferred.term in GOOD_FOOD:
            found.append(name)
    return found


def sowing(library: Library, plant: str) -> list[Fact]:
    """Return the facts of a plant whose times are counted from a freeze."""
    return [fact for fact in library.subject(plant).facts.values() if _offsets(fact) is not None]


def freeze_days(fact: Fact, profile: Profile, year: int) -> tuple[date, date] | None:
    """Return the dates of a time that is counted from the place's median freezes, or None."""
    points = _offsets(fact)
    if points is None:
        return None
    found = []
    for point in points:
        day = profile.freeze_day(_SIDES[point.of], year)
        if day is None:
            return None
        found.append(day + point.days)
    return found[0], found[1]


def _offsets(fact: Fact) -> tuple[Offset, Offset] | None:
    time = fact.preferred.time
    if time is None or fact.preferred.basis.kind not in USABLE:
        return None
    first, last = time.ends
    return (first, last) if isinstance(first, Offset) and isinstance(last, Offset) else None


def _planting(fact: Fact, low: date, high: date) -> Task:
    """A plant's fact as a thing to do: "when to sow dill outdoors" becomes "Sow dill outdoors"."""
    points = _offsets(fact)
    assert points is not None
    what = fact.label.removeprefix("when to ")
    kind = fact.preferred.basis.kind.replace("-", " ")
    counted = " to ".join(dict.fromkeys(str(point).replace(" wk ", " weeks ") for point in points))
    inputs = (fact.id, *fact.preferred.rests_on, *dict.fromkeys(f"place.{p.of.replace(' ', '-')}" for p in points))
    return Task(what[:1].upper() + what[1:], low, high, "derived", inputs, f"{kind}: {counted}")
