"""The club's list of its own videos and sheets in (`shows.yml`), what shows each entry out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from handouts.answer.typed import mapping, typed
from handouts.errors import BadContent
from handouts.model.library import Library
from handouts.model.located import Located
from handouts.yamltext import read_yaml

FILE = "shows.yml"


class Shown(Located):
    """A video or sheet that shows what an entry says."""

    title: Annotated[str, Field(min_length=3, max_length=100, pattern=r"^[^<>{}\n]+$")]
    link: Annotated[str, Field(max_length=200, pattern=r"^https://[!-;=?-z~]+$")] | None = None

    @property
    def words(self) -> str:
        """How it is named in an answer."""
        return f"{self.title}, {self.link}" if self.link else self.title


def load_shown(library: Library) -> dict[str, Shown]:
    """Return what shows each entry: its own line, then the club's list. Raises BadContent for an unknown entry."""
    found = {name: Shown(title=entry.shows) for name, entry in library.entries.items() if entry.shows}
    path: Path | None = library.club_root / FILE if library.club_root is not None else None
    if path is None or not path.is_file():
        return found
    data = read_yaml(path)
    for name, value in data.items():
        line = data.lines[name]
        if name not in library.entries:
            raise BadContent(f"there is no answer {name!r}", file=path, line=line, expected="an id of faq/")
        found[name] = typed(Shown, mapping(value, path, line, name), path)
    return found
