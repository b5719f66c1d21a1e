"""A finished document in, its entry in a kit's manifest (kit.json) out."""

from __future__ import annotations

import json
from typing import Any

from handouts.model.document import Document


def listed_as(document: Document, name: str, suffix: str, pages: int | None) -> dict[str, Any]:
    """Return the entry of one file; `status` is that of its edition, None where the club keeps no editions."""
    return {
        "kind": document.kind,
        "topic": document.topic,
        "file": name,
        "format": suffix.removeprefix("."),
        "paper": document.paper,
        "pages": pages,
        "title": document.title,
        "edition": document.edition,
        "status": document.extra.get("status"),
        "reading_grade": document.reading_grade,
        "cautions": list(document.cautions),
        "constants": list(document.constants),
        "claims": [
            {
                "id": claim.id,
                "shown": claim.shown,
                "value": claim.value,
                "unit": claim.unit,
                "basis": claim.basis,
                "references": list(claim.references),
                "digest": claim.digest,
                "parents": list(claim.parents),
                "proxy": claim.proxy,
                "label": claim.label,
            }
            for claim in document.claims
        ],
    }


def as_json(data: Any) -> bytes:
    """Return data as the bytes of a JSON file."""
    return (json.dumps(data, indent=1, ensure_ascii=False, default=str) + "\n").encode()
