"""What the tests of the inspection share: a small library of invented records, pages that keep every promise, kits."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

from handouts.inspect import inspect_files
from handouts.model.facts import Fact, ReferenceValue, Source, Subject
from handouts.model.finding import Finding
from handouts.model.library import Library
from handouts.model.records import Caution, Club, Region, Words

NBSP = "\u00a0"
SHOWN = f"9{NBSP}to{NBSP}18{NBSP}days"
SAP_SHORT = "Sap and sunlight blister skin. Wear gloves and keep children away."
SAP_FULL = "Sap on skin blisters in sunlight for {rue.blister-days}. Wear gloves, wash it off, and keep children away."
MARK = '<sup class="mark">\u00a0<abbr title="{words}">{letter}</abbr></sup>'
EDITION = "Edition bcdf-ghjk-lmnp for Sampleton; facts last reviewed "

STYLE = """
:root { --ink: #1b3a6b; }
body { color: #000; background: #fff; }
h1, h2 { color: var(--ink); }
ol { list-style: none; }
"""


def _fact(name: str, basis: dict[str, Any], **value: Any) -> Fact:
    return Fact.model_validate({"id": name, "label": "how long it takes", "says": [{"basis": basis, **value}]})


@lru_cache
def library() -> Library:
    """A library of invented records: two insects, two plants (one with a longer, harmless name), one relative."""
    days = {"span": {"low": 9, "high": 18, "unit": "d"}}
    facts = [
        _fact("sample-moth.pupa", {"kind": "published", "rests_on": ["source#pupa"]}, **days),
        _fact("sample-moth.egg", {"kind": "common-practice"}, **days),
        _fact("sample-moth.larva", {"kind": "memory"}, **days),
        _fact("sample-moth.chill", {"kind": "not-known", "looked": "three guides"}),
        _fact("sample-moth.flight", {"kind": "proxy", "of": "other-moth", "rests_on": ["source#pupa"]}, **days),
    ]
    made = Library(root=Path("content"))
    subjects = [
        {"id": "sample-moth", "names": {"common": "sample moth", "scientific": "Exempla communis"}},
        {"id": "other-moth", "names": {"common": "other moth"}},
        {"id": "rue", "names": {"common": "rue", "scientific": "Ruta graveolens"}, "carries": ["sap"]},
        {"id": "meadow-rue", "names": {"common": "meadow rue"}},
        {"id": "pastern-berry", "names": {"common": "pastern berry", "also": ["hound's leaf"]}, "carries": ["sap"]},
    ]
    for item in subjects:
        made.subjects[item["id"]] = Subject.model_validate({"kind": "species", "reviewed": "2026-11-25", **item})
    for fact in facts:
        made.facts[fact.id] = fact
        made.owner[fact.id] = "sample-moth"
    value = ReferenceValue.model_validate(
        {"id": "source#pupa", "of": "sample-moth.pupa", "low": 9, "high": 18, "unit": "d"}
    )
    made.references[value.id] = value
    made.sources["source"] = Source.model_validate(
        {
            "id": "source",
            "record": {"type": "webpage", "title": "A guide"},
            "read": "whole",
            "evidence": "extension",
            "seen": "2026-11-25",
        }
    )
    caution = {
        "name": "sap",
        "short": SAP_SHORT,
        "full": SAP_FULL,
        "turn_to": ["poison-help"],
        "reviewed": "2026-11-25",
    }
    made.cautions["sap"] = Caution.model_validate({"id": "sap", **caution})
    box = {"low": 1, "high": 2}
    made.regions["north"] = Region.model_validate(
        {"id": "north", "name": "Northland", "in_words": "in the north", "latitude": box, "longitude": box,
         "centre": {"latitude": 1, "longitude": 1}, "source": "a map"}
    )  # fmt: skip
    made.words = Words.model_validate(
        {
            "marks": {"common-practice": {"mark": "c", "name": "common practice", "explained": "what keepers do"}},
            "windows": {},
            "labels": {
                "do-this": "Do this",
                "not-known": "What we don't know",
                "main-message": "The main thing",
                "edition": "Edition",
                "sources": "Sources",
            },
        }
    )
    made.club = Club.model_validate(
        {"name": "Sample Club", "statements": {"affiliation": "We are a club of neighbors."}}
    )
    return made


def fact(name: str, shown: str, tag: str = "span", attrs: str = "") -> str:
    """A figure as the pages hold it."""
    return f'<{tag} {attrs} data-fact="{name}">{shown}</{tag}>'


def const(role: str, text: str) -> str:
    """A constant as the pages hold it."""
    return f'<span data-const="{role}">{text}</span>'


MESSAGE = '<section data-slot="main-message"><h2>The main thing</h2><p>Keep it cold.</p></section>'
DO = '<section data-slot="do-this"><h2>Do this</h2><ul><li>Look at it now and then.</li></ul></section>'
PLAN = (
    '<section data-slot="plan"><h2>The plan</h2><table><caption>The plan</caption>'
    '<thead><tr><th scope="col">When</th><th scope="col">What</th></tr></thead>'
    f'<tbody><tr><th scope="row">{fact("sample-moth.pupa", SHOWN)}</th><td>Wait.</td></tr></tbody></table></section>'
)
GAPS = '<section data-slot="not-known"><h2>What we don\'t know</h2><p>How cold is too cold.</p></section>'
DRAWING = (
    '<figure><svg viewBox="0 0 9 9" width="90" height="90"><title>A moth at rest</title><desc>It sits on a stem.</desc>'
    '<text fill="#1b3a6b">stem</text></svg></figure>'
)
SOURCES = '<section data-slot="sources"><h2>Sources</h2><p>A guide. Read whole.</p></section>'
FOOT = (
    f'<footer><p class="edition">{EDITION}{const("note", "2026-11-25")}</p><p>We are a club of neighbors.</p></footer>'
)


def html(
    inside: str = "", *, style: str = STYLE, head: str = "<title>Keep moths cold</title>", lang: str = "en",
    kind: str = "handout", parts: str = MESSAGE + DO + DRAWING + PLAN + GAPS + SOURCES, foot: str = FOOT,
) -> str:  # fmt: skip
    """A handout that keeps every promise, with `inside` put in before the end of its main part."""
    return (
        f'<!doctype html>\n<html lang="{lang}" data-kind="{kind}"><head><meta charset="utf-8">{head}'
        f"<style>{style}</style></head>\n<body><h1>Keep moths cold</h1>\n<main>{parts}\n{inside}\n</main>{foot}"
        "</body></html>"
    )


CLAIMS: list[dict[str, Any]] = [
    {"id": "sample-moth.pupa", "shown": SHOWN, "value": {"low": 9, "high": 18}, "unit": "d",
     "basis": "published", "references": ["source#pupa"], "digest": "a"},
]  # fmt: skip


def claim(name: str, shown: str, basis: str = "published", **more: Any) -> dict[str, Any]:
    """One claim of a manifest."""
    references = ["source#pupa"] if basis in ("published", "proxy") else []
    return {"id": name, "shown": shown, "value": None, "unit": None, "basis": basis, "references": references,
            "digest": "a", **more}  # fmt: skip


def kit(file: str, kind: str = "handout", **more: Any) -> dict[str, Any]:
    """A manifest that lists one file."""
    record = {
        "kind": kind, "topic": "moths", "file": file, "format": file.rpartition(".")[2], "pages": None,
        "paper": "letter", "edition": "bcdf-ghjk-lmnp", "reading_grade": 6.0, "cautions": [],
        "constants": ["2026-11-25"], "claims": CLAIMS,
    }  # fmt: skip
    event = more.pop("event", {})
    return {"event": event, "place": {}, "documents": [{**record, **more}]}


def inspected(
    folder: Path, name: str, data: str | bytes, manifest: dict[str, Any] | None = None, rule: str | None = None
) -> list[Finding]:
    """Write a file (and its manifest), inspect it, and return the findings (of one rule)."""
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    if manifest is not None:
        (folder / "kit.json").write_text(json.dumps(manifest), encoding="utf-8")
    return [finding for finding in inspect_files([path], library()) if rule in (None, finding.rule)]


PRINT = "@page { size: letter; margin: 20mm } body { font: 12pt/17pt DejaVu Sans, sans-serif }"
SECOND = '<p style="break-before: page">And on the other side.</p>'


@lru_cache(maxsize=64)
def pdf(text: str | None = None, variant: str | None = "pdf/ua-1", style: str = PRINT) -> bytes:
    """A page set as a PDF; by default the handout on two sides."""
    import weasyprint

    page = weasyprint.HTML(string=text if text is not None else html(SECOND))
    made = page.write_pdf(stylesheets=[weasyprint.CSS(string=style)], pdf_variant=variant, pdf_tags=variant is not None)
    return bytes(made)


def changed(data: bytes, change: Any) -> bytes:
    """A PDF after `change(pdf)` has been done to its objects."""
    import io

    import pikepdf

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as opened:
        change(opened)
        opened.save(out)
    return out.getvalue()


UID = "3f2504e0-4f89-5d3a-9a0c-0305e82c3301"


def event(*lines: str, uid: str = UID, drop: str = "") -> list[str]:
    """The lines of one entry; a line whose name is in `drop` is left out, `lines` are added."""
    made = [
        f"UID:{uid}", "DTSTAMP:20261125T000000Z", "DTSTART;VALUE=DATE:20270501", "DTEND;VALUE=DATE:20270511",
        "SUMMARY:Bring them in", "TRANSP:TRANSPARENT",
    ]  # fmt: skip
    return [
        "BEGIN:VEVENT",
        *(line for line in made if line.partition(":")[0].partition(";")[0] not in drop.split()),
        *lines,
        "END:VEVENT",
    ]


def ics(
    *events: list[str], head: tuple[str, ...] = ("VERSION:2.0", "PRODID:-//sample//EN"), end: str = "\r\n"
) -> bytes:
    """A calendar file."""
    inner = [line for one in (events or (event(),)) for line in one]
    return (end.join(("BEGIN:VCALENDAR", *head, *inner, "END:VCALENDAR")) + end).encode()
