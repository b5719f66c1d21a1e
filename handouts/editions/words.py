"""The words of editions in (content/words/editions.yml), typed labels and sentences out."""

from __future__ import annotations

from pathlib import Path

from handouts.errors import BadContent
from handouts.load.records import type_record
from handouts.model.library import Library
from handouts.model.located import Located
from handouts.yamltext import read_yaml


class EditionWords(Located):
    """Labels (plain), sentences and lists of sentences (Markdown with names in braces)."""

    labels: dict[str, str]
    says: dict[str, str]
    lists: dict[str, list[str]]

    def label(self, key: str) -> str:
        """Return a label. Raises BadContent when the file lacks it."""
        return self._get(self.labels, "label", key)

    def sentence(self, key: str) -> str:
        """Return a sentence. Raises BadContent when the file lacks it."""
        return self._get(self.says, "sentence", key)

    def kind(self, kind: str) -> str:
        """Return what a reader calls a document or item of this kind."""
        return self.labels.get(f"kind-{kind}", kind.replace("-", " "))

    def _get(self, table: dict[str, str], what: str, key: str) -> str:
        if key not in table:
            raise BadContent(f"the words of editions have no {what} {key!r}", file=self.origin)
        return table[key]


def read_words(library: Library) -> EditionWords:
    """Read the words of a library's content folder. Raises BadInput or BadContent with file and line."""
    path: Path = library.root / "words" / "editions.yml"
    return type_record(EditionWords, read_yaml(path, what="words of editions"), path)
