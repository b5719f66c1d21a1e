"""The styles inlined in a page in, the colors of each text out: a small reader of style rules and their cascade."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from handouts.inspect.colors import colors_in
from handouts.inspect.tree import Node, Words, walk

_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
_STRING = r"\"(?:[^\"\\\n]|\\.)*\"|'(?:[^'\\\n]|\\.)*'"
_TOKEN = re.compile(rf"{_STRING}|[{{}};]|[^{{}};\"']+|[\"']")
_COMPOUND = re.compile(r"\s*(?P<join>[>+~])?\s*(?P<body>(?:[\w*#.-]|\[[^\]]*\]|::?[\w-]+(?:\([^()]*\))?)+)")
_SIMPLE = re.compile(
    r"(?P<tag>^[\w-]+|^\*)|#(?P<id>[\w-]+)|\.(?P<klass>[\w-]+)|"
    r"\[\s*(?P<name>[\w:-]+)\s*(?:(?P<op>[~^$*|]?=)\s*[\"']?(?P<value>[^\"'\]]*)[\"']?)?\s*[is]?\]|"
    r"::?(?P<pseudo>[\w-]+)(?:\([^()]*\))?"
)
_STATES = frozenset(
    ("hover", "focus", "focus-visible", "focus-within", "active", "visited", "target", "checked", "disabled")
)
_PARTS = frozenset(("before", "after", "marker", "first-line", "first-letter", "placeholder", "selection"))


@dataclass(frozen=True)
class Rule:
    """One style rule: its selectors, its declarations in order, and the at-rules it stands in."""

    selectors: tuple[str, ...]
    declarations: tuple[tuple[str, str], ...]
    within: tuple[str, ...] = ()
    line: int = 1

    def of(self, name: str) -> str:
        """Return the last value of a property, or nothing."""
        return next((value for key, value in reversed(self.declarations) if key == name), "")


def read_css(text: str, line: int = 1) -> list[Rule]:
    """Return the rules of a style sheet in order; what does not parse is passed over. `line` is its first line."""
    clean = _COMMENT.sub(lambda match: "\n" * match.group().count("\n"), text)
    rules: list[Rule] = []
    stack: list[str] = []
    bodies: list[list[str]] = [[]]
    prelude, start = "", line
    for match in _TOKEN.finditer(clean):
        token = match.group()
        if token == "{":
            head = prelude.strip()
            stack.append(head)
            bodies.append([])
            prelude = ""
            start = line
        elif token == "}":
            if prelude.strip():
                bodies[-1].append(prelude)
            prelude = ""
            if not stack:
                continue
            head, body = stack.pop(), bodies.pop()
            if body:
                rules.append(Rule(_split(head), _declarations(body), tuple(stack), start))
        elif token == ";":
            if prelude.strip().startswith("@") or not stack:
                rules.append(Rule((prelude.strip(),), (), tuple(stack), line))
            else:
                bodies[-1].append(prelude)
            prelude = ""
        else:
            prelude += token
        line += token.count("\n")
    return rules


def _split(head: str) -> tuple[str, ...]:
    if head.startswith("@"):
        return (head,)
    parts, depth, start = [], 0, 0
    for at, char in enumerate(head):
        depth += (char in "([") - (char in ")]")
        if char == "," and depth <= 0:
            parts.append(head[start:at])
            start = at + 1
    parts.append(head[start:])
    return tuple(part.strip() for part in parts if part.strip())


def _declarations(body: list[str]) -> tuple[tuple[str, str], ...]:
    pairs = []
    for part in body:
        name, colon, value = part.partition(":")
        if colon:
            pairs.append((name.strip().lower() if not name.strip().startswith("--") else name.strip(), value.strip()))
    return tuple(pairs)


@dataclass(frozen=True)
class Compound:
    """One simple step of a selector: what an element must be, and how it is joined to the step on its right."""

    tag: str = ""
    id: str = ""
    classes: tuple[str, ...] = ()
    attributes: tuple[tuple[str, str, str], ...] = ()
    never: bool = False
    root: bool = False
    join: str = " "


@lru_cache(maxsize=4096)
def selector(text: str) -> tuple[tuple[Compound, ...], tuple[int, int, int]]:
    """Return a selector's steps from left to right and its weight. States and generated parts never match."""
    steps: list[Compound] = []
    ids = classes = tags = 0
    position = 0
    while position < len(text):
        match = _COMPOUND.match(text, position)
        if match is None or match.end() == position:
            return ((Compound(never=True),), (0, 0, 0))
        position = match.end()
        names: list[str] = []
        attributes: list[tuple[str, str, str]] = []
        tag = found_id = ""
        never = root = False
        for part in _SIMPLE.finditer(match["body"]):
            if part["tag"]:
                tag = "" if part["tag"] == "*" else part["tag"].lower()
                tags += bool(tag)
            elif part["id"]:
                found_id = part["id"]
                ids += 1
            elif part["klass"]:
                names.append(part["klass"])
                classes += 1
            elif part["name"]:
                attributes.append((part["name"].lower(), part["op"] or "", part["value"] or ""))
                classes += 1
            elif part["pseudo"]:
                pseudo = part["pseudo"].lower()
                never |= pseudo in _STATES or pseudo in _PARTS
                root |= pseudo == "root"
                classes += 1
        steps.append(Compound(tag, found_id, tuple(names), tuple(attributes), never, root, match["join"] or " "))
    return tuple(steps), (ids, classes, tags)


def matches(node: Node, steps: tuple[Compound, ...]) -> bool:
    """Whether an element is meant by a selector. Neighbours (+ and ~) are taken for granted."""
    if not steps or not _is(node, steps[-1]):
        return False
    here = node
    for at in range(len(steps) - 1, 0, -1):
        join, wanted = steps[at].join, steps[at - 1]
        if join in "+~":
            continue
        parent = here.parent
        if join == ">":
            if parent is None or not _is(parent, wanted):
                return False
            here = parent
            continue
        while parent is not None and not _is(parent, wanted):
            parent = parent.parent
        if parent is None:
            return False
        here = parent
    return True


def _is(node: Node, step: Compound) -> bool:
    if step.never or (step.tag and node.tag != step.tag) or (step.root and node.tag != "html"):
        return False
    if step.id and node.attrs.get("id") != step.id:
        return False
    if step.classes and not set(step.classes) <= set(node.classes):
        return False
    for name, operator, value in step.attributes:
        own = node.attrs.get(name)
        if own is None:
            return False
        if operator == "=" and own != value:
            return False
        if operator == "~=" and value not in own.split():
            return False
        if operator == "^=" and not own.startswith(value):
            return False
        if operator == "$=" and not own.endswith(value):
            return False
        if operator == "*=" and value not in own:
            return False
    return True


@dataclass
class Styled:
    """The values an element has: custom properties, text color, fill, backgrounds. Colors are still text."""

    custom: dict[str, str] = field(default_factory=dict)
    color: str = "#000000"
    fill: str = "#000000"
    backgrounds: tuple[str, ...] = ("#ffffff",)


Found = dict[str, tuple[tuple[bool, tuple[int, int, int], int], str]]


class Cascade:
    """The style rules that hold in one medium ("screen", "print" or "dark")."""

    def __init__(self, rules: list[Rule], medium: str) -> None:
        self.steps: list[tuple[tuple[Compound, ...], tuple[int, int, int], int, Rule]] = []
        self._by_tag: dict[str, list[int]] = {}
        self._by_class: dict[str, list[int]] = {}
        self._rest: list[int] = []
        for order, rule in enumerate(rules):
            if not all(_holds(within, medium) for within in rule.within):
                continue
            for text in rule.selectors:
                if text.startswith("@") or not rule.declarations:
                    continue
                steps, weight = selector(text)
                last, at = steps[-1], len(self.steps)
                self.steps.append((steps, weight, order, rule))
                if last.classes:
                    self._by_class.setdefault(last.classes[0], []).append(at)
                elif last.tag:
                    self._by_tag.setdefault(last.tag, []).append(at)
                else:
                    self._rest.append(at)

    def declared(self, node: Node) -> dict[str, str]:
        """Return the properties set on an element, the strongest value of each."""
        found: Found = {}
        chosen = [*self._by_tag.get(node.tag, ()), *self._rest]
        for name in node.classes:
            chosen.extend(self._by_class.get(name, ()))
        for at in chosen:
            steps, weight, order, rule = self.steps[at]
            if matches(node, steps):
                for name, value in rule.declarations:
                    _keep(found, name, value, weight, order)
        for name, value in _declarations(node.get("style").split(";")):
            _keep(found, name, value, (1000, 0, 0), 0)
        return {name: value for name, (_, value) in found.items()}

    def texts(self, root: Node) -> Iterator[tuple[Words, Styled, bool]]:
        """Yield each shown text with the values it is set in, and whether it stands in a drawing."""
        held: list[Styled] = [Styled()]
        drawings = 0
        for what, item in walk(root, unseen=False):
            if isinstance(item, Words):
                if item.data.strip():
                    yield item, held[-1], drawings > 0
            elif what == "in":
                drawings += item.tag == "svg"
                held.append(self._styled(item, held[-1]))
            else:
                drawings -= item.tag == "svg"
                held.pop()

    def _styled(self, node: Node, outer: Styled) -> Styled:
        own = self.declared(node)
        if "fill" in node.attrs and "fill" not in own:
            own["fill"] = node.attrs["fill"]
        if "color" in node.attrs and node.tag in ("svg", "g", "text") and "color" not in own:
            own["color"] = node.attrs["color"]
        custom = {name: value for name, value in own.items() if name.startswith("--")}
        known = {**outer.custom, **custom} if custom else outer.custom
        color = _resolved(own.get("color", ""), known) or outer.color
        if color in ("inherit", "currentcolor", "unset"):
            color = outer.color
        fill = _resolved(own.get("fill", ""), known) or outer.fill
        if fill == "currentcolor":
            fill = color
        elif fill == "inherit":
            fill = outer.fill
        ground = _resolved(own.get("background-color") or own.get("background") or "", known)
        found = tuple(colors_in(ground)) if ground and node.tag not in ("g", "text", "tspan") else ()
        return Styled(known, color, fill, found or outer.backgrounds)


def _keep(found: Found, name: str, value: str, weight: tuple[int, int, int], order: int) -> None:
    important = value.endswith("!important")
    rank = (important, weight, order)
    if name not in found or found[name][0] <= rank:
        found[name] = (rank, value.removesuffix("!important").strip())


def _holds(within: str, medium: str) -> bool:
    """Whether an at-rule's content counts in a medium."""
    low = within.lower()
    if low.startswith(("@supports", "@layer", "@container")):
        return True
    if not low.startswith("@media"):
        return False
    if "dark" in low:
        return medium == "dark"
    if "print" in low:
        return medium == "print"
    return "screen" not in low or medium in ("screen", "dark")


_VAR = re.compile(r"var\(\s*(--[\w-]+)\s*(?:,\s*([^()]*(?:\([^()]*\))?[^()]*))?\)")


def _resolved(value: str, custom: dict[str, str]) -> str:
    """Return a value in lower case with its custom properties put in."""
    for _ in range(8):
        if "var(" not in value:
            break
        value = _VAR.sub(lambda match: custom.get(match.group(1), match.group(2) or ""), value)
    return value.strip().lower()


def inlined(root: Node) -> list[Rule]:
    """Return the rules of all <style> elements of a page."""
    rules: list[Rule] = []
    for node in root.find("style"):
        for child in node.children:
            if isinstance(child, Words):
                rules.extend(read_css(child.data, child.line))
    return rules
