"""What a video or sheet from outside states of a fact in, whether the fact still says the same out.

A value is compared as numbers, in the fact's own unit or the one that is named; words are compared with every way the
tool has of saying the fact: in both systems of units, with and without "about".
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from handouts import units
from handouts.compose.phrase import System
from handouts.editions.current import Today
from handouts.editions.record import State
from handouts.errors import BadContent
from handouts.model.facts import Statement

_NUMBER = re.compile(r"[-\u2212]?\d+(?:,\d{3})*(?:\.\d+)?")
_SMALL = [
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
]
_WORD_NUMBERS = {word: str(at) for at, word in enumerate(_SMALL, 1)}
_ENDS = {"low": 0, "high": 1, "from": 0, "to": 1, "at_least": 0, "at_most": 1}


def says_the_same(state: State, statement: Statement, today: Today, modifier: str) -> bool:
    """Whether a state made outside still says what the fact's preferred statement says. Raises BadContent."""
    if state.value is not None:
        return _same_value(state, statement)
    assert state.shown is not None
    return plain(state.shown) in _ways(state, today, modifier)


def _ways(state: State, today: Today, modifier: str) -> set[str]:
    """Every way the tool would say the fact."""
    ways: set[str] = set()
    systems: tuple[System, ...] = ("us", "metric")
    for system in systems:
        for form in dict.fromkeys((modifier, "", "bare")):
            setting = today.setting(system=system)
            try:
                for claim in today.fact_claims(state.base, form, setting):
                    shown = claim.shown.removesuffix(f" in {claim.proxy}") if claim.proxy else claim.shown
                    ways.update((plain(claim.shown), plain(shown)))
                    ways.update(plain(part) for part in re.split(r"\s*\((?:as of|about)?\s*|\)", shown) if part)
            except BadContent:
                continue  # the form does not fit this fact
    return ways


def plain(text: str) -> str:
    """Return words so that spelling plays no part: small letters, plain spaces, "9-18" as "9 to 18", no "about"."""
    text = " ".join(text.lower().replace("\u00a0", " ").replace("\u2212", "-").split()).strip(" .;,")
    text = re.sub(r"(?<=\d)\s*[-\u2013]\s*(?=\d)", " to ", text)
    text = re.sub(r"\b(?:about|around|roughly|approximately|some)\s+", "", text)
    return re.sub(r"[a-z]+", lambda match: _WORD_NUMBERS.get(match.group(), match.group()), text)


def _same_value(state: State, statement: Statement) -> bool:
    value = state.value
    if statement.span is not None:
        return _same_span(state, statement)
    if statement.time is not None:
        points = [plain(str(point)) for point in statement.time.ends]
        return _pair(value, points) == points
    if statement.flag is not None:
        return plain(str(value)) in (("yes", "true") if statement.flag else ("no", "false"))
    return plain(str(value)) == plain(statement.term or "not known")


def _pair(value: object, ends: list[str]) -> list[str]:
    if isinstance(value, Mapping):
        found = [plain(str(value[key])) for key in ("low", "from", "at") if key in value]
        last = [plain(str(value[key])) for key in ("high", "to") if key in value]
        return [*found, *(last or found)][:2]
    parts = [plain(part) for part in re.split(r"\s+to\s+", str(value))]
    return [parts[0], parts[-1]]


def _same_span(state: State, statement: Statement) -> bool:
    span = statement.span
    assert span is not None
    unit = state.unit or span.unit
    if not units.known(unit) or not units.same_dimension(unit, span.unit):
        raise BadContent(
            f"the fact is not measured in {unit!r}", file=state.origin, line=state.line, expected=f"such as {span.unit}"
        )
    ends = [None if end is None else units.convert(end, span.unit, unit) for end in span.ends]
    if unit != span.unit:  # what is said in another unit was rounded for it
        ends = [end if end is None else units.rounded(end, unit) for end in ends]
    return all(_equal(said, now) for said, now in zip(_numbers(state), ends, strict=True))


def _equal(said: float | None, now: float | None) -> bool:
    if said is None or now is None:
        return said is now
    return abs(said - now) <= 1e-6 * max(1.0, abs(said))


def _numbers(state: State) -> tuple[float | None, float | None]:
    """Return low and high of a value as typed: a number, "9 to 18", or a mapping. Raises BadContent."""
    value = state.value
    if isinstance(value, Mapping):
        ends: list[float | None] = [None, None]
        for key, text in value.items():
            if key in ("about", "exactly"):
                ends = [_number(state, text)] * 2
            elif key in _ENDS:
                ends[_ENDS[key]] = _number(state, text)
            elif key not in ("bound", "unit", "mid"):
                raise BadContent(
                    f"the value has a key {key!r}",
                    file=state.origin,
                    line=state.line,
                    expected="low and high, or about",
                )
        return ends[0], ends[1]
    found = [
        _number(state, text)
        for text in re.findall(_NUMBER, re.sub(r"(?<=\d)\s*[-\u2013]\s*(?=\d)", " to ", str(value)))
    ]
    if not 1 <= len(found) <= 2:
        raise BadContent(
            "the value is no number and no range",
            file=state.origin,
            line=state.line,
            found=str(value),
            expected="such as 14, or {low: 9, high: 18}",
        )
    return found[0], found[-1]


def _number(state: State, text: object) -> float:
    try:
        return float(str(text).replace(",", "").replace("\u2212", "-"))
    except ValueError:
        raise BadContent(
            "the value is no number", file=state.origin, line=state.line, found=str(text), expected="such as 14"
        ) from None
