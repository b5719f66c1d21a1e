"""What the tests of the renderers share: the shipped assets with the sample's marks, and a reader for HTML."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

import pytest

from handouts.render.assets import Assets, load_assets
from tests.render.parts import MARKS

VOID = frozenset({"meta", "link", "img", "br", "hr", "input"})


@dataclass
class Node:
    """An element with its attributes, its parent and, in order, its texts and elements."""

    tag: str
    attrs: dict[str, str] = field(default_factory=dict)
    parent: Node | None = None
    inside: list[Node | str] = field(default_factory=list)

    def text(self) -> str:
        """All text inside."""
        return "".join(part if isinstance(part, str) else part.text() for part in self.inside)

    def all(self, tag: str | None = None, **attrs: str | None) -> list[Node]:
        """All elements inside with this tag and these attributes (None: the attribute is there)."""
        found = []
        for part in self.inside:
            if isinstance(part, Node):
                wanted = {name.replace("_", "-"): value for name, value in attrs.items()}
                right = all(n in part.attrs and v in (None, part.attrs[n]) for n, v in wanted.items())
                if right and tag in (None, part.tag):
                    found.append(part)
                found.extend(part.all(tag, **attrs))
        return found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.top = self.at = Node("top")

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        node = Node(tag, {name: value or "" for name, value in attrs}, self.at)
        self.at.inside.append(node)
        if tag not in VOID:
            self.at = node

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.at.inside.append(Node(tag, {name: value or "" for name, value in attrs}, self.at))

    def handle_endtag(self, tag: str) -> None:
        assert self.at.tag == tag, f"</{tag}> closes <{self.at.tag}>"
        assert self.at.parent is not None
        self.at = self.at.parent

    def handle_data(self, data: str) -> None:
        self.at.inside.append(data)


def read(html: str) -> Node:
    """Return the tree of a page; an element that is not closed in order fails the test."""
    reader = _Reader()
    reader.feed(re.sub(r"^<!doctype html>", "", html.lstrip()))
    reader.close()
    assert reader.at is reader.top
    return reader.top


@pytest.fixture(scope="session")
def assets() -> Assets:
    """The shipped templates with the marks of the sample documents."""
    return load_assets(MARKS)
