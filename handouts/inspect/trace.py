"""A text without markup in, the figures out that no claim and no constant accounts for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from handouts.model.numerals import typed_figures

COVER = "\ufffc"
# Letters that are numbers besides the digits: fractions, circled numbers, small raised and lowered ones.
_SIGNS = re.compile(r"[\u00bc-\u00be\u2150-\u215f\u2189\u2460-\u249b\u2776-\u2793\u00b2\u00b3\u00b9\u2070-\u2089]")
# The number of a list item: at the start of a line and before a capital letter, or alone on its line.
_LIST_NUMBER = re.compile(r"(?:^|\n)[ \t]*(\d{1,2})(?=[.)]?(?:[ \t]*(?:\n|$)|\s+[\"'(\u201c\u2018]?[A-Z]))")
# A bare number that is declared for a list or a minute plan does not stand for an amount with one of these units.
_AMOUNT = (
    r"(?!\s*(?:to\s+\d+\s*)?(?:[°%]|(?:degrees?|percent|seconds?|hours?|days?|nights?|weeks?|months?|years?|inch(?:es)?|"
    r"foot|feet|mm|cm|mL|grams?|cups?|tablespoons?|teaspoons?|ounces?|gallons?|liters?|broods?|generations?|instars?)\b))"
)
# No word of a language is this long; of such a run only the digits are looked at.
_ENDLESS = re.compile(r"\S{2000,}")
_BREAK = r"(?:[-\u2010\u00ad]?[ \t]*\n[ \t]*)?"


@dataclass(frozen=True)
class Numeral:
    """A figure in a text: what stands there and at which offset."""

    text: str
    at: int


def numerals(text: str) -> Iterator[Numeral]:
    """Yield every figure: digits, number signs, and number words before a unit. Line breaks count as spaces."""
    flat = re.sub(r"[\n\r\t\u2009\u202f]", " ", text)
    flat = _ENDLESS.sub(lambda match: re.sub(r"\D", " ", match.group()), flat)
    seen: set[int] = set()
    for figure in typed_figures(flat.replace("{", " ").replace("}", " ")):
        if figure.text.strip(COVER):
            seen.update(range(figure.at, figure.at + len(figure.text)))
            yield Numeral(figure.text.strip(COVER), figure.at)
    for match in _SIGNS.finditer(flat):
        if match.start() not in seen:
            yield Numeral(match.group(), match.start())


@lru_cache(maxsize=8192)
def _counts(text: str) -> bool:
    return any(True for _ in numerals(text))


@lru_cache(maxsize=8192)
def pattern_of(shown: str, loose: bool, bare: bool = False) -> re.Pattern[str] | None:
    """Return a pattern for a shown text wherever its lines break, None for an empty one.

    A loose one may touch letters (marks follow figures); with `bare`, a number alone stands for no amount with a unit.
    """
    words = shown.replace("\u00ad", "").split()
    if not words:
        return None
    body = r"\s+".join(_BREAK.join(re.escape(char) for char in word) for word in words)
    before = r"(?<!\d)(?<!\d[.,])" if loose or not words[0][0].isalnum() else r"(?<!\w)(?<!\d[.,])"
    after = r"(?!\d)(?![.,]\d)" if loose or not words[-1][-1].isalnum() else r"(?!\w)(?![.,]\d)"
    if bare and shown.strip().isdecimal():
        after += _AMOUNT
    return re.compile(before + body + after)


def masked(text: str, shown: Iterable[str], constants: Iterable[str], bare: bool = False) -> str:
    """Cover every shown text of a claim, then every constant, the longest first. The length stays the same."""
    for texts, loose in ((shown, True), (constants, False)):
        for wanted in sorted({item for item in texts if _counts(item)}, key=lambda item: (-len(item), item)):
            pattern = pattern_of(wanted, loose, bare and not loose)
            if pattern is not None:
                text = pattern.sub(lambda match: COVER * len(match.group()), text)
    return text


def untraced(
    text: str, shown: Iterable[str], constants: Iterable[str], last: int = 0, *, bare: bool = True
) -> tuple[list[Numeral], int]:
    """Return the figures that nothing accounts for, and the last number of a running list.

    Numbers at the start of lines that count up by one (1, 2, 3 …) are those of a list; `last` is the one reached on
    the page before. With `bare`, a number declared alone ("3") does not account for an amount ("3 days").
    """
    rest = masked(text, shown, constants, bare)
    covered = []
    for match in _LIST_NUMBER.finditer(text):
        number = int(match.group(1))
        if number in (1, last + 1):
            last = number
            covered.append((match.start(1), match.end(1)))
    for start, end in covered:
        rest = rest[:start] + COVER * (end - start) + rest[end:]
    return list(numerals(rest)), last
