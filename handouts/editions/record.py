"""A club's folder of editions in, typed records out, and back: what was given out, when, where, and what it stated."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationInfo, field_validator

from handouts.errors import BadContent, BadInput
from handouts.files import read_text
from handouts.load.records import read_record, type_record
from handouts.model.document import Claim, Document
from handouts.model.facts import Day, Id
from handouts.model.located import Located
from handouts.yamltext import parse_yaml

FOLDER = "editions"
OUTSIDE = "outside"
EDITION_ID = r"^[a-z]{4}-[a-z]{4}-[a-z]{4}$"
STATED_FACT = r"^[a-z0-9-]+(?:\.[a-z0-9-]+){1,2}(?:\|(?:low|high|bare))?$"
NOTE = (
    "# One edition of the club's papers, as `handouts kit` made it. Set its status with `handouts approve` and\n"
    "# `handouts withdraw`; `handouts recall` says when something on it has changed.\n"
)


class Stated(Located):
    """One figure that an edition shows; `value` is kept as text, `digest` as in kit.json."""

    id: str
    shown: str
    value: Any = None
    unit: str | None = None
    basis: str
    digest: str
    proxy: str | None = None
    references: list[str] = []
    parents: list[str] = []
    label: str = ""


class Approval(Located):
    """Who looked an edition through and let it go out."""

    name: str = Field(min_length=2, max_length=200)
    role: str = Field(min_length=2, max_length=200)
    date: Day


class Withdrawal(Located):
    """Why an edition must no longer be handed out, and since when."""

    why: str = Field(min_length=3, max_length=500)
    date: Day


class Given(Located):
    """Another event the same edition was made for."""

    date: Day
    event: str | None = None
    handed_out: str | None = None


class Ground(Located):
    """What an edition was made for. `place_file` is relative to the club's folder, `place` are its fields."""

    species: Id
    year: int
    start: Day | None = None
    units: Literal["us", "metric"] = "us"
    place_file: str | None = None
    place: dict[str, Any] = {}


class Edition(Located):
    """One edition: what it is, what it states, where it went, and whether it may go out."""

    id: str = Field(pattern=EDITION_ID)
    kind: Id
    topic: Id
    title: str
    status: Literal["draft", "approved", "withdrawn"] = "draft"
    approved: Approval | None = Field(default=None, validate_default=True)
    withdrawn: Withdrawal | None = Field(default=None, validate_default=True)
    date: Day
    event: str | None = None
    place: str | None = None
    handed_out: str | None = None
    again: list[Given] = []
    made_for: Ground
    cautions: list[Id] = []
    subjects: dict[Id, list[Id]] = {}
    claims: list[Stated] = []

    @field_validator("approved")
    @classmethod
    def _by_whom(cls, approved: Approval | None, given: ValidationInfo) -> Approval | None:
        if approved is None and given.data.get("status") == "approved":
            raise ValueError("an approved edition says by whom, as {name, role, date}")
        return approved

    @field_validator("withdrawn")
    @classmethod
    def _says_why(cls, withdrawn: Withdrawal | None, given: ValidationInfo) -> Withdrawal | None:
        if withdrawn is None and given.data.get("status") == "withdrawn":
            raise ValueError("a withdrawn edition says why, as {why, date}")
        return withdrawn


class State(Located):
    """One fact that a video, sheet or post made outside the tool states, as it was said there."""

    fact: str
    shown: str | None = None
    value: Any = None
    unit: str | None = None
    basis: str | None = None
    digest: str | None = None

    @field_validator("fact")
    @classmethod
    def _is_id(cls, fact: str) -> str:
        if not re.match(STATED_FACT, fact):
            raise ValueError("this is no fact id; expected such as black-swallowtail.pupa.summer")
        return fact

    @property
    def base(self) -> str:
        """The fact's own id."""
        return self.fact.partition("|")[0]


class Outside(Located):
    """A video, sheet or post that was made before or outside the tool.

    `carried` are the hazard classes that its subjects carried when it was entered.
    """

    id: str = ""
    title: str = Field(min_length=3, max_length=300)
    link: str | None = Field(default=None, max_length=500)
    date: Day
    kind: Literal["video", "sheet", "post"]
    states: list[State] = Field(min_length=1)
    carried: list[Id] | None = None


@dataclass(frozen=True)
class Records:
    """All that a club has given out. `folder` is its `editions/`."""

    folder: Path
    editions: tuple[Edition, ...]
    outside: tuple[Outside, ...]


# -- reading -----------------------------------------------------------------------------------------------------------


def folder_of(club: Path | None) -> Path | None:
    """Return the club's folder of editions, or None where the club keeps none."""
    folder = club / FOLDER if club is not None else None
    return folder if folder is not None and folder.is_dir() else None


def need_folder(club: Path | None) -> Path:
    """Return the club's folder of editions. Raises BadInput where there is none."""
    if club is None:
        raise BadInput(
            "editions are kept in a club's folder, and there is none",
            expected="a folder that holds club.yml",
            remedy="Name it with --club.",
        )
    folder = folder_of(club)
    if folder is None:
        raise BadInput(
            "the club keeps no editions yet",
            file=club / FOLDER,
            expected="a folder",
            remedy="Make the folder; kits are recorded in it from then on.",
        )
    return folder


def read_all(folder: Path) -> Records:
    """Read every record. Raises BadInput or BadContent with file and line for the first that does not fit."""
    editions = [read_edition(path) for path in _files(folder)]
    outside = [read_outside(path) for path in _files(folder / OUTSIDE)]
    return Records(
        folder,
        tuple(sorted(editions, key=lambda one: (one.date, one.topic, one.kind, one.id))),
        tuple(sorted(outside, key=lambda one: (one.date, one.id))),
    )


def _files(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    found = sorted(path for path in folder.iterdir() if not path.name.startswith(".") and path.is_file())
    for path in found:
        if path.suffix in (".yaml", ".json"):
            raise BadContent("records end in .yml", file=path, remedy="Rename the file.")
    return [path for path in found if path.suffix == ".yml"]


def read_edition(path: Path) -> Edition:
    """Read one edition. Raises BadInput or BadContent with file and line."""
    record = read_record(Edition, path, "edition")
    if record.id != path.stem:
        raise BadContent("the file of an edition is named by its id", file=path, found=record.id, expected=path.stem)
    return record


def read_outside(path: Path) -> Outside:
    """Read one video, sheet or post. Raises BadInput or BadContent with file and line."""
    if not re.match(r"^[a-z0-9]+(?:-[a-z0-9]+)*$", path.stem):
        raise BadContent("the file name is the id", file=path, expected="lower-case letters, digits, hyphens")
    record = read_record(Outside, path, "entry")
    if record.id:
        raise BadContent("the key 'id' is never typed; the file's name gives it", file=path, line=record.line)
    return record.model_copy(update={"id": path.stem})


def find(folder: Path, name: str) -> Edition | None:
    """Return the edition `name`, or None when it is not recorded. Raises BadContent when its file does not fit."""
    path = folder / f"{name}.yml"
    return read_edition(path) if re.match(EDITION_ID, name) and path.is_file() else None


# -- making ------------------------------------------------------------------------------------------------------------


def stated(claim: Claim) -> Stated:
    """Return what is kept of a claim."""
    return Stated(
        id=claim.id,
        shown=claim.shown,
        value=kept(claim.value),
        unit=claim.unit,
        basis=claim.basis,
        digest=claim.digest,
        proxy=claim.proxy,
        references=list(claim.references),
        parents=list(claim.parents),
        label=claim.label,
    )


def new_edition(document: Document, ground: Ground, subjects: Mapping[str, list[str]], given: Given) -> Edition:
    """Return the record of a document made for an event, as a draft."""
    return Edition(
        id=document.edition,
        kind=document.kind,
        topic=document.topic,
        title=document.title,
        date=given.date,
        event=given.event,
        place=document.place or None,
        handed_out=given.handed_out,
        made_for=ground,
        cautions=list(document.cautions),
        subjects=dict(subjects),
        claims=[stated(claim) for claim in document.claims],
    )


def given_again(record: Edition, given: Given) -> Edition | None:
    """Return the record with one more event, or None when it knows this one already."""
    first = Given(date=record.date, event=record.event, handed_out=record.handed_out)
    if any(alike(given, known) for known in (first, *record.again)):
        return None
    return record.model_copy(update={"again": [*record.again, given]})


def alike(one: Located | None, other: Located | None) -> bool:
    """Whether two records say the same, wherever they were read."""
    return (one.model_dump() if one else None) == (other.model_dump() if other else None)


def kept(value: object) -> Any:
    """Return a value as it is kept and compared: text, or a mapping of texts; what is empty is left out."""
    if isinstance(value, Mapping):
        return {str(key): kept(value[key]) for key in sorted(value) if value[key] is not None}
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    try:
        return f"{float(value):.10g}"  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return str(value)


# -- writing -----------------------------------------------------------------------------------------------------------


def written(record: Edition | Outside) -> bytes:
    """Return a record as YAML: a key a line, lists a line an item; every scalar is quoted text."""
    lines = []
    for key, value in _plain(record).items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            lines.append(f"{key}:")
            lines.extend(f"  - {_flow(item)}" for item in value)
        else:
            lines.append(f"{key}: {_flow(value)}")
    note = NOTE if isinstance(record, Edition) else ""
    return (note + "\n".join(lines) + "\n").encode()


def rewritten(path: Path, record: Edition, keys: tuple[str, ...]) -> bytes:
    """Return the file of an edition with some top-level keys set anew; other lines stay as they are.

    Where the keys were written over several lines by hand the whole file is written again.
    """
    text = read_text(path)
    lines = parse_yaml(text, path).lines
    gone = {lines[key] for key in keys if key in lines}
    plain = _plain(record)
    new = [f"{key}: {_flow(plain[key])}" for key in keys if key in plain]
    at = min(gone, default=len(text.splitlines()) + 1)
    made: list[str] = []
    for number, line in enumerate([*text.splitlines(), ""], 1):
        if number == at:
            made.extend(new)
        if number not in gone:
            made.append(line)
    data = ("\n".join(made).rstrip("\n") + "\n").encode()
    try:
        again = type_record(Edition, parse_yaml(data.decode(), path), path)
    except (BadInput, BadContent):
        return written(record)
    return data if _plain(again) == plain else written(record)


def _plain(record: Located) -> dict[str, Any]:
    data = record.model_dump(mode="json", exclude_none=True)
    if isinstance(record, Outside):
        data.pop("id", None)
    for item in data.get("claims", []):
        for key in [key for key in item if item[key] in ([], {}, "")]:
            del item[key]
    return {key: value for key, value in data.items() if value not in ([], {}) or key == "carried"}


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        inner = (f"{key}: {_flow(item)}" for key, item in value.items() if item is not None)
        return "{" + ", ".join(inner) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    text = str(value)
    if re.fullmatch(r"[a-z][a-z0-9-]*[a-z0-9]", text) or re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return text
    return '"' + "".join(_letter(letter) for letter in text) + '"'


def _letter(letter: str) -> str:
    if letter in '"\\':
        return f"\\{letter}"
    if letter.isprintable():
        return letter
    return f"\\u{ord(letter):04x}" if ord(letter) < 0x10000 else f"\\U{ord(letter):08x}"
