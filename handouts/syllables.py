"""A word in, the number of its syllables out: a lexicon of names and odd words first, spelling rules for the rest."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from handouts.errors import BadContent
from handouts.paths import content_dir
from handouts.yamltext import TextMap, read_yaml

_VOWELS = re.compile(r"[aeiouy]+")
_HISS = {  # the ending that makes a syllable of its own after these letters
    "es": re.compile(r"(?:[sxz]|ch|sh)$"),
    "s": re.compile(r"[csgz]e$"),
    "'s": re.compile(r"(?:[sxz]|[^r]ch|sh|[csgz]e)$"),
}
_ED = re.compile(r"(?<=[^aeiouytd])ed$")
_ES = re.compile(r"(?<=[^aeiouysxzcg])es$")
_CAPITALS = re.compile(r"^(?:[A-Z]{2,}s?|(?:[A-Za-z]\.){2,})$")

# Two vowels side by side that belong to two syllables; a hyphen is put between them before the groups are counted.
_SPLITS = tuple(
    re.compile(pattern)
    for pattern in (
        r"(?<=[aeiou])()(?=y[aeiou])",  # be-yond, lay-er
        r"(?<=[^aeiou-]y)()(?=ing)",  # dry-ing
        r"(?<=[eiou])()(?=ing)",  # be-ing, go-ing
        r"(?<=[^ctgsx]i)()(?=(?:a|um|us|ous))",  # magnoli-a, medi-um, vari-ous
        r"(?<=i)()(?=at(?:e|ed|es|ing|ion|ions|or|ors)$)",  # appreci-ate
        r"(?<=[^ctgs]i)()(?=en(?:t|ts|ce|ces|cy|tly)$)",  # ingredi-ent
        r"(?<=[^ctgslnh]i)()(?=o(?!us))",  # peri-od
        r"(?<=i)()(?=os?$)",  # rati-o
        r"(?<=i)()(?=(?:er|est|et|ety)$)",  # earli-er, qui-et
        r"(?<=[dnrstx]u)()(?=(?:als?|ally|ous|ously|ity)$)",  # gradu-al, continu-ous
        r"(?<=[^qgs]u)()(?=at(?:e|ed|es|ing|ion|ions)$)",  # evalu-ate
        r"(?<=[^gc]e)()(?=ous)",  # hide-ous
        r"(?<=[cdlnrt]e)()(?=(?:o|um)(?!u))",  # vide-o
        r"(?<=[aeiou])()(?=isms?$)",  # hero-ism
        r"(?<=^re)()(?=a(?:ct|pp|ff|dj))|(?<=cre)()(?=at)|(?<=^ge)()(?=o)",  # re-act, cre-ate, ge-ology
        r"(?<=^co)()(?=op[a-z]|or[dt])|(?<=^zo)()(?=ol)",  # co-operate, zo-ology
    )
)
_SILENT_INSIDE = re.compile(
    r"(?<=[a-z][bcdfghjkmnpqrstvwxz])e(?=(?:ly|ty|ful|fully|less|ness|ment|ments|time|times|thing|what|where|how|work|hold|"
    r"keeper|keepers|taker|bush|vine|weed|land|side|sides|line|lines|water|way|ways|stock|mark|grown|cast|teen|wide)$)"
)


@dataclass(frozen=True)
class Lexicon:
    """The words file: syllables of odd words, taught terms, short forms and how they are read aloud."""

    words: dict[str, int]
    taught: tuple[str, ...]
    inside: frozenset[str]
    ends: frozenset[str]
    spoken: dict[str, int]


@lru_cache(maxsize=4)
def lexicon(path: Path | None = None) -> Lexicon:
    """Read the words file (the shipped one when `path` is None). Raises BadInput or BadContent with the line."""
    file = path or content_dir() / "words" / "syllables.yml"
    data = read_yaml(file, what="syllable file")
    short = _map(data, "abbreviations", file)
    return Lexicon(
        words=_counts(data, "words", file),
        taught=tuple(_list(data, "taught", file)),
        inside=frozenset(_list(short, "inside", file)),
        ends=frozenset(_list(short, "ends", file)),
        spoken=_counts(data, "spoken", file),
    )


def _map(data: TextMap, key: str, file: Path) -> TextMap:
    value = data.get(key)
    if not isinstance(value, TextMap):
        raise BadContent(f"the key {key!r} holds no mapping", file=file, line=data.lines.get(key, data.line))
    return value


def _list(data: TextMap, key: str, file: Path) -> list[str]:
    value = data.get(key)
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise BadContent(f"the key {key!r} holds no list of words", file=file, line=data.lines.get(key, data.line))
    return [str(item) for item in value]


def _counts(data: TextMap, key: str, file: Path) -> dict[str, int]:
    table: dict[str, int] = {}
    holder = _map(data, key, file)
    for word, count in holder.items():
        if not isinstance(count, str) or not count.isdecimal() or not 1 <= int(count) <= 12:
            raise BadContent(
                f"{word!r} has no syllable count",
                file=file,
                line=holder.lines[word],
                found=str(count),
                expected="1 to 12",
            )
        table[word] = int(count)
    return table


def syllables(word: str) -> int:
    """Return the syllables of one written word as Flesch counts them: figures, symbols and short forms have one.

    A hyphenated word has the syllables of its parts together.
    """
    if _CAPITALS.match(word.strip(".,;:!?\"'()[]\u201c\u201d\u2018\u2019")) or any(char.isdigit() for char in word):
        return 1
    plain = plain_word(word)
    if plain.strip(".") in lexicon().inside | (lexicon().ends - {"in", "no", "min", "al"}):
        return 1
    parts = [part for part in re.split(r"[^a-z']+", plain) if part.strip("'")]
    return max(1, sum(_one(part) for part in parts))


def spoken_syllables(word: str) -> int:
    """Return the syllables of a word read aloud, as the SMOG count asks: "27" has four, "cm" has four."""
    table = lexicon().spoken
    plain = plain_word(word).strip(".")
    if plain in table and not plain.isalpha():
        return table[plain]
    bare = word.strip(".,;:!?\"'()[]\u201c\u201d\u2018\u2019")
    if bare.replace(",", "").replace(".", "").isdecimal():
        return _number_aloud(bare.replace(",", ""))
    if re.fullmatch(r"[A-Z]{2,}s?", bare):
        return sum(3 if char == "W" else 1 for char in bare if char.isupper())
    if plain in table and plain not in ("in", "min", "m", "g", "mar"):
        return table[plain]
    return syllables(word)


def plain_word(word: str) -> str:
    """Return a word in lower case, without accents and outer punctuation; a curly apostrophe becomes straight."""
    text = word.replace("\u2019", "'").replace("\u00ad", "").strip("\"'()[]{}\u201c\u201d\u2018,;:!?\u2026*_").lower()
    decomposed = unicodedata.normalize("NFKD", text) if not text.isascii() else text
    return "".join(char for char in decomposed if not unicodedata.combining(char))


@lru_cache(maxsize=20_000)
def _one(word: str) -> int:
    """Syllables of one word of letters and apostrophes: the lexicon, the lexicon with an ending, the rules."""
    words = lexicon().words
    word = word.strip("'")
    if word in words:
        return words[word]
    for ending, hiss in _HISS.items():
        stem = word.removesuffix(ending)
        if stem != word and stem in words:
            return words[stem] + (1 if hiss.search(stem) else 0)
    if word.endswith("n't"):
        return _rules(word[:-3]) + 1
    return _rules(re.sub(r"'(?:s|ll|re|ve|d|m)?$", "", word).replace("'", ""))


def _rules(word: str) -> int:
    """Syllables by spelling: vowel groups, less silent e, more where two vowels are said apart."""
    text = word.replace("qu", "kw")
    text = re.sub(r"(?<=[aeiou])yed$", "yd", text)
    if len(text) > 5:
        text = _SILENT_INSIDE.sub("", text)
    for pattern in _SPLITS:
        text = pattern.sub("-", text)
    count = len(_VOWELS.findall(text))
    if text.endswith("e"):
        syllabic_le = re.search(r"[^aeiouyl]le$", text)
        if re.search(r"[^aeiouy]e$", text) and not syllabic_le:
            count -= 1
    elif _ED.search(text):
        if not re.search(r"[^aeiouylw]led$", text):
            count -= 1
    elif _ES.search(text) and not re.search(r"(?:sh|ch|[^aeiouyl]l)es$", text):
        count -= 1
    if re.search(r"[aeiouy]sms?$", text):
        count += 1
    return max(1, count)


_UNDER_TWENTY = (2, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 4, 2, 2)
_TENS = {2: 2, 3: 2, 4: 2, 5: 2, 6: 2, 7: 3, 8: 2, 9: 2}


def _number_aloud(text: str) -> int:
    """Syllables of a plain decimal number read aloud ("3.5" is three point five: three)."""
    whole, _, decimals = text.partition(".")
    number = int(whole[:9] or "0")
    total = _whole_aloud(number)
    if decimals:
        total += 1 + sum(_UNDER_TWENTY[int(digit)] for digit in decimals[:9])
    return total


def _whole_aloud(number: int) -> int:
    if number < 20:
        return _UNDER_TWENTY[number]
    if number < 100:
        tens, rest = divmod(number, 10)
        return _TENS[tens] + (_UNDER_TWENTY[rest] if rest else 0)
    for size, said in ((1_000_000, 2), (1000, 2), (100, 2)):
        if number >= size:
            many, rest = divmod(number, size)
            return _whole_aloud(many) + said + (_whole_aloud(rest) if rest else 0)
    return 1
