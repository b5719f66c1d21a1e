"""An edition's status: said on the pages of a document, set by a person, kept beside the edition."""

from __future__ import annotations

import difflib
import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from handouts.compose.carriers import named_subjects
from handouts.compose.composer import words_of
from handouts.compose.prose import constants
from handouts.editions import record as records
from handouts.editions.record import Approval, Edition, Given, Ground, Withdrawal
from handouts.editions.words import read_words
from handouts.errors import BadInput
from handouts.files import MIB, read_text
from handouts.model.document import Block, Const, Document, Para, Run, Runs, Slot, Text
from handouts.model.event import EventFile
from handouts.model.library import Library
from handouts.place.known import Known

# What is not the document's own speech: others' titles, the key of the marks, the club's statements.
_NOT_SAID = ("key", "sources", "statements")


# -- on the page -------------------------------------------------------------------------------------------------------


def stamped(library: Library, document: Document) -> Document:
    """Return the document with its status on it; as it is where the club keeps no editions.

    A draft and a withdrawn edition say so on each page (`extra["status-line"]`), all three in the edition line and in
    the entries of a calendar. The edition's id stays: it is the hash of blocks and claims. Raises BadContent when the
    record does not fit.
    """
    folder = records.folder_of(library.club_root)
    if folder is None:
        return document
    found = records.find(folder, document.edition)
    status = found.status if found else "draft"
    said = status_runs(library, found)
    words = "".join(run.text for run in said if isinstance(run, Text | Const))
    line = {"draft": library.say("draft"), "withdrawn": read_words(library).label("withdrawn-line")}.get(status, "")
    new = tuple(run.text for run in said if isinstance(run, Const))
    return replace(
        document,
        edition_line=(*document.edition_line, Text(". "), *said, Text(".")),
        constants=tuple(dict.fromkeys((*document.constants, *new))),
        events=tuple(replace(event, text=f"{event.text} {words}.".strip()) for event in document.events),
        extra={**document.extra, "status": status, "status-line": line},
    )


def status_runs(library: Library, found: Edition | None) -> Runs:
    """Return what the edition line says of the status, without a full stop."""
    if found is None or found.status == "draft":
        return (Text(library.say("draft")),)
    words = read_words(library)
    runs: list[Run] = []
    if found.status == "approved":
        assert found.approved is not None
        signed = found.approved
        runs.append(Text(f"{words.label('approved')} "))
        runs.extend(constants(f"{signed.name}, {signed.role}, ", "name"))
        runs.append(Const("note", signed.date.isoformat()))
        return tuple(runs)
    assert found.withdrawn is not None
    runs.append(Text(f"{words.label('withdrawn')} "))
    runs.append(Const("note", found.withdrawn.date.isoformat()))
    runs.append(Text(": "))
    runs.extend(constants(found.withdrawn.why.rstrip(". "), "note"))
    return tuple(runs)


# -- kits are recorded -------------------------------------------------------------------------------------------------


def kit_records(library: Library, event: EventFile, made: Iterable[tuple[Document, Ground]]) -> dict[Path, bytes]:
    """Return the files that record a kit in the club's folder: new drafts, and events added to known editions.

    Nothing where the club keeps no editions. Raises BadContent when a record does not fit.
    """
    folder = records.folder_of(library.club_root)
    files: dict[Path, bytes] = {}
    if folder is None:
        return files
    given = Given(date=event.date, event=event.title, handed_out=event.handed_out)
    for document, ground in made:
        path = folder / f"{document.edition}.yml"
        found = records.find(folder, document.edition)
        if found is None:
            new = records.new_edition(document, ground, subjects_of(library, document), given)
            files[path] = records.written(new)
        elif (more := records.given_again(found, given)) is not None:
            files[path] = records.rewritten(path, more, ("again",))
    return files


def subjects_of(library: Library, document: Document) -> dict[str, list[str]]:
    """Return the subjects a document speaks of, each with the hazard classes it carries today."""
    text = words_of(_said(document.blocks))
    owners = (library.owner.get(claim.id.partition("|")[0].partition("~")[0], "") for claim in document.claims)
    names = dict.fromkeys((*document.extra.get("subjects", "").split(), *owners, *named_subjects(library, text)))
    return {name: list(library.subjects[name].carries) for name in sorted(names) if name in library.subjects}


def _said(blocks: Iterable[Block]) -> tuple[Block, ...]:
    return tuple(
        block
        for block in blocks
        if not (isinstance(block, Slot) and block.name in _NOT_SAID)
        and not (isinstance(block, Para) and block.role == "statement")
    )


def ground_of(
    known: Known, named: tuple[Any, Path], club: Path | None, species: str, year: int, start: date | None, units: str
) -> Ground:
    """Return what a document was made for; `named` is the text or mapping by which the event or the command
    named the place, and the folder it is relative to.

    Files are kept relative to the club's folder, so that the folder can move.
    """
    file, (place, base) = None, named
    if isinstance(place, str) and "=" not in place:
        paths = [base / place]
        if club is not None and "/" not in place:
            paths.append(club / "places" / f"{place.removesuffix('.yml')}.yml")
        file = next((_beside(path, club) for path in paths if path.is_file()), None)
    fields = known.model_dump(mode="json", exclude_none=True, exclude_defaults=True)
    for key, value in fields.items():
        if key in ("normals", "daily"):
            held = [_beside(Path(item), club) or str(item) for item in (value if isinstance(value, list) else [value])]
            fields[key] = held if isinstance(value, list) else held[0]
    return Ground(
        species=species,
        year=year,
        start=start,
        units="metric" if units == "metric" else "us",
        place_file=file,
        place=fields,
    )


def _beside(path: Path, club: Path | None) -> str | None:
    try:
        return Path(os.path.relpath(path.resolve(), club.resolve() if club else Path.cwd())).as_posix()
    except ValueError:  # another drive
        return None


# -- set by a person ---------------------------------------------------------------------------------------------------


def approve(folder: Path, names: Sequence[str], signed: Approval) -> tuple[list[Edition], dict[Path, bytes]]:
    """Return the editions, approved, and their files. Raises BadInput for one that is unknown, signed or withdrawn."""
    done, files = [], {}
    for name in edition_ids(folder, names):
        found = known_edition(folder, name)
        path = folder / f"{name}.yml"
        if found.status == "withdrawn":
            assert found.withdrawn is not None
            raise BadInput(
                f"the edition {name} is withdrawn",
                file=path,
                found=found.withdrawn.why.rstrip("."),
                remedy="Make the kit again; a new edition starts as a draft.",
            )
        if found.status == "approved" and not records.alike(found.approved, signed):
            assert found.approved is not None
            raise BadInput(
                f"the edition {name} is approved already",
                file=path,
                found=f"{found.approved.name}, {found.approved.role}, {found.approved.date}",
                remedy="Withdraw it, or correct its file.",
            )
        new = found.model_copy(update={"status": "approved", "approved": signed})
        done.append(new)
        if not records.alike(new, found):
            files[path] = records.rewritten(path, new, ("status", "approved", "withdrawn"))
    return done, files


def withdraw(folder: Path, names: Sequence[str], taken: Withdrawal) -> tuple[list[Edition], dict[Path, bytes]]:
    """Return the editions, withdrawn, and their files. Raises BadInput for one that is unknown or withdrawn before."""
    done, files = [], {}
    for name in edition_ids(folder, names):
        found = known_edition(folder, name)
        path = folder / f"{name}.yml"
        if found.status == "withdrawn" and not records.alike(found.withdrawn, taken):
            assert found.withdrawn is not None
            raise BadInput(
                f"the edition {name} is withdrawn already",
                file=path,
                found=f"{found.withdrawn.date}: {found.withdrawn.why}",
            )
        new = found.model_copy(update={"status": "withdrawn", "withdrawn": taken})
        done.append(new)
        if not records.alike(new, found):
            files[path] = records.rewritten(path, new, ("status", "approved", "withdrawn"))
    return done, files


def edition_ids(folder: Path, names: Sequence[str]) -> list[str]:
    """Return edition ids, each once; a name that ends in .json is a kit's manifest and stands for all its editions."""
    found: dict[str, None] = {}
    for name in names:
        if not name.endswith(".json"):
            found[name.strip().lower()] = None
            continue
        path = Path(name)
        try:
            listed = json.loads(read_text(path, 20 * MIB, "kit manifest"))["documents"]
            found.update(dict.fromkeys(str(item["edition"]) for item in listed))
        except (ValueError, KeyError, TypeError):
            raise BadInput("this is no kit manifest", file=path, expected="kit.json") from None
    return list(found)


def known_edition(folder: Path, name: str) -> Edition:
    """Return a recorded edition. Raises BadInput with the nearest id."""
    found = records.find(folder, name)
    if found is not None:
        return found
    near = difflib.get_close_matches(name, [path.stem for path in folder.glob("*.yml")], n=1, cutoff=0.6)
    raise BadInput(
        f"there is no edition {name!r}",
        file=folder,
        expected="the id at the foot of a sheet, or a kit.json",
        remedy=f"Did you mean {near[0]!r}?" if near else "`handouts editions` lists them.",
    )


# -- the list ----------------------------------------------------------------------------------------------------------


def listing(found: records.Records) -> dict[str, Any]:
    """Return all records as plain data, without what they state."""
    return {
        "editions": [
            {
                "id": one.id,
                "status": one.status,
                "kind": one.kind,
                "topic": one.topic,
                "title": one.title,
                "date": one.date.isoformat(),
                "event": one.event,
                "place": one.place,
                "handed_out": one.handed_out,
                "again": [item.model_dump(mode="json") for item in one.again],
                "approved": one.approved.model_dump(mode="json") if one.approved else None,
                "withdrawn": one.withdrawn.model_dump(mode="json") if one.withdrawn else None,
                "claims": len(one.claims),
                "file": str(one.origin),
            }
            for one in found.editions
        ],
        "outside": [
            {
                "id": one.id,
                "kind": one.kind,
                "title": one.title,
                "link": one.link,
                "date": one.date.isoformat(),
                "states": len(one.states),
                "file": str(one.origin),
            }
            for one in found.outside
        ],
    }
