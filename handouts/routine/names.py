"""A question as typed in, the same without what could name a person out: for the log, where no name may stand.

What a rule of letters can find is taken out: addresses, numbers to call, links, handles, names after a greeting, in a
farewell, after "my name is", after a title or a relative, and capitalized words inside a sentence that the base does
not know. A name in lower case that is no such place may stay; the log is for the club's own eyes.
"""

from __future__ import annotations

import re
from collections.abc import Callable

NAME, CONTACT, LINK, ADDRESS = "[name]", "[contact]", "[link]", "[address]"
LOG_LIMIT = 2_000
_LINK = re.compile(r"\b(?:https?://|www\.)\S+", re.I)
_MAIL = re.compile(r"\b[\w.+-]+@[\w-]+(?:\.[\w-]+)+\b")
_HANDLE = re.compile(r"(?<!\w)@\w[\w.]*")
_PHONE = re.compile(r"(?<![\w.])\+?\(?\d{3}\)?[ .-]?\d{3}[ .-]?\d{4}(?!\w)")
_STREET = re.compile(
    r"\b\d{1,5} (?:[NSEW]\.? )?(?:[A-Z][\w']*\.? ){1,3}"
    r"(?:St|Street|Ave|Avenue|Rd|Road|Ln|Lane|Dr|Drive|Blvd|Court|Ct|Way|Circle|Cir|Place|Pl|Terrace|Trail)\b\.?"
)
_KIN = (
    r"son|daughter|grandson|granddaughter|grandchild|husband|wife|partner|mother|father|mom|mum|dad|grandma|grandpa|grandmother|"
    r"grandfather|sister|brother|aunt|uncle|niece|nephew|cousin|friend|neighbor|neighbour|teacher|student|boy|girl|dog|cat|puppy"
)
_CAP = r"[A-Z][a-zA-Z'\u2019-]*"
_NAMES = rf"{_CAP}(?: (?:[A-Z]\.|{_CAP}))?(?: {_CAP})?"
_AFTER = (
    re.compile(rf"(?i:\bmy name(?: is|'s|\u2019s)|\bname's|\bi am called|\bthis is)(?P<gap> )(?P<name>{_NAMES})"),
    re.compile(r"\b[Mm]y name(?: is|'s|\u2019s)(?P<gap> )(?P<name>[a-z'-]+(?: [a-z'-]+)?)(?=[ ,.!?]|$)"),
    re.compile(r"\bthis is(?P<gap> )(?P<name>[a-z'-]+)(?= (?:from|in|here)\b)"),
    re.compile(rf"\b(?:I'm|I am|i'm|i am)(?P<gap> )(?P<name>{_CAP}(?: {_CAP})?)(?=[ ,.](?:from|in|and|,|$))"),
    re.compile(rf"\b(?:Mr|Mrs|Ms|Miss|Dr|Prof|Sr|Aunt|Uncle|Grandma|Grandpa)\.?(?P<gap> )(?P<name>{_NAMES})"),
    re.compile(rf"(?i:\b(?:{_KIN})s?)(?P<gap>,? )(?P<name>{_CAP}(?: {_CAP})?)"),
    re.compile(rf"(?i:\b(?:hi|hello|hey|dear|thanks|thank you))(?P<gap>,? )(?P<name>{_NAMES})(?=[,!. ]|$)"),
)
_FAREWELL = re.compile(
    rf"(?:(?:\u2014|--?|~|[Ll]ove,?|[Rr]egards,?|[Bb]est,?|[Ss]incerely,?|[Tt]hanks,?|[Tt]hank you,?|[Cc]heers,?)\s*)"
    rf"(?P<name>{_NAMES})\.?\s*$"
)
_INSIDE = re.compile(rf"(?<=[a-z0-9,;:)] )(?P<name>{_CAP}(?: {_CAP})*)")
# words with a capital that are no person's: days, months, and short words
_NO_PERSON = frozenset(
    [
        *("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "i", "ok", "tv", "usa", "us"),
        *("january", "february", "march", "april", "may", "june", "july", "august", "september", "october"),
        *("november", "december", "mother's", "father's", "thanksgiving", "christmas", "easter", "halloween", "labor"),
        *("memorial", "north", "south", "east", "west", "northern", "southern", "eastern", "western", "new", "city"),
    ]
)


def without_names(text: str, known: Callable[[str], bool], places: frozenset[str] = frozenset()) -> str:
    """Return the text on one line without names, addresses and numbers to call, at most `LOG_LIMIT` characters.

    `known` says whether a lower-case word is one of the base's; `places` are lower-case names of states and the like.
    """
    text = " ".join(text[: 2 * LOG_LIMIT].split())
    for pattern, mark in ((_LINK, LINK), (_MAIL, CONTACT), (_HANDLE, NAME), (_PHONE, CONTACT), (_STREET, ADDRESS)):
        text = pattern.sub(mark, text)

    def common(word: str) -> bool:
        plain = word.lower().replace("\u2019", "'")
        return plain in _NO_PERSON or plain in places or known(plain.removesuffix("'s"))

    def place(name: str) -> bool:
        return name.lower() in places or all(word.lower() in places | _NO_PERSON for word in name.split())

    def after(match: re.Match[str]) -> str:
        name = match["name"]
        return match[0] if place(name) or name in ("I", "I'm") else match[0][: -len(name)] + NAME

    for pattern in _AFTER:
        text = pattern.sub(after, text)
    text = _FAREWELL.sub(lambda match: match[0] if place(match["name"]) else NAME, text)

    def inside(match: re.Match[str]) -> str:
        words = match["name"].split()
        return match[0] if place(match["name"]) or all(common(word) for word in words) else NAME

    return _INSIDE.sub(inside, text)[:LOG_LIMIT]
