"""A `kit.json` in, what it says of each file out: kind, claims, constants, cautions, edition, grade, pages."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handouts.errors import BadInput
from handouts.files import MIB, decode, read_bytes

KIT_LIMIT = 20 * MIB


@dataclass(frozen=True)
class KitClaim:
    """One claim as the manifest lists it."""

    id: str
    shown: str
    basis: str
    references: tuple[str, ...] = ()
    parents: tuple[str, ...] = ()
    proxy: str = ""

    @property
    def base(self) -> str:
        """The fact's own id, without the modifier and the count of a second showing."""
        return base_id(self.id)


@dataclass(frozen=True)
class Record:
    """What the manifest says of one file."""

    file: str
    kind: str
    topic: str = ""
    title: str = ""
    paper: str = ""
    edition: str = ""
    pages: int | None = None
    reading_grade: float | None = None
    cautions: tuple[str, ...] = ()
    constants: tuple[str, ...] = ()
    claims: dict[str, KitClaim] = field(default_factory=dict)


@dataclass(frozen=True)
class Kit:
    """A manifest: the event's fields and the record of each file by its name."""

    event: Mapping[str, Any]
    records: Mapping[str, Record]


def base_id(name: str) -> str:
    """Return a claim's id without "~2" and "|low"."""
    return name.partition("~")[0].partition("|")[0]


def read_kit(path: Path) -> Kit:
    """Read a manifest. Raises BadInput for what is no JSON object with a list of documents."""
    text = decode(read_bytes(path, KIT_LIMIT, "kit manifest"), path, "kit manifest")
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise BadInput(
            "the kit manifest does not parse",
            file=path,
            line=error.lineno,
            found=error.msg,
            remedy="Make the kit again.",
        ) from None
    except RecursionError:
        raise BadInput("the kit manifest is nested too deeply", file=path, remedy="Make the kit again.") from None
    return kit_of(data, path)


def kit_of(data: object, path: Path | str = "kit.json") -> Kit:
    """Type a manifest already parsed. Raises BadInput with what does not fit."""
    if not isinstance(data, Mapping) or not isinstance(data.get("documents"), list):
        raise BadInput("the kit manifest lists no documents", file=path, expected='{"documents": […]}')
    records: dict[str, Record] = {}
    for at, item in enumerate(data["documents"]):
        if not isinstance(item, Mapping) or not isinstance(item.get("file"), str):
            raise BadInput(f"document {at + 1} of the kit manifest names no file", file=path)
        records[Path(item["file"]).name] = _record(item, path)
    event = data.get("event")
    return Kit(event if isinstance(event, Mapping) else {}, records)


def _record(item: Mapping[str, Any], path: Path | str) -> Record:
    claims: dict[str, KitClaim] = {}
    for claim in _list(item, "claims", path):
        if not isinstance(claim, Mapping) or not isinstance(claim.get("id"), str):
            raise BadInput("a claim of the kit manifest has no id", file=path, found=str(item["file"]))
        claims[claim["id"]] = KitClaim(
            id=claim["id"],
            shown=str(claim.get("shown") or ""),
            basis=str(claim.get("basis") or ""),
            references=tuple(str(name) for name in _list(claim, "references", path)),
            parents=tuple(str(name) for name in _list(claim, "parents", path)),
            proxy=str(claim.get("proxy") or ""),
        )
    pages, grade = item.get("pages"), item.get("reading_grade")
    return Record(
        file=item["file"],
        kind=str(item.get("kind") or ""),
        topic=str(item.get("topic") or ""),
        title=str(item.get("title") or ""),
        paper=str(item.get("paper") or ""),
        edition=str(item.get("edition") or ""),
        pages=pages if isinstance(pages, int) else None,
        reading_grade=float(grade) if isinstance(grade, int | float) else None,
        cautions=tuple(str(name) for name in _list(item, "cautions", path)),
        constants=tuple(str(text) for text in _list(item, "constants", path)),
        claims=claims,
    )


def _list(item: Mapping[str, Any], key: str, path: Path | str) -> list[Any]:
    value = item.get(key)
    if value is None:
        return []
    if not isinstance(value, list):
        raise BadInput(f"{key!r} in the kit manifest is no list", file=path)
    return value
