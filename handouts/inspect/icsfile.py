"""The bytes of a calendar file in, its components with unfolded properties and lines out (RFC 5545)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from handouts.errors import BadInput
from handouts.files import decode

COMPONENT_LIMIT = 20_000
_PROPERTY = re.compile(
    r"(?P<name>[A-Za-z0-9-]+)(?P<parameters>(?:;[A-Za-z0-9-]+=(?:\"[^\"]*\"|[^\";:]*))*):(?P<value>.*)", re.S
)
_ESCAPE = re.compile(r"\\([\\;,nN])")


@dataclass(frozen=True)
class Property:
    """One property: name and parameters in capitals, the value as it stands in the file."""

    name: str
    parameters: dict[str, str]
    value: str
    line: int

    @property
    def text(self) -> str:
        """The value with its escapes undone."""
        return _ESCAPE.sub(lambda match: "\n" if match.group(1) in "nN" else match.group(1), self.value)


@dataclass
class Component:
    """VCALENDAR, VEVENT, VALARM …, with its properties and inner components."""

    name: str
    line: int
    properties: list[Property] = field(default_factory=list)
    inner: list[Component] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        """The properties of a name."""
        return [item for item in self.properties if item.name == name]

    def first(self, name: str) -> Property | None:
        """The first property of a name, or None."""
        return next(iter(self.all(name)), None)


@dataclass(frozen=True)
class Calendar:
    """A calendar file: its bytes as lines without their ends, and its one VCALENDAR."""

    data: bytes
    root: Component

    @property
    def events(self) -> list[Component]:
        """The VEVENT components."""
        return [item for item in self.root.inner if item.name == "VEVENT"]


def read_ics(data: bytes, path: Path) -> Calendar:
    """Read a calendar file. Raises BadInput with the line for what is no iCalendar text or is cut short."""
    stack: list[Component] = []
    top: list[Component] = []
    count = 0
    for line, folded in _unfolded(data):
        content = decode(folded, path, "calendar file")
        if not content.strip():
            continue
        match = _PROPERTY.fullmatch(content)
        if match is None:
            raise BadInput("a line of the calendar does not parse", file=path, line=line, found=content)
        name, value = match["name"].upper(), match["value"]
        if name == "BEGIN":
            count += 1
            if count > COMPONENT_LIMIT or len(stack) > 8:
                raise BadInput("the calendar has too many parts", file=path, line=line)
            part = Component(value.strip().upper(), line)
            (stack[-1].inner if stack else top).append(part)
            stack.append(part)
        elif name == "END":
            if not stack or stack[-1].name != value.strip().upper():
                raise BadInput("a part of the calendar ends that is not open", file=path, line=line, found=content)
            stack.pop()
        elif stack:
            stack[-1].properties.append(Property(name, _parameters(match["parameters"]), value, line))
        else:
            raise BadInput("the file is no calendar", file=path, line=line, expected="BEGIN:VCALENDAR", found=content)
    if stack:
        raise BadInput(
            "the calendar is cut short", file=path, expected=f"END:{stack[-1].name}", remedy="Make the file again."
        )
    if len(top) != 1 or top[0].name != "VCALENDAR":
        raise BadInput("the file is no calendar", file=path, expected="one VCALENDAR", remedy="Check the file.")
    return Calendar(data, top[0])


def _unfolded(data: bytes) -> list[tuple[int, bytes]]:
    """Join folded lines before they are decoded, since a fold may cut a character; each has its first line's number."""
    joined: list[tuple[int, list[bytes]]] = []
    for number, raw in enumerate(data.split(b"\n"), 1):
        content = raw.removesuffix(b"\r")
        if content[:1] in (b" ", b"\t") and joined:
            joined[-1][1].append(content[1:])
        else:
            joined.append((number, [content]))
    return [(number, b"".join(parts)) for number, parts in joined]


def _parameters(text: str) -> dict[str, str]:
    found = re.findall(r";([A-Za-z0-9-]+)=(\"[^\"]*\"|[^\";:]*)", text)
    return {name.upper(): value.strip('"') for name, value in found}
