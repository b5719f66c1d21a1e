"""One value of a place profile and how it is known; freeze dates come in, the profile's freeze fields go out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from handouts.season import yearday
from handouts.season.frost import Freeze, Side
from handouts.season.profile import Field, Kind, key

SHOWN = (10, 50, 90)
EIGHT_IN_TEN = "eight years in ten"
_Z80 = 1.2816


@dataclass(frozen=True)
class Candidate:
    """Freeze dates of one side and threshold from one input; a larger `rank` is the better basis.

    `given_chance` is the one chance (percent) whose date the user typed; the others are worked out from it.
    """

    rank: int
    freeze: Freeze
    kind: Kind
    basis: str
    period: str | None
    source: str
    warnings: tuple[str, ...] = ()
    given_chance: float | None = None


def freeze_fields(candidates: list[Candidate]) -> tuple[Freeze, dict[str, Field]]:
    """The fields of the best candidate; the others stand in the warnings of the middle date as cross-checks."""
    best, *others = sorted(candidates, key=lambda candidate: -candidate.rank)
    freeze = best.freeze
    made = {}
    for percent in SHOWN:
        chance = freeze.chances.get(percent)
        if chance is None:
            continue
        warnings = (*best.warnings, *freeze.notes)
        if chance.day is None:
            why = "the file gives no date" if best.kind == "published" else "a freeze does not happen that often"
            warnings = (*warnings, why)
            made[key(freeze.side, freeze.threshold, percent)] = _field(best, percent, None, None, None, warnings, None)
            continue
        if percent == 50:
            warnings = (*warnings, *(_crosscheck(freeze, other) for other in others))
            low, high = _ends(freeze)
            made[key(freeze.side, freeze.threshold, percent)] = _field(
                best, percent, chance.day, low, high, warnings, EIGHT_IN_TEN if low or high else None
            )
            continue
        low = high = None
        if chance.error_days is not None and chance.number is not None:
            reach = _Z80 * chance.error_days
            low, high = (yearday.month_day(chance.number + step, freeze.south) for step in (-reach, reach))
        made[key(freeze.side, freeze.threshold, percent)] = _field(
            best, percent, chance.day, low, high, warnings, "error of the estimate, 80 percent" if low or high else None
        )
    return freeze, made


def _field(
    best: Candidate,
    percent: int,
    value: str | None,
    low: str | None,
    high: str | None,
    warnings: tuple[str, ...],
    spread: str | None,
) -> Field:
    plain = tuple(dict.fromkeys(warning for warning in warnings if warning))
    kind: Kind = "derived" if best.kind == "given" and percent != best.given_chance else best.kind
    return Field(value, low, high, kind, best.basis, best.period, best.source, plain, spread)


def _ends(freeze: Freeze) -> tuple[str | None, str | None]:
    """The early and the late end of eight years in ten."""
    early, late = (90, 10) if freeze.side is Side.LAST else (10, 90)
    ends = [freeze.chances.get(percent) for percent in (early, late)]
    return ends[0].day if ends[0] else None, ends[1].day if ends[1] else None


def _crosscheck(freeze: Freeze, other: Candidate) -> str:
    """What another input says of the middle date."""
    theirs, ours = other.freeze.chances.get(50), freeze.chances.get(50)
    if theirs is None or theirs.day is None:
        return f"cross-check, {other.basis}: {'; '.join(other.freeze.notes) or 'no middle date'}"
    text = f"cross-check, {other.basis}: {theirs.day}"
    if ours is None or ours.number is None or theirs.number is None:
        return text
    days = round(theirs.number - ours.number)
    return f"{text} ({abs(days)} days {'later' if days > 0 else 'earlier'})" if days else f"{text} (the same day)"


def with_warning(field: Field, warning: str) -> Field:
    """The field with one more warning."""
    return replace(field, warnings=(*field.warnings, warning))
