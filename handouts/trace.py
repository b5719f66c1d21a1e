"""A fact, a text or a finished file in, the way between figure and source out."""

from __future__ import annotations

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
    text = read_text(path, HTML_LIMIT, "file")
    shown: dict[str, str] = {}
    if path.suffix == ".json":
        try:
            manifest = json.loads(text)
            for document in manifest["documents"]:
                shown.update({claim["id"]: claim["shown"] for claim in document["claims"]})
        except (ValueError, KeyError, TypeError):
            raise BadInput("this is no kit manifest", file=path, expected="kit.json") from None
    elif path.suffix == ".html":
        for match in re.finditer(r'data-fact="([^"]+)"[^>]*>([^<]*)<', text):
            shown.setdefault(match[1], match[2])
    else:
        return _from_manifest(path, library)
    return [_claim(name, words, library) for name, words in shown.items()]


def _from_manifest(path: Path, library: Library) -> list[dict[str, Any]]:
    beside = path.parent / "kit.json"
    if not beside.is_file():
        raise BadInput("the figures of this file are listed in no kit.json", file=path, expected="a kit.json beside it")
    manifest = json.loads(read_text(beside, HTML_LIMIT, "manifest"))
    shown = {
        claim["id"]: claim["shown"]
        for document in manifest["documents"]
        if document["file"] == path.name
        for claim in document["claims"]
    }
    return [_claim(name, words, library) for name, words in shown.items()]


def _claim(name: str, shown: str, library: Library) -> dict[str, Any]:
    fact = library.facts.get(re.split(r"[|~]", name)[0])
    if fact is None:
        return {"id": name, "shown": shown, "basis": "worked out for the place", "label": ""}
    return {
        "id": name,
        "shown": shown,
        "basis": fact.preferred.basis.kind,
        "label": fact.label,
        "references": fact.preferred.rests_on,
    }
