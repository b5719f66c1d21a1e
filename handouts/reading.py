"""Prose in, how hard it is to read out: Flesch-Kincaid grade, Flesch ease, SMOG, sentence lengths.

The formulas are the published ones (Flesch 1948; Kincaid and others 1975; McLaughlin 1969; Dale and Chall, new
edition). Words are counted by Flesch's rules: a contraction, a hyphenated word, a figure, a short form and a symbol are
one word each, and the last three have one syllable. SMOG counts figures and short forms as they are read aloud.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from handouts.syllables import lexicon, plain_word, spoken_syllables, syllables

LEAST_WORDS = 100
LEAST_SENTENCES = 10

_ADDRESS = re.compile(
    r"(?:https?://|www\.)[^\s]*[^\s.,;:!?)\]]|(?<![\w.+-])[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,6}"
    r"|(?<![\w.-])(?:[\w-]{1,63}\.){1,6}(?:com|edu|gov|net|org|us)\b(?:/[^\s]*[^\s.,;:!?)\]])?"
)
_BULLET = re.compile(r"\s*\n\s*(?:[-*\u2022\u2013]|\d{1,2}[.)])\s+")
_STOP = re.compile(r"[.!?\u2026]+[\"'\u201d\u2019)\]]*(?=\s|$)")
_DASH = re.compile(r"\s*\u2014\s*|\s+[\u2013-]\s+|--")
_QUOTES = "\"'()[]{}\u201c\u201d\u2018\u2019*_"


@dataclass(frozen=True)
class Measure:
    """What was counted. Grades are US school grades; `*_with_names` leave no word out; None when there is too little.

    `grade` and `ease` leave the names and the taught terms out of the syllable count; their words still make the
    sentences longer. `smog` is given from 10 sentences up. `longest` is the longest sentence, `mean` the words
    in a sentence.
    """

    words: int
    sentences: int
    grade: float | None
    grade_with_names: float | None
    ease: float | None
    ease_with_names: float | None
    smog: float | None
    longest: str
    longest_words: int
    mean: float


def flesch_ease(words: int, sentences: int, syllable_count: float) -> float:
    """Return the Flesch Reading Ease: 206.835 - 1.015 words per sentence - 84.6 syllables per word."""
    return 206.835 - 1.015 * words / sentences - 84.6 * syllable_count / words


def flesch_kincaid(words: int, sentences: int, syllable_count: float) -> float:
    """Return the Flesch-Kincaid grade: 0.39 words per sentence + 11.8 syllables per word - 15.59."""
    return 0.39 * words / sentences + 11.8 * syllable_count / words - 15.59


def smog_grade(long_words: int, sentences: int) -> float:
    """Return the SMOG grade from the number of words of three or more syllables: 1.0430 sqrt(30 P / S) + 3.1291."""
    return 1.0430 * math.sqrt(long_words * 30 / sentences) + 3.1291


def smog_quick(long_words: int) -> int:
    """Return the SMOG grade for exactly 30 sentences: 3 + the root of the nearest perfect square."""
    root = math.isqrt(long_words)
    if long_words - root * root > (root + 1) ** 2 - long_words:
        root += 1
    return root + 3


def dale_chall(words: int, sentences: int, hard_percent: float) -> float:
    """Return the New Dale-Chall score; `hard_percent` is the share of words off the familiar list, 0 to 100.

    Given for comparison only: no limit rests on it, since names and inflections count as hard words.
    """
    raw = 0.1579 * hard_percent + 0.0496 * words / sentences
    return raw + 3.6365 if hard_percent > 5 else raw


def grade_of(sentences: Sequence[str], names: Iterable[str] = ()) -> float | None:
    """Return the Flesch-Kincaid grade of running prose, names and taught terms excluded; None under 100 words.

    Each item of `sentences` is a paragraph or a list item; headings, captions, tables and source lists stay out.
    """
    return measure(sentences, names).grade


def measure(items: Sequence[str], names: Iterable[str] = ()) -> Measure:
    """Measure running prose. `items` are paragraphs and list items, `names` the names to leave out (any case)."""
    known = _name_table(tuple(names))
    said = [(sentence, words_in(sentence)) for sentence in sentences_of(items)]
    said = [(sentence, words) for sentence, words in said if words]
    total = sum(len(words) for _, words in said)
    if not total:
        return Measure(0, 0, None, None, None, None, None, "", 0, 0.0)
    count = len(said)
    all_syllables = own_syllables = own_words = long_words = 0
    for _, words in said:
        left_out = _named(words, known)
        for at, word in enumerate(words):
            size = syllables(word)
            all_syllables += size
            if at not in left_out:
                own_words += 1
                own_syllables += size
                long_words += spoken_syllables(word) >= 3
    longest, most = max(said, key=lambda pair: len(pair[1]))
    enough = total >= LEAST_WORDS and own_words > 0
    # The syllables per word of the words that count, spread over all words, so that names neither help nor hurt.
    spread = own_syllables / own_words * total if own_words else 0.0
    return Measure(
        words=total,
        sentences=count,
        grade=round(flesch_kincaid(total, count, spread), 2) if enough else None,
        grade_with_names=round(flesch_kincaid(total, count, all_syllables), 2) if enough else None,
        ease=round(flesch_ease(total, count, spread), 2) if enough else None,
        ease_with_names=round(flesch_ease(total, count, all_syllables), 2) if enough else None,
        smog=round(smog_grade(long_words, count), 2) if enough and count >= LEAST_SENTENCES else None,
        longest=longest,
        longest_words=len(most),
        mean=round(total / count, 2),
    )


def sentences_of(items: Sequence[str]) -> list[str]:
    """Return the sentences of paragraphs and list items; a lead-in that ends in a colon joins the item after it."""
    said: list[str] = []
    lead = ""
    for item in items:
        for line in _BULLET.split(_ADDRESS.sub(" ", item)):
            for sentence in split_sentences(line):
                whole = f"{lead} {sentence}".strip()
                if sentence.endswith(":"):
                    lead = whole
                else:
                    said.append(whole)
                    lead = ""
    if lead:
        said.append(lead)
    return said


def split_sentences(text: str) -> list[str]:
    """Return the sentences of one paragraph; decimals, units, initials and short forms do not end one."""
    text = " ".join(text.split())
    found: list[str] = []
    start = 0
    for stop in _STOP.finditer(text):
        # The last word and the first sign after it decide; longer slices would make long texts slow.
        rest = text[stop.end() : stop.end() + 8].lstrip()
        if rest and not _ends(text[max(start, stop.end() - 60) : stop.end()], rest):
            continue
        found.append(text[start : stop.end()].strip())
        start = stop.end()
    if text[start:].strip():
        found.append(text[start:].strip())
    return found


def _ends(before: str, rest: str) -> bool:
    """Whether a stop ends the sentence `before`, with `rest` after it."""
    after = rest.lstrip(_QUOTES)[:1]
    if after.islower():
        return False
    last = before.rsplit(" ", 1)[-1]
    if not last.rstrip(_QUOTES).endswith("."):
        return True
    word = plain_word(last).rstrip(".")
    table = lexicon()
    if word in table.inside or re.fullmatch(r"[A-Z]", last.strip(_QUOTES).rstrip(".")):
        return False
    if word in table.ends:
        return after.isupper()
    return True


def words_in(sentence: str) -> list[str]:
    """Return the words of a sentence, punctuation left on; bare punctuation and dashes are no words."""
    return [token for token in _DASH.sub(" ", sentence).split() if any(c.isalnum() or c in "%&°+=" for c in token)]


NameTable = dict[str, list[tuple[str, ...]]]


@lru_cache(maxsize=8)
def _name_table(names: tuple[str, ...]) -> NameTable:
    """Names and taught terms by first word, longest first, in the form words are compared in."""
    table: dict[str, set[tuple[str, ...]]] = {}
    for name in (*names, *lexicon().taught):
        words = tuple(_stem(word) for word in words_in(name))
        if words:
            table.setdefault(words[0], set()).add(words)
            if len(words) > 1 and name[:1].isupper() and len(words[0]) > 1:
                # Papilio polyxenes is also written P. polyxenes.
                table.setdefault(words[0][0], set()).add((words[0][0], *words[1:]))
    return {first: sorted(many, key=lambda words: (-len(words), words)) for first, many in table.items()}


def _named(words: list[str], known: NameTable) -> set[int]:
    """Return the positions of the words that belong to a name."""
    stems = [_stem(word) for word in words]
    found: set[int] = set()
    at = 0
    while at < len(stems):
        for name in known.get(stems[at], ()):
            if tuple(stems[at : at + len(name)]) == name:
                found.update(range(at, at + len(name)))
                at += len(name) - 1
                break
        at += 1
    return found


def _stem(word: str) -> str:
    """A word as names are compared: lower case, no punctuation, no plural or possessive s."""
    plain = plain_word(word).strip(".")
    for ending in ("'s", "'"):
        plain = plain.removesuffix(ending)
    if len(plain) > 3 and plain.endswith("s") and not plain.endswith(("ss", "us", "is")):
        plain = plain.removesuffix("ies") + "y" if plain.endswith("ies") else plain[:-1]
    return plain
