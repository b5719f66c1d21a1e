"""A word or a text in, its tokens and stems out: the one way words are cut, for questions and for the base alike."""

from __future__ import annotations

import re
from functools import lru_cache

_TOKEN = re.compile(r"[a-z0-9]+(?:'[a-z]+)?|&")
_HYPHEN = re.compile(r"(?<=\S)-|-(?!\d)")
_SLASHED = re.compile(r"\bw/(?:o\b)?|\bb/c\b")
_VOWEL = re.compile(r"[aeiouy]")
# words that end like a verb form and are none
_WHOLE = frozenset(
    {"evening", "morning", "ceiling", "sibling", "everything", "nothing", "something", "anything", "hundred", "naked"}
)


def plain_letters(text: str) -> str:
    """Return `text` in lower case with straight quotes and plain Latin letters where there is one."""
    text = text.lower()
    if not text.isascii():
        text = text.replace("\u2019", "'").replace("\u2018", "'").replace("\u00e9", "e")
    # a hyphen parts words, but not a minus from its figure
    return _HYPHEN.sub(" ", text) if "-" in text else text


def tokens(text: str) -> list[str]:
    """Cut a text into lower-case words and numbers; "w/" and "&" stay as they are typed."""
    text = plain_letters(text)
    if "/" not in text:
        return _TOKEN.findall(text)
    found: list[str] = []
    at = 0
    for match in _SLASHED.finditer(text):
        found.extend(_TOKEN.findall(text[at : match.start()]))
        found.append(match.group())
        at = match.end()
    found.extend(_TOKEN.findall(text[at:]))
    return found


@lru_cache(maxsize=32_768)
def stem(word: str) -> str:
    """Return the word without its common English endings: plural, -ing, -ed, -ly, final -e."""
    if len(word) <= 3 or word in _WHOLE or not word.isalpha():
        return word
    word = _without_plural(word)
    for ending in ("ing", "ed"):
        if word.endswith(ending) and not word.endswith("eed"):
            base = word[: -len(ending)]
            if len(base) >= 2 and _VOWEL.search(base):
                if word.endswith("ied"):
                    return base[:-1] + "y"
                if len(base) > 2 and base[-1] == base[-2] and base[-1] not in "lsz":
                    base = base[:-1]
                word = base
                break
    if word.endswith("ly") and len(word) >= 6:
        word = word[:-2]
    if word.endswith("e") and len(word) > 3:
        word = word[:-1]
    return word


def _without_plural(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "xes", "ches", "shes", "zes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
