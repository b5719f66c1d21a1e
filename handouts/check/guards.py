"""The words files that guard the facts in, typed: sanity bounds of values, and hazard words of texts."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationError

from handouts.check.context import stamp
from handouts.errors import BadContent
from handouts.model.facts import Id, Span, Time
from handouts.model.library import Library
from handouts.model.located import Located
from handouts.paths import content_dir
from handouts.yamltext import line_of, read_yaml

BasisKind = Literal["published", "derived", "proxy", "common-practice", "own-observation", "memory", "not-known"]


def _pattern(text: str) -> str:
    re.compile(text)
    return text


Pattern = Annotated[str, AfterValidator(_pattern)]


class Bases(Located):
    """The ways a quantity may be known at all."""

    kinds: list[BasisKind]
    level: Literal["error", "warning"] = "error"
    reason: str


class Hosts(Located):
    """Sites whose pages are no sources, and pages of them that are."""

    names: list[str] = []
    but: list[str] = []


class Guards(Located):
    """Sanity bounds by quantity or fact id: the widest values that can be defended. They are no sources."""

    spans: dict[str, Span] = {}
    times: dict[str, Time] = {}
    terms: dict[str, list[str]] = {}
    bases: dict[str, Bases] = {}
    holds: dict[str, str] = {}
    dated: list[str] = []
    no_sources: Hosts = Hosts()


class Hazard(Located):
    """What calls for a caution, and what its full text must say."""

    words: list[Pattern] = []
    says: list[Pattern] = Field(min_length=1)
    short: list[Pattern] = []
    turn_to: list[Id] = []


class Kept(Located):
    """Classes that an answer or plan lists itself, and those that its subjects bring along."""

    lists: list[Id] = []
    brings: list[Id] = []


class Hazards(Located):
    """By hazard class: words that call for it; by answer or plan: classes that it must keep."""

    classes: dict[Id, Hazard] = {}
    answers: dict[Id, Kept] = {}
    plans: dict[Id, Kept] = {}


def guards(library: Library) -> Guards:
    """Return `words/bounds.yml` of the content (the shipped one where a content folder has none)."""
    file = _file(library, "bounds.yml")
    made: Guards = _read(file, stamp(file), Guards)
    return made


def hazards(library: Library) -> Hazards:
    """Return `words/hazards.yml` of the content (the shipped one where a content folder has none)."""
    file = _file(library, "hazards.yml")
    made: Hazards = _read(file, stamp(file), Hazards)
    return made


def _file(library: Library, name: str) -> Path:
    own = library.root / "words" / name
    return own if own.is_file() else content_dir() / "words" / name


@lru_cache(maxsize=16)
def _read(path: Path, _stamp: int, model: type[Located]) -> Any:
    """Type a words file. Raises BadInput or BadContent with file and line of the first misfit."""
    data = read_yaml(path, what="words file")
    try:
        return model.model_validate(data, context={"file": path})
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(step) for step in first["loc"])
        raise BadContent(f"{where}: {first['msg']}", file=path, line=line_of(data, first["loc"])) from None
