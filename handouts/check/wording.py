"""Two terms in, whether they say the same out: words, figures and denials are compared."""

from __future__ import annotations

import re

_FILLER = frozenset(
    ["a", "an", "the", "of", "in", "on", "at", "to", "and", "or", "with", "its", "it", "by", "for", "from", "is", "are"]
)
_DENIALS = frozenset(["not", "no", "never", "none", "nor", "neither", "without", "cannot", "nothing", "nobody"])
_WORD = re.compile(r"[a-z]+(?:['\u2019]t)?")


def content_words(text: str) -> set[str]:
    """Return the words of a term that carry meaning, plural endings cut off."""
    return {_stem(word) for word in _WORD.findall(text.lower()) if word not in _FILLER}


def _stem(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def figures(text: str) -> list[str]:
    """Return the digits of a term in their order: telephone numbers, section numbers, years."""
    return re.findall(r"\d+", text)


def denied(text: str) -> bool:
    """Whether a term denies something."""
    words = set(_WORD.findall(text.lower()))
    return bool(words & _DENIALS) or any(word.endswith(("n't", "n\u2019t")) for word in words)


def terms_disagree(statement: str, references: list[str]) -> str | None:
    """Say how a term disagrees with what its references state, or return None.

    Every word that carries meaning must stand in a reference; each of them has the same figures and the same denial,
    and shares words with the term.
    """
    given = set().union(*(content_words(text) for text in references)) if references else set()
    strange = sorted(content_words(statement) - given)
    told = "; ".join(references)
    if strange:
        return f"{statement!r}: {', '.join(strange)} does not stand in {told!r}"
    for text in references:
        if figures(statement) != figures(text):
            return f"{statement!r} has other figures than {text!r}"
        if denied(statement) != denied(text):
            return f"{statement!r} and {text!r}: one denies what the other says"
        if terms_apart(statement, text) and terms_apart(text, statement):
            return f"{statement!r} shares too little with {text!r}"
    return None


def terms_apart(one: str, other: str) -> bool:
    """Whether a term shares less than half of its words with another one, or has figures that the other lacks."""
    words = content_words(one)
    if words and len(words & content_words(other)) * 2 < len(words):
        return True
    return bool(figures(one)) and figures(one) != figures(other)
