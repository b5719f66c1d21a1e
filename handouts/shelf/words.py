"""The shelf's own words in (content/words/shelf.yml), typed sentences, labels and rules of choice out."""

from __future__ import annotations

import re
from pathlib import Path

from pydantic import Field

from handouts.errors import BadContent
from handouts.load.records import type_record
from handouts.model.facts import FactId, Id
from handouts.model.library import Library
from handouts.model.located import Located
from handouts.model.records import Box
from handouts.yamltext import read_yaml


class Kept(Located):
    """A kind of place where chrysalides are kept: the words people use for it, and what their opening follows.

    `opens` is a quantity of the species (days after the move to warmth), "spring" for the season's own window, or
    nothing where no time can be given.
    """

    name: str
    words: list[str] = Field(min_length=1)
    opens: str | None = None
    says: str | None = None
    store: str | None = None


class Lean(Located):
    """What else bears on the chance at some latitudes: the day keepers count on winter from, or a share that rests."""

    fact: FactId
    latitude: Box
    says: str


class ShelfWords(Located):
    """All words of the shelf's pages. `says` and `lists` hold names in braces; `labels` and `chances` are plain."""

    chances: dict[str, str]
    kept: dict[str, Kept]
    leans: list[Lean] = []
    relatives: list[FactId] = []
    cautions: dict[str, list[Id]]
    labels: dict[str, str]
    says: dict[str, str]
    lists: dict[str, list[str]]

    def label(self, key: str) -> str:
        """Return a label. Raises BadContent when the file lacks it."""
        return self._get(self.labels, "label", key)

    def sentence(self, key: str) -> str:
        """Return a sentence with its names in braces. Raises BadContent when the file lacks it."""
        return self._get(self.says, "sentence", key)

    def lines(self, key: str) -> list[str]:
        """Return a list of sentences. Raises BadContent when the file lacks it."""
        if key not in self.lists:
            raise BadContent(f"the shelf's words have no list {key!r}", file=self.origin)
        return self.lists[key]

    def _get(self, table: dict[str, str], what: str, key: str) -> str:
        if key not in table:
            raise BadContent(f"the shelf's words have no {what} {key!r}", file=self.origin)
        return table[key]

    def kept_as(self, text: str) -> str | None:
        """Return the kind of place that some words mean, or None when they are empty or not understood."""
        plain = " ".join(text.lower().split())
        found = [
            (len(word), name)
            for name, kind in self.kept.items()
            for word in kind.words
            if re.search(rf"(?<![\w-]){re.escape(word)}s?(?![\w-])", plain)
        ]
        # the longest word is the most exact: a heated garage is a warm room, not a garage
        return max(found, key=lambda item: item[0])[1] if found else None


def read_words(library: Library) -> ShelfWords:
    """Read the shelf's words of a library's content folder. Raises BadInput or BadContent with file and line."""
    path: Path = library.root / "words" / "shelf.yml"
    words = type_record(ShelfWords, read_yaml(path, what="shelf's words"), path)
    for name in (*words.relatives, *(lean.fact for lean in words.leans)):
        library.fact(name, path)
    return words
