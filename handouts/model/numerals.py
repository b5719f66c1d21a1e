"""Text in, the figures typed in it out: digits, and number words that stand before a unit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_WORDS = (
    "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|"
    "eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand|dozen|half|"
    "a couple of|a few hundred|several hundred"
)
_UNITS = (
    "seconds?|minutes?|hours?|days?|nights?|weeks?|fortnights?|months?|years?|degrees?|inch(?:es)?|foot|feet|yards?|"
    "miles?|millimeters?|centimeters?|meters?|kilometers?|ounces?|pounds?|grams?|kilograms?|cups?|tablespoons?|"
    "teaspoons?|pints?|quarts?|gallons?|liters?|percent|broods?|generations?|flights?|instars?|winters?|plants?"
)
# "one day" and "one winter" are idioms as often as counts; "one" counts only beside a measure of amount.
_WORD_FIGURE = re.compile(
    rf"\b(?P<word>(?:{_WORDS})(?:[ -](?:to|or|and|hundred|thousand)[ -](?:{_WORDS}))*)(?:[ -]to)?(?:[ -]|\u00a0)"
    rf"(?P<unit>(?:more |full |whole )?(?:{_UNITS}))\b",
    re.IGNORECASE,
)
_DIGITS = re.compile(r"(?<![\w{])[#$]?[+\-\u2212]?\d[\d,.:/%\u2013-]*\w*|\w*\d\w*|[½¼¾⅓⅔⅛²³¹⁰⁴-⁹₀-₉]")
_NAMES = re.compile(r"\{[^{}]*\}")
_ONE_IDIOM = re.compile(r"one (?:day|night|winter|plant|flight)$", re.IGNORECASE)


@dataclass(frozen=True)
class Figure:
    """A figure typed in a text: what stands there and at which offset."""

    text: str
    at: int


def typed_figures(text: str) -> Iterator[Figure]:
    """Yield the figures of `text` that are not names in braces."""
    blank = _NAMES.sub(lambda match: " " * len(match.group()), text)
    for match in _DIGITS.finditer(blank):
        yield Figure(match.group().rstrip(".,:-"), match.start())
    for match in _WORD_FIGURE.finditer(blank):
        if not _ONE_IDIOM.match(match.group()):
            yield Figure(match.group(), match.start())
