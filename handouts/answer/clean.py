"""A text as it was typed in, harmless plain words out: no control characters, no markup, no template syntax."""

from __future__ import annotations

import html
import re
import unicodedata
from dataclasses import dataclass

from handouts.answer.vocabulary import Vocabulary
from handouts.answer.words import tokens

BYTE_LIMIT = 1_000_000
READ_LIMIT = 4_000
_TAG = re.compile(r"<(?:script|style)\b.*?(?:</(?:script|style)\s*>|\Z)|</?[a-z!][^<>]{0,400}>", re.I | re.S)
_TEMPLATE = re.compile(r"\{[{%#]|[%#}]\}|[{}$`\\]|<%|%>")
_LINK = re.compile(r"\b(?:https?://|www\.)\S+", re.I)
_BLANK = re.compile(r"[ \t\f\v\u00a0]+")
# as many small words of another language as of English, and at least this many
_ENOUGH = 2
_SHARE = 0.25


def clean(text: str) -> str:
    """Return a text as plain words on lines; marks of markup and templates become blanks.

    Of a very long text the beginning and the end are read: a long story has its question at one of them.
    """
    if len(text) > READ_LIMIT:
        text = f"{text[: READ_LIMIT // 2]}\n{text[-(READ_LIMIT // 2) + 1 :]}"
    text = unicodedata.normalize("NFKC", html.unescape(text))
    text = _TEMPLATE.sub(" ", _TAG.sub(" ", _LINK.sub(" ", text)))
    kept = (
        char if char == "\n" or unicodedata.category(char)[0] not in "CZ" else " " if char != "\u200b" else ""
        for char in text
    )
    lines = (_BLANK.sub(" ", line).strip() for line in "".join(kept).splitlines())
    return "\n".join(line for line in lines if line)


@dataclass(frozen=True)
class Language:
    """A language that is not English, and what is said in it."""

    id: str
    name: str
    says: str


def other_language(text: str, vocabulary: Vocabulary) -> Language | None:
    """Return the language a text is written in when that is plainly one of those known and not English."""
    words = re.findall(r"[^\W\d_]+", text.lower())
    if len(words) < 2:
        return None
    best: tuple[int, int, str] = (0, 0, "")
    for name, record in vocabulary.languages.items():
        small = frozenset(record.words.split())
        only = sum(word in small and word not in vocabulary.stop for word in words)
        shared = sum(word in small for word in words)
        english = sum(word not in small and vocabulary.speller.known(word) for word in words)
        if only >= _ENOUGH and shared >= _SHARE * len(words):
            best = max(best, (shared, -english, name))
    if best[0] <= -best[1]:
        return None
    record = vocabulary.languages[best[2]]
    return Language(best[2], record.name, record.says)


def has_words(text: str) -> bool:
    """Whether the text holds at least one word of letters."""
    return any(word.isalpha() for word in tokens(text))
