"""Rules about a calendar file (RFC 5545, RFC 7986): lines, names, stable ids, all-day dates, nothing marked busy."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from uuid import UUID

from handouts.inspect.icsfile import Component, Property
from handouts.inspect.page import Page, Trouble

OCTETS = 75
_STAMP = re.compile(r"\d{8}T\d{6}Z")


def _key(event: Component) -> str:
    title = event.first("SUMMARY")
    return title.text[:40] if title is not None else f"event on line {event.line}"


def _events(page: Page) -> list[Component]:
    return page.calendar.events if page.calendar is not None else []


def ics_lines(page: Page) -> Iterator[Trouble]:
    """Every line ends in CRLF and has at most 75 octets; no character is cut in two."""
    assert page.calendar is not None
    data = page.calendar.data
    if data.count(b"\n") != data.count(b"\r\n") or data.count(b"\r") != data.count(b"\r\n"):
        lone = next(at for at, line in enumerate(data.split(b"\n"), 1) if not line.endswith(b"\r"))
        yield Trouble("a line end that is not CRLF", "CRLF", "Write the file with CRLF.", key="CRLF", line=lone)
    elif not data.endswith(b"\r\n"):
        yield Trouble("no line end at the end", "CRLF", "Write the file with CRLF.", key="CRLF")
    for at, line in enumerate(data.split(b"\n"), 1):
        bare = line.removesuffix(b"\r")
        if len(bare) > OCTETS:
            yield Trouble(f"{len(bare)} octets", f"at most {OCTETS}", "Fold the line.", key="fold", line=at)
        try:
            bare.decode("utf-8")
        except UnicodeDecodeError:
            yield Trouble("a character cut by a fold", "whole characters", "Fold elsewhere.", key="fold", line=at)


def ics_calendar(page: Page) -> Iterator[Trouble]:
    """The calendar states VERSION 2.0 and PRODID once, and holds events."""
    assert page.calendar is not None
    root = page.calendar.root
    version = [item.value for item in root.all("VERSION")]
    if version != ["2.0"]:
        yield Trouble(f"VERSION {version}", "2.0", "State the version.", key="VERSION", line=root.line)
    if len(root.all("PRODID")) != 1 or not root.all("PRODID")[0].value:
        yield Trouble("no PRODID", "one PRODID", "State the program.", key="PRODID", line=root.line)
    if not page.calendar.events:
        yield Trouble("no events", "at least one VEVENT", "Make it for a place with dates.", key="VEVENT")


def ics_uid(page: Page) -> Iterator[Trouble]:
    """Every event has an id that is a UUID, says nothing about anyone, and stands once."""
    seen: dict[str, int] = {}
    for event in _events(page):
        ids = event.all("UID")
        value = ids[0].value if len(ids) == 1 else ""
        try:
            name = (
                str(UUID(value.removeprefix("urn:uuid:")))
                if re.fullmatch(r"(?:urn:uuid:)?[0-9a-fA-F-]{36}", value)
                else ""
            )
        except ValueError:
            name = ""
        if not name:
            found = value or f"{len(ids)} UIDs"
            yield Trouble(found, "one UUID", "Make the file again.", key=_key(event), line=event.line)
        elif name in seen:
            yield Trouble(
                f"{value} again, first on line {seen[name]}",
                "each id once",
                "Make it again.",
                key=_key(event),
                line=event.line,
            )
        seen.setdefault(name, event.line)


def ics_stamp(page: Page) -> Iterator[Trouble]:
    """Every event has one DTSTAMP in UTC: the day of the last review."""
    for event in _events(page):
        values = [item.value for item in event.all("DTSTAMP")]
        if len(values) != 1 or not _STAMP.fullmatch(values[0]):
            yield Trouble(f"DTSTAMP {values}", "YYYYMMDDTHHMMSSZ", "State it in UTC.", key=_key(event), line=event.line)


def _day(item: Property | None) -> date | None:
    if item is None or item.parameters.get("VALUE", "").upper() != "DATE" or not re.fullmatch(r"\d{8}", item.value):
        return None
    try:
        return date(int(item.value[:4]), int(item.value[4:6]), int(item.value[6:]))
    except ValueError:
        return None


def ics_dates(page: Page) -> Iterator[Trouble]:
    """Every event starts on a date; its end is exclusive, so it lies after the start; no duration stands beside it."""
    for event in _events(page):
        starts, ends, durations = event.all("DTSTART"), event.all("DTEND"), event.all("DURATION")
        start = _day(starts[0]) if len(starts) == 1 else None
        if start is None:
            found = [item.value for item in starts]
            yield Trouble(f"DTSTART {found}", "DTSTART;VALUE=DATE", "Give the day.", key=_key(event), line=event.line)
        if ends and durations:
            yield Trouble("DTEND and DURATION", "one of them", "Keep DTEND.", key=_key(event), line=event.line)
        if ends:
            end = _day(ends[0]) if len(ends) == 1 else None
            if end is None:
                yield Trouble(
                    f"DTEND {[item.value for item in ends]}", "DTEND;VALUE=DATE", "Give the day after the last.",
                    key=_key(event), line=ends[0].line,
                )  # fmt: skip
            elif start is not None and end <= start:
                yield Trouble(
                    f"{end} after {start}", "the day after the last one", "The end is exclusive.",
                    key=_key(event), line=ends[0].line,
                )  # fmt: skip


def ics_transparent(page: Page) -> Iterator[Trouble]:
    """Nature keeps no one busy: every event is TRANSPARENT."""
    for event in _events(page):
        values = [item.value.upper() for item in event.all("TRANSP")]
        if values != ["TRANSPARENT"]:
            yield Trouble(f"TRANSP {values}", "TRANSPARENT", "Add TRANSP.", key=_key(event), line=event.line)


def ics_quiet(page: Page) -> Iterator[Trouble]:
    """No alarm rings, nothing repeats by rule (dates are worked out for one year), nobody is invited."""
    for event in _events(page):
        for part in event.inner:
            yield Trouble(f"a {part.name}", "no alarms", "Leave alarms to the reader.", key=_key(event), line=part.line)
        for name in ("RRULE", "RDATE", "ATTENDEE", "ORGANIZER", "ATTACH"):
            for item in event.all(name):
                yield Trouble(name, "the dates of one year", "Write the dates out.", key=_key(event), line=item.line)
        if event.first("SUMMARY") is None:
            yield Trouble("no SUMMARY", "a title", "Give the event a title.", key=_key(event), line=event.line)
