"""A Document's dated events in, an RFC 5545 calendar of all-day entries out; the same document gives the same bytes."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from handouts import __version__
from handouts.errors import BadContent
from handouts.model.document import Claim, Document, Event
from handouts.render.assets import Assets

# Drawn once for this project: an entry keeps its id for ever and says nothing about who made it or where.
NAMESPACE = UUID("5f0f1c0e-6f0b-4d6e-9a55-0b8a3a7c9d21")


def render_ics(document: Document, assets: Assets) -> bytes:
    """Return the calendar as UTF-8 with CRLF line ends and lines of at most 75 octets.

    Each entry lasts from its first day to the day after its last one (the end of RFC 5545 is exclusive), marks no
    time as busy, and carries how its figures are known. Raises BadContent for a document without events or without
    the day of its last review.
    """
    from icalendar import Calendar

    if not document.events:
        raise BadContent("the document has no dated events", found=document.kind, expected="a place with known dates")
    stamp = _stamp(document)
    name = f"{document.title}, {document.place}" if document.place else document.title
    calendar = Calendar()
    calendar.add("prodid", f"-//handouts//{__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", _plain(name))
    calendar.add("x-wr-calname", _plain(name))
    seen: set[str] = set()
    for event in sorted(document.events, key=lambda event: (event.first, event.last, event.key)):
        if event.key in seen:
            raise BadContent("two events have the same key", found=event.key)
        if event.last < event.first:
            raise BadContent("an event ends before it begins", found=f"{event.key}: {event.first} to {event.last}")
        seen.add(event.key)
        calendar.add_component(_entry(document, event, stamp, assets))
    data = calendar.to_ical()
    return bytes(data)


def _entry(document: Document, event: Event, stamp: datetime, assets: Assets) -> Any:
    from icalendar import Event as Entry

    entry = Entry()
    entry.add("uid", str(uuid5(NAMESPACE, "/".join((document.kind, document.topic, document.place, event.key)))))
    entry.add("dtstamp", stamp)
    entry.add("last-modified", stamp)
    entry.add("dtstart", event.first)
    entry.add("dtend", event.last + timedelta(days=1))
    entry.add("summary", _plain(event.title))
    entry.add("description", _plain(_description(document, event, assets)))
    entry.add("transp", "TRANSPARENT")
    return entry


def _description(document: Document, event: Event, assets: Assets) -> str:
    claims = {claim.id: claim for claim in document.claims}
    lines = [event.text] if event.text else []
    known: list[str] = []
    for name in event.claims:
        if name not in claims:
            raise BadContent("an event names a claim the document does not have", found=f"{event.key}: {name}")
        known.append(_basis(claims[name], assets))
    if known:
        lines.append(f"{assets.label('basis')}:")
        lines.extend(dict.fromkeys(known))
    if document.edition:
        lines.append(f"{assets.label('edition')} {document.edition}")
    return "\n".join(lines)


def _basis(claim: Claim, assets: Assets) -> str:
    """One figure and how it is known; a relative is always named."""
    words = assets.mark(claim.basis)[1]
    if claim.proxy and claim.proxy not in claim.shown:
        words = f"{words} ({claim.proxy})"
    label = f"{claim.label}: " if claim.label else ""
    return f"{label}{claim.shown} ({words})" if words != claim.shown else f"{label}{claim.shown}"


def _stamp(document: Document) -> datetime:
    """The day of the last review at midnight: the clock would change the bytes of every build."""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", document.revised):
        raise BadContent("the document has no day of last review", found=document.revised, expected="YYYY-MM-DD")
    day = date.fromisoformat(document.revised)
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u00ad", "")
