"""A question in another language in, the entries it asks for out: found by the words of a list, never translated."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import log
from pathlib import Path

from handouts.answer.typed import mapping
from handouts.errors import BadContent
from handouts.yamltext import read_yaml

NEAREST, LEAST, SHARE = 3, 3.0, 0.6
_WORD = re.compile(r"[a-z]{2,}")
_ENDING = re.compile(r"(?:mente|ciones|cion|ando|iendo|arse|erse|irse|adas|ados|idas|idos|ada|ado|ida|ido|es|s)$")
_VOWEL = re.compile(r"[aeo]$|(?<=[aei])r$")


def stems(text: str) -> list[str]:
    """Return the stems of the words of a text; accents and common endings do not count."""
    plain = unicodedata.normalize("NFD", text.lower())
    words = _WORD.findall("".join(char for char in plain if not unicodedata.combining(char)))
    return [_stem(word) for word in words]


def _stem(word: str) -> str:
    while len(word) > 4:
        shorter = _VOWEL.sub("", _ENDING.sub("", word)) if len(word) > 5 else _VOWEL.sub("", word.removesuffix("s"))
        if shorter == word or len(shorter) < 3:
            break
        word = shorter
    return word


@dataclass(frozen=True)
class Foreign:
    """The ways to ask in one language: for each entry its lines as sets of stems, and how rare each stem is."""

    lines: tuple[tuple[str, frozenset[str]], ...]
    rarity: Mapping[str, float]

    def near(self, text: str) -> tuple[str, ...]:
        """Return the entries a text may ask for, nearest first, at most three; none when it shares too little."""
        asked = frozenset(stems(text))
        best: dict[str, float] = defaultdict(float)
        whole = sum(self.rarity.get(stem, 0.0) for stem in asked) or 1.0
        for entry, line in self.lines:
            shared = sum(self.rarity[stem] for stem in asked & line)
            mass = sum(self.rarity[stem] for stem in line)
            best[entry] = max(best[entry], shared * (0.5 + 0.5 * shared / (whole * mass) ** 0.5))
        ranked = sorted(best.items(), key=lambda item: (-item[1], item[0]))
        if not ranked or ranked[0][1] < LEAST:
            return ()
        return tuple(entry for entry, score in ranked[:NEAREST] if score >= SHARE * ranked[0][1])


def load_foreign(folder: Path, languages: Iterable[str], entries: Iterable[str]) -> dict[str, Foreign]:
    """Read the lists `asked-LANGUAGE.yml` of a words folder. Raises BadContent for an entry that is not there."""
    known = frozenset(entries)
    found: dict[str, Foreign] = {}
    for language in languages:
        path = folder / f"asked-{language}.yml"
        if not path.is_file():
            continue
        table = mapping(read_yaml(path).get("asked"), path, 1, "`asked`")
        lines: list[tuple[str, frozenset[str]]] = []
        holders: dict[str, set[str]] = defaultdict(set)
        for entry, text in table.items():
            if entry not in known:
                raise BadContent(f"there is no answer {entry!r}", file=path, line=table.lines[entry])
            for line in str(text).splitlines():
                kept = frozenset(stems(line))
                lines.append((entry, kept))
                for stem in kept:
                    holders[stem].add(entry)
        # a word that a third of the entries share tells nothing
        rarity = {stem: max(0.0, log(len(table) / (3 * len(names))) + 1) for stem, names in holders.items()}
        found[language] = Foreign(tuple(lines), rarity)
    return found
