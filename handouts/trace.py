"""A fact, a text or a finished file in, the way between figure and source out."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

from handouts.check.context import Context
from handouts.check.texts import names_in
from handouts.compose.cite import citation
from handouts.compose.phrase import Frosts, statement_phrase
from handouts.errors import BadContent, BadInput
from handouts.files import read_text
from handouts.model.facts import Fact
from handouts.model.library import Library

HTML_LIMIT = 20_000_000


def look_up(name: str | None, library: Library) -> list[dict[str, Any]]:
    """Return the fact `name`, all facts of the subject `name`, or the list of subjects. Raises BadContent."""
    if name is None:
        return [
            {"id": subject.id, "label": f"{subject.names.common}: {len(subject.facts)} facts"}
            for subject in library.subjects.values()
        ]
    if name in library.facts:
        return [_fact(library.facts[name], library)]
    if name in library.subjects:
        return [_fact(fact, library) for fact in library.subjects[name].facts.values()]
    begun = [fact for fact in library.facts.values() if fact.id.startswith(f"{name}.")]
    if begun:
        return [_fact(fact, library) for fact in begun]
    library.fact(name)
    raise BadContent(f"there is no fact {name!r}")


def _fact(fact: Fact, library: Library) -> dict[str, Any]:
    said = []
    for statement in fact.says:
        phrase = statement_phrase(fact, statement, "us", Frosts(), 2027)
        basis = statement.basis
        detail = ""
        if basis.kind == "derived":
            detail = f"{basis.formula}; from {', '.join(basis.parents)}"
        elif basis.kind == "proxy":
            detail = f"measured on: {basis.of}"
        elif basis.kind == "not-known":
            detail = f"looked for in: {basis.looked}"
        said.append(
            {
                "shown": phrase.shown,
                "value": phrase.value,
                "unit": phrase.unit,
                "basis": basis.kind,
                "references": statement.rests_on,
                "conditions": statement.conditions,
                "why": statement.why,
                "detail": detail or None,
                "sources": [
                    {
                        "id": name,
                        "citation": citation(library.source_of(name)),
                        "locator": library.reference(name).locator,
                    }
                    for name in statement.rests_on
                ],
            }
        )
    return {
        "id": fact.id,
        "label": fact.label,
        "says": said,
        "note": fact.note,
        "as_of": fact.as_of.isoformat() if fact.as_of else None,
        "file": f"{fact.origin}:{fact.line}" if fact.origin else None,
        "used_by": [item["id"] for item in uses(fact.id, library)],
    }


def uses(name: str, library: Library) -> list[dict[str, Any]]:
    """Return the texts and values that name a fact: plans, answers, cautions, derived facts. Raises BadContent."""
    library.fact(name)
    found: dict[str, dict[str, Any]] = {}
    from datetime import date

    for said in Context(library, date.min).texts():
        if any(item.partition("|")[0] == name for item in names_in(said.text)):
            found.setdefault(f"{said.kind}/{said.owner}", {"id": f"{said.kind}/{said.owner}", "file": str(said.file)})
    for fact in library.facts.values():
        if any(name in getattr(statement.basis, "parents", []) for statement in fact.says):
            found[f"fact/{fact.id}"] = {"id": f"fact/{fact.id}", "file": str(fact.origin)}
    return list(found.values())


def used_by(path: Path, library: Library) -> list[dict[str, Any]]:
    """Return the claims a finished HTML file or a kit.json shows, with their basis. Raises BadInput."""
    if path.suffix == ".json":
        listed = _listed(path, None)
    elif path.suffix == ".html":
        listed = {}
        for match in re.finditer(r'data-fact="([^"]+)"[^>]*>([^<]*)<', read_text(path, HTML_LIMIT, "file")):
            listed.setdefault(html.unescape(match[1]), {"shown": html.unescape(match[2])})
    else:
        beside = path.parent / "kit.json"
        if not path.is_file():
            raise BadInput("there is no such file", file=path)
        if not beside.is_file():
            raise BadInput(
                "the figures of this file are listed in no kit.json", file=path, expected="a kit.json beside it"
            )
        listed = _listed(beside, path.name)
    return [_claim(name, claim, library) for name, claim in listed.items()]


def _listed(path: Path, name: str | None) -> dict[str, dict[str, Any]]:
    """Return the claims of a manifest by id: of all its documents, or of the file `name`. Raises BadInput."""
    try:
        documents = json.loads(read_text(path, HTML_LIMIT, "manifest"))["documents"]
        return {
            claim["id"]: {**claim, "shown": claim["shown"]}
            for document in documents
            if name is None or document["file"] == name
            for claim in document["claims"]
        }
    except (ValueError, KeyError, TypeError, RecursionError):
        raise BadInput("this is no kit manifest", file=path, expected="kit.json") from None


def _claim(name: str, claim: dict[str, Any], library: Library) -> dict[str, Any]:
    fact = library.facts.get(re.split(r"[|~]", name)[0])
    shown = claim["shown"]
    if fact is None:
        # A window or a place value: what it was worked out from stands in the manifest alone.
        return {
            "id": name,
            "shown": shown,
            "basis": claim.get("basis") or "worked out for the place",
            "label": claim.get("label") or "",
            "references": claim.get("references") or [],
            "parents": claim.get("parents") or [],
        }
    return {
        "id": name,
        "shown": shown,
        "basis": fact.preferred.basis.kind,
        "label": fact.label,
        "references": fact.preferred.rests_on,
    }
