"""A word the base does not know in, the word of the base it most likely stands for out (or None)."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from functools import lru_cache

from handouts.answer.words import stem

SHORTEST = 4
SURE_LENGTH, SURE_WEIGHT = 6, 4
# long words may be misspelt twice over and still sound nearly the same
LONG = 8
# how far the letters may lie apart, by length; a word that sounds the same may differ by one more
_FAR = {4: 1, 5: 1, 6: 2, 7: 2}
_SOUNDS = tuple(
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"^kn|^gn", "n"),
        (r"^wr", "r"),
        (r"^wh", "w"),
        (r"^ps", "s"),
        (r"chr", "kr"),
        (r"tch", "ch"),
        (r"ph", "f"),
        (r"igh|eigh", ""),
        (r"gh", ""),
        (r"ck|q", "k"),
        (r"sc(?=[eiy])", "s"),
        (r"c(?=[eiy])", "s"),
        (r"c(?!h)", "k"),
        (r"x", "ks"),
        (r"z", "s"),
        (r"dg", "j"),
        (r"mb$", "m"),
    )
)
# none of the rules above can match a word without one of these
_ODD = re.compile(r"[ckqxz]|gh|ph|^kn|^gn|^w[rh]|^ps|dg|mb$")
_VOWELS = re.compile(r"(?<=.)[aeiouyhw]")
_DOUBLE = re.compile(r"(.)\1+")


@lru_cache(maxsize=32_768)
def sound(word: str) -> str:
    """Return a rough key of how the word sounds: its consonants, doubled and silent ones gone."""
    if _ODD.search(word):
        for pattern, replacement in _SOUNDS:
            word = pattern.sub(replacement, word)
    word = word.replace("ch", "C").replace("sh", "S").replace("th", "T")
    return _DOUBLE.sub(r"\1", _VOWELS.sub("", word))


def distance(first: str, second: str, most: int) -> int:
    """Count the letters changed, added, dropped or swapped between two words; more than `most` stops the count."""
    if abs(len(first) - len(second)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, left in enumerate(first, 1):
        last, row_before = row, before
        row = [i]
        for j, right in enumerate(second, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (left != right))
            if i > 1 and j > 1 and left == second[j - 2] and first[i - 2] == right:
                cost = min(cost, row_before[j - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
        before = last
    return row[-1]


class Speller:
    """The words of the base with their weights (more weight wins a tie), and the misspellings known by name."""

    def __init__(self, weights: Mapping[str, int], fixes: Mapping[str, str]) -> None:
        self.weights = {word: weight for word, weight in weights.items() if word.isalpha() and len(word) >= 3}
        self._fixes = {wrong: right for wrong, right in fixes.items() if wrong not in self.weights}
        self._stems = {stem(word) for word in self.weights}
        self._seen: dict[str, str | None] = {}
        self._letters: dict[str, list[str]] = defaultdict(list)
        self._sounds: dict[str, list[str]] | None = None
        for word in self.weights:
            self._letters[word[0]].append(word)

    def known(self, word: str) -> bool:
        """Whether the word, or another form of it, is spelled as the base knows it."""
        return word in self.weights or stem(word) in self._stems

    def correct(self, word: str, *, careful: bool = False) -> str | None:
        """Return the likeliest word of the base, or None when nothing is near enough.

        In a carefully typed text an unknown word is more likely a real one: only near sure mends are made there.
        """
        if self.known(word):
            return word
        if (fixed := self._fixes.get(stem(word))) is not None:
            return fixed
        if len(word) < SHORTEST or not word.isalpha():
            return None
        if word not in self._seen:
            if len(self._seen) > 20_000:
                self._seen.clear()
            self._seen[word] = self._nearest(word)
        found = self._seen[word]
        if careful and found is not None and not self._sure(word, found):
            return None
        return found

    def _sure(self, word: str, found: str) -> bool:
        if len(word) < SURE_LENGTH or self.weights[found] < SURE_WEIGHT:
            return False
        return distance(word, found, 2) <= (2 if sound(word) == sound(found) and len(word) > SURE_LENGTH else 1)

    def _nearest(self, word: str) -> str | None:
        most = _FAR.get(len(word), 2)
        key = sound(word)
        best: tuple[float, str] | None = None
        for candidate in self._near(word, key):
            apart = distance(word, candidate, most + 1)
            other = sound(candidate)
            same = other == key
            alike = (same and len(key) >= 3) or (len(word) >= LONG and distance(other, key, 1) <= 1)
            if apart > most + (1 if alike else 0):
                continue
            rank = apart - (1.2 if same else 0.0) - 0.15 * self.weights[candidate]
            if best is None or (rank, candidate) < best:
                best = (rank, candidate)
        return best[1] if best else None

    def ready(self) -> dict[str, list[str]]:
        """Sort the words by their sound; done once, when the first misspelt word is met or before."""
        if self._sounds is None:
            self._sounds = defaultdict(list)
            for known in self.weights:
                self._sounds[sound(known)].append(known)
        return self._sounds

    def _near(self, word: str, key: str) -> list[str]:
        sounds = self.ready()
        letters = set(word)
        near = [
            known
            for known in self._letters.get(word[0], ())
            if abs(len(known) - len(word)) <= 2 and len(letters.symmetric_difference(known)) <= 4
        ]
        return near + [known for known in sounds.get(key, ()) if known[0] != word[0]]
