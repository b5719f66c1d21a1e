"""The text of an HTML page in, a small tree out: elements with attributes and lines, read in one pass.

The standard library's reader takes minutes over some broken pages, so the tags are read here, each character once.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator
from html import unescape
from pathlib import Path

from handouts.errors import BadInput

NODE_LIMIT = 100_000
DEPTH_LIMIT = 400


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


VOID = _set("area base br col embed hr img input link meta source track wbr")
RAW = _set("script style")
# Elements whose words are not on the page.
UNSEEN = _set("head script style template noscript title desc metadata")
BLOCKS = _set(
    "html body main header footer section article aside nav div p ul ol li dl dt dd table caption thead tbody tfoot tr "
    "th td figure figcaption h1 h2 h3 h4 h5 h6 hr br pre blockquote address form fieldset svg text title desc"
)
# A start tag of the first kind ends an open element of the second kind.
_CLOSES = {
    "li": ("li",),
    "dt": ("dt", "dd"),
    "dd": ("dt", "dd"),
    "tr": ("td", "th", "tr"),
    "td": ("td", "th"),
    "th": ("td", "th"),
    "tbody": ("td", "th", "tr", "thead", "tbody"),
    "tfoot": ("td", "th", "tr", "thead", "tbody"),
}
_ENDS_P = _set("div p ul ol dl table section article header footer main figure h1 h2 h3 h4 h5 h6 form pre hr")
_NAME = re.compile(r"[A-Za-z][^\s/>]*")
_ATTRIBUTE = re.compile(r"[\s/]*([^\s\"'<>/=]+)(?:\s*=\s*(\"[^\"]*\"|'[^']*'|[^\s\"'=<>`]+))?")
_TAG_END = re.compile(r"[\s/]*(/?)>")


class Node:
    """An element. `children` are elements and strings, `line` is the line of its start tag."""

    __slots__ = ("attrs", "children", "line", "parent", "place", "tag")

    def __init__(self, tag: str, attrs: dict[str, str], line: int, parent: Node | None) -> None:
        self.tag = tag
        self.attrs = attrs
        self.line = line
        self.parent = parent
        # Which child of its parent it is.
        self.place = len(parent.children) if parent is not None else 0
        self.children: list[Node | Words] = []

    def get(self, name: str, default: str = "") -> str:
        """Return an attribute's text."""
        return self.attrs.get(name, default)

    @property
    def classes(self) -> list[str]:
        """The class names."""
        return self.get("class").split()

    def elements(self) -> Iterator[Node]:
        """Yield this element and all elements inside it, in document order."""
        stack: list[Node] = [self]
        while stack:
            node = stack.pop()
            yield node
            stack.extend(child for child in reversed(node.children) if isinstance(child, Node))

    def find(self, *tags: str) -> Iterator[Node]:
        """Yield the elements inside (and this one) with one of the tags."""
        return (node for node in self.elements() if node.tag in tags)

    def up(self) -> Iterator[Node]:
        """Yield this element and its ancestors, innermost first."""
        node: Node | None = self
        while node is not None:
            yield node
            node = node.parent

    def inner(self) -> list[Node]:
        """The child elements."""
        return [child for child in self.children if isinstance(child, Node)]

    def text(self) -> str:
        """All text inside, white space collapsed."""
        return " ".join("".join(word.data for _, word in walk(self) if isinstance(word, Words)).split())

    def seen(self) -> bool:
        """Whether the element is shown: neither it nor an ancestor is hidden."""
        return not any(_hidden(node) for node in self.up())


class Words:
    """A run of text with its line."""

    __slots__ = ("data", "line", "parent")

    def __init__(self, data: str, line: int, parent: Node) -> None:
        self.data = data
        self.line = line
        self.parent = parent


def _hidden(node: Node) -> bool:
    return (
        node.tag in UNSEEN
        or "hidden" in node.attrs
        or ("style" in node.attrs and "display:none" in node.get("style").replace(" ", ""))
    )


def walk(root: Node, unseen: bool = True) -> Iterator[tuple[str, Node | Words]]:
    """Yield ("in", element), ("words", text) and ("out", element) in document order.

    With `unseen=False` what is not shown (head, scripts, titles of drawings, hidden parts) is passed over.
    """
    stack: list[tuple[str, Node | Words]] = [("in", root)]
    while stack:
        what, item = stack.pop()
        if what == "in" and isinstance(item, Node):
            if not unseen and _hidden(item):
                continue
            yield what, item
            stack.append(("out", item))
            stack.extend(("in" if isinstance(child, Node) else "words", child) for child in reversed(item.children))
        else:
            yield what, item


def blocks(root: Node) -> Iterator[list[Words]]:
    """Yield the shown text of each block (paragraph, item, cell, line of a drawing) as its runs, in document order."""
    held: list[Words] = []
    for _, item in walk(root, unseen=False):
        if isinstance(item, Words):
            held.append(item)
        elif item.tag in BLOCKS and held:
            if any(words.data.strip() for words in held):
                yield held
            held = []
    if any(words.data.strip() for words in held):
        yield held


def parse_html(text: str, path: Path) -> Node:
    """Return the tree of a page. Raises BadInput for what is no HTML page, is cut short or has too many elements."""
    return _Reader(text, path).read()


class _Reader:
    def __init__(self, text: str, path: Path) -> None:
        self.text = text
        self.path = path
        self.starts = [match.end() for match in re.finditer("\n", text)]
        self.root = Node("#page", {}, 1, None)
        self.at = self.root
        self.open: Counter[str] = Counter()
        self.count = 0
        self.depth = 0

    def line(self, position: int) -> int:
        return bisect_right(self.starts, position) + 1

    def bad(self, problem: str, position: int, remedy: str = "Make the file again.") -> BadInput:
        return BadInput(problem, file=self.path, line=self.line(position), remedy=remedy)

    def read(self) -> Node:
        text, position = self.text, 0
        while position < len(text):
            found = text.find("<", position)
            if found < 0:
                found = len(text)
            if found > position:
                self.words(position, found)
            if found == len(text):
                break
            position = self.markup(found)
        for tag in ("html", "body"):
            if not any(True for _ in self.root.find(tag)):
                raise BadInput(
                    "the file is no HTML page", file=self.path, expected=f"a <{tag}> element", remedy="Check the file."
                )
        return self.root

    def words(self, start: int, end: int) -> None:
        data = unescape(self.text[start:end])
        self.at.children.append(Words(data, self.line(start), self.at))
        self.counted(start)

    def counted(self, position: int) -> None:
        self.count += 1
        if self.count > NODE_LIMIT:
            raise self.bad(f"the page has more than {NODE_LIMIT:,} parts", position, "Check the file.")

    def markup(self, start: int) -> int:
        """Read what stands at a "<"; return the position after it."""
        text = self.text
        if text.startswith("<!--", start):
            end = text.find("-->", start + 4)
            if end < 0:
                raise self.bad("a comment does not end", start)
            return end + 3
        if text.startswith(("<!", "<?"), start):
            end = text.find(">", start)
            if end < 0:
                raise self.bad("a declaration does not end", start)
            return end + 1
        if text.startswith("</", start):
            end = text.find(">", start)
            if end < 0:
                raise self.bad("an end tag does not end", start)
            self.close(text[start + 2 : end].strip().lower())
            return end + 1
        name = _NAME.match(text, start + 1)
        if name is None:
            self.words(start, start + 1)
            return start + 1
        return self.start_tag(name.group().lower(), start, name.end())

    def start_tag(self, tag: str, start: int, position: int) -> int:
        attrs: dict[str, str] = {}
        while not (end := _TAG_END.match(self.text, position)):
            found = _ATTRIBUTE.match(self.text, position)
            if found is None:
                raise self.bad(f"the tag <{tag[:40]}> does not end or is broken", start)
            value = found.group(2) or ""
            if value[:1] in ("'", '"'):
                value = value[1:-1]
            attrs.setdefault(found.group(1).lower(), unescape(value))
            position = found.end()
        self.counted(start)
        for closed in _CLOSES.get(tag, ()):
            if self.at.tag == closed:
                self.close(closed)
        if self.at.tag == "p" and tag in _ENDS_P:
            self.close("p")
        node = Node(tag, attrs, self.line(start), self.at)
        self.at.children.append(node)
        if tag in VOID or end.group(1):
            return end.end()
        self.at = node
        self.depth += 1
        if self.depth > DEPTH_LIMIT:
            raise self.bad(f"the page is nested more than {DEPTH_LIMIT} deep", start, "Check the file.")
        self.open[tag] += 1
        if tag not in RAW:
            return end.end()
        close = re.compile(rf"</{tag}\s*>", re.IGNORECASE).search(self.text, end.end())
        if close is None:
            raise self.bad(f"the element <{tag}> does not end", start)
        if close.start() > end.end():
            node.children.append(Words(self.text[end.end() : close.start()], self.line(end.end()), node))
        self.close(tag)
        return close.end()

    def close(self, tag: str) -> None:
        """End the nearest open element of this name; an end tag without a start is passed over."""
        if not self.open[tag]:
            return
        while self.at.parent is not None:
            ended = self.at
            self.open[ended.tag] -= 1
            self.at = self.at.parent
            self.depth -= 1
            if ended.tag == tag:
                return
