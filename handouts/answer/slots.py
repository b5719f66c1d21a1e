"""A question's text in, what it says of time, place and amount out: dates, zones, temperatures, weights, distances."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_MONTHS = {
    "jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "oct": 10, "nov": 11,
    "dec": 12,
}  # fmt: skip
_MONTH = (
    r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|"
    r"oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
)
_DATES = (
    re.compile(rf"\b{_MONTH}\.? (?P<day>[0-3]?\d)(?:st|nd|rd|th)?\b"),
    re.compile(rf"\b(?P<day>[0-3]?\d)(?:st|nd|rd|th)?(?: of)? {_MONTH}\b"),
)
_SLASHED = re.compile(r"(?<![\d/.])(?P<m>1[0-2]|0?[1-9])/(?P<d>[0-3]?\d)(?:/(?:20)?\d\d)?(?![\d/])")
_ZONE = re.compile(r"\bzone (?P<zone>1[0-3]|[1-9])\s?(?P<half>[ab])?\b")
_ZIP = re.compile(r"\bzip(?: code)? (?P<zip>\d{5})\b")
_DEGREES = re.compile(
    r"(?P<sign>[-\u2212]|minus |below |negative )?\b(?P<n>\d{1,3})\s*"
    r"(?P<unit>\u00b0\s?[cf]?\b|degrees?(?: ?(?:fahrenheit|celsius|[cf])\b)?|[cf]\b|below\b)"
)
# a bare number beside a word of weather or after "high of" is a temperature, taken as Fahrenheit
_NO_HEAT = r"days?|weeks?|months?|miles?|inch|cm|percent|of|caterp|chrys|eggs?|pound|lb|years?|hours?|minutes?|%"
_BARE = re.compile(
    r"(?:\b(?:highs?|lows?|hits?|drop(?:s|ping)? to|down to|up to|around|near) (?:of |in the |to |at )?"
    rf"(?P<a>-?\d{{1,3}})s?\b(?! ?(?:{_NO_HEAT})))|"
    r"(?:(?<![\d/.])\b(?P<b>\d{1,3})(?= +(?:tonight|overnight|at night|by dawn|by morning|outside|today|"
    r"in the shade|on (?:the |my |our )?"
    r"(?:porch|balcony|deck|patio))\b))"
)
_AMOUNTS = {
    "weight": re.compile(r"\b(?:\d+|sixty|fifty|forty|ten|twenty)[ -]?(?:lbs?|pounds?|kg|kilos?)\b"),
    "distance": re.compile(
        r"\b(?:\d+|few|hundred|fifty|forty|twenty|ten|two|three|five)[ -]?"
        r"(?:miles?|mi|km|kilomet\w+|hours? (?:away|drive|north|south|east|west))\b"
    ),
    "measure": re.compile(
        r"\b(?:\d+|a|per|two|half|many|of|into a|in a|to a)[ -]?"
        r"(?:gallons?|quarts?|cups?|ounces?|oz|teaspoons?|tsp|tablespoons?|tbsp|drops?|capfuls?|ml|milliliters?|liters?)\b"
    ),
    "length": re.compile(r"\b(?:\d+(?:\.\d+)?|half an?|an|one|two)[ -]?(?:inch(?:es)?|in|cm|mm|centimeters?)\b"),
    "age": re.compile(r"\b(?:day|week)s? \d+\b|\b\d+(?:st|nd|rd|th)? (?:days?|weeks?|months?)\b"),
}
_BY_MONTH = {12: "winter-month", 1: "winter-month", 2: "winter-month", 3: "spring", 4: "spring", 5: "spring"}
COLD_F, DEEP_F, HOT_F = 55, 20, 88


_ONES = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
_TENS = {"ten": 10, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80}
_TENS["ninety"] = 90
_SPELLED = re.compile(rf"\b({'|'.join(_TENS)})(?: ({'|'.join(_ONES)}))?\b")


_YEAR = re.compile(r"(?<![\d/.])(?P<year>20[0-4]\d)(?![\d/])")
_MONTH_NAMED = re.compile(rf"\b(?P<last>last )?{_MONTH}\b")
# "May" and "March" alone are as often verbs
_VERBS = frozenset({"may", "march"})


def _past_spring(text: str) -> int | None:
    """Return where the text says that a spring lies between two months: one of late summer or fall, then one after."""
    fall: int | None = None
    after: int | None = None
    for match in _MONTH_NAMED.finditer(text):
        word = match["month"]
        if word in _VERBS and not re.match(r" \d", text[match.end() :]):
            continue
        month = _MONTHS[word[:3]]
        if fall is not None and 5 <= month <= 8 and month < fall:
            return match.start()
        if match["last"] and 8 <= month <= 11 and after is not None:
            return match.start()
        if 5 <= month <= 8:
            after = month
        if 8 <= month <= 11:
            fall = month
    return None


@dataclass(frozen=True)
class Slots:
    """What was found; `hints` are concepts that the figures stand for, with the offset where each stands."""

    dates: tuple[tuple[int, int], ...] = ()
    year: int | None = None
    zone: str | None = None
    zip: str | None = None
    degrees_f: tuple[float, ...] = ()
    amounts: tuple[str, ...] = ()
    hints: tuple[tuple[str, int], ...] = field(default=())


def figures(text: str) -> str:
    """Write spelled tens as digits, in as many letters as before: "twenty nine" becomes "29" and blanks."""

    def digits(match: re.Match[str]) -> str:
        value = _TENS[match[1]] + _ONES.get(match[2] or "", 0)
        return str(value).ljust(len(match[0]))

    return _SPELLED.sub(digits, text)


def find_slots(text: str) -> Slots:
    """Read the figures of a lower-case text. Days that no month has are left out."""
    text = figures(text)
    hints: list[tuple[str, int]] = []
    dates: list[tuple[int, int]] = []
    spelled = sorted((match for pattern in _DATES for match in pattern.finditer(text)), key=lambda match: match.start())
    past = 0
    for match in spelled:
        # "September 9, 2025" must not be read again as "9 of …"
        if match.start() >= past:
            past = match.end()
            _add_date(_MONTHS[match["month"][:3]], int(match["day"]), match.start(), dates, hints)
    for match in _SLASHED.finditer(text):
        _add_date(int(match["m"]), int(match["d"]), match.start(), dates, hints)
    spring = _past_spring(text)
    if spring is not None:
        hints.append(("past-spring", spring))
    degrees: list[float] = []
    for match in _DEGREES.finditer(text):
        warmth = _fahrenheit(match)
        degrees.append(warmth)
        hints.extend((name, match.start()) for name in _hints_of(warmth))
    if not degrees:
        for match in _BARE.finditer(text):
            warmth = float(match["a"] or match["b"])
            degrees.append(warmth)
            hints.extend((name, match.start()) for name in _hints_of(warmth))
    amounts: list[str] = []
    for name, pattern in _AMOUNTS.items():
        for match in pattern.finditer(text):
            amounts.append(name)
            concept = {"distance": "place-far", "length": "size", "age": "duration", "measure": "measure"}.get(name)
            if concept is not None:
                hints.append((concept, match.start()))
    zone, code = _ZONE.search(text), _ZIP.search(text)
    year = _YEAR.search(text)
    return Slots(
        tuple(dates),
        int(year["year"]) if year else None,
        zone["zone"] + (zone["half"] or "") if zone else None,
        code["zip"] if code else None,
        tuple(degrees),
        tuple(amounts),
        tuple(hints),
    )


def _add_date(month: int, day: int, at: int, dates: list[tuple[int, int]], hints: list[tuple[str, int]]) -> None:
    if not 1 <= day <= 31:
        return
    dates.append((month, day))
    hints.append((_BY_MONTH.get(month, "summer" if month < 9 else "fall"), at))
    if month in (12, 1, 2):
        hints.append(("winter", at))


def _hints_of(warmth: float) -> tuple[str, ...]:
    if warmth >= HOT_F:
        return ("heat",) if warmth <= 130 else ()
    return ("deep-cold", "cold") if warmth <= DEEP_F else ("cold",) if warmth <= COLD_F else ()


def _fahrenheit(match: re.Match[str]) -> float:
    value = float(match["n"]) * (-1 if match["sign"] or match["unit"] == "below" else 1)
    unit = match["unit"].strip("\u00b0 ")
    return value * 9 / 5 + 32 if unit.endswith("c") or "celsius" in unit else value
