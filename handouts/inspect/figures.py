"""Rules about figures: each visible one is a claim or a declared constant, and shows what the claim shows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from handouts.inspect.css import Cascade, Rule, inlined
from handouts.inspect.kit import base_id
from handouts.inspect.page import Page, Trouble, plain
from handouts.inspect.trace import Numeral, masked, numerals, untraced
from handouts.inspect.tree import Node, Words, blocks
from handouts.model.document import ConstRole

CONSTANTS: tuple[ConstRole, ...] = ("page", "list", "note", "cite", "event", "name", "form")
_COVER = "\ufffc"
MOST_LISTS = 200
_LEFT_OVER = re.compile(r"\{[a-z0-9-]+(?:\.[a-z0-9-]+)+(?:\|[a-z]+)?\}|\{\{|\{%")
_COUNTED = re.compile(r"counter\(\s*([\w-]+)")
_QUOTED = re.compile(r"\"([^\"]*)\"|'([^']*)'")


def _covered(words: Words) -> bool:
    return any("data-fact" in node.attrs or "data-const" in node.attrs for node in words.parent.up())


def figure_markup(page: Page) -> Iterator[Trouble]:
    """A figure in a page stands in an element that names its claim, or that declares it a constant."""
    for run in blocks(page.root):
        text = "".join(_COVER * len(words.data) if _covered(words) else words.data for words in run)
        for numeral in numerals(text):
            line = _line_at(run, numeral)
            yield Trouble(
                f"{numeral.text!r} in {_around(run, numeral)!r}",
                "an element with data-fact or data-const",
                "Let the figure enter as a fact, or declare what kind of constant it is.",
                key=numeral.text,
                line=line,
            )


def _line_at(run: list[Words], numeral: Numeral) -> int:
    at = 0
    for words in run:
        if at + len(words.data) > numeral.at:
            return words.line + words.data.count("\n", 0, numeral.at - at)
        at += len(words.data)
    return run[-1].line


def _around(run: list[Words], numeral: Numeral) -> str:
    text = "".join(words.data for words in run)
    return plain(text[max(0, numeral.at - 30) : numeral.at + len(numeral.text) + 30])


def fact_text(page: Page) -> Iterator[Trouble]:
    """The text of a figure's element is exactly what the claim shows, and the claim is in the manifest."""
    for node in page.root.elements():
        if "data-fact" not in node.attrs:
            continue
        name, shown = node.get("data-fact"), plain(node.text())
        if not name or not shown:
            yield Trouble(
                f"data-fact={name!r} with the text {shown!r}",
                "an id and a text",
                "Name the claim and show it.",
                key=name,
                line=node.line,
            )
        elif page.record is not None:
            claim = page.claim(name, shown)
            if claim is None:
                yield Trouble(
                    f"{name} is not among the claims of kit.json",
                    "a claim listed for this file",
                    "Make the kit again.",
                    key=name,
                    line=node.line,
                )
            elif plain(claim.shown) != shown:
                yield Trouble(
                    shown, claim.shown, "Make the kit again; never edit a finished file.", key=name, line=node.line
                )


def leaf_figures(page: Page) -> Iterator[Trouble]:
    """An element of a figure holds text alone; a constant says which kind of constant it is and is declared."""
    declared = {plain(text) for text in page.record.constants} if page.record else set()
    for node in page.root.elements():
        for name in ("data-fact", "data-const"):
            if name in node.attrs and node.inner():
                yield Trouble(
                    f"<{node.inner()[0].tag}> inside it",
                    "text alone",
                    "Close the element right after its figure.",
                    key=node.get(name),
                    line=node.line,
                )
        role = node.get("data-const")
        if "data-const" not in node.attrs:
            continue
        if role not in CONSTANTS:
            yield Trouble(
                f"data-const={role!r}",
                " | ".join(CONSTANTS),
                "Use one of the kinds of constants.",
                key=role,
                line=node.line,
            )
        elif page.record and role not in ("page", "list") and plain(node.text()) not in declared:
            yield Trouble(
                f"the constant {plain(node.text())!r} is not declared in kit.json",
                "a constant listed for this file",
                "Make the kit again.",
                key=role,
                line=node.line,
                level="warning",
            )


def figure_traced(page: Page) -> Iterator[Trouble]:
    """In a file without markup every figure is the shown text of a claim, or a constant, of the manifest."""
    if page.record is None:
        yield Trouble(
            "no kit.json that lists this file",
            "kit.json beside the file",
            "Inspect the file in the folder it was made in; its figures could not be traced.",
            level="warning",
        )
        return
    shown = [claim.shown for claim in page.record.claims.values()]
    constants = [*page.record.constants, *_given(page)]
    if page.calendar is not None:
        pieces = [(f"{name}", text, line) for name, text, line in page.entries]
    elif page.pdf is not None:
        pieces = [(f"page {at}", text, None) for at, text in enumerate(page.running_text, 1)]  # type: ignore[misc]
    else:
        pieces = [("", page.text, None)]  # type: ignore[list-item]
    last = 0
    for key, text, line in pieces:
        found, last = untraced(text, shown, constants, last, bare=page.kind != "claims")
        for numeral in found:
            where = text.count("\n", 0, numeral.at) + 1 if page.format == "text" else line
            yield Trouble(
                f"{numeral.text!r} in {plain(text[max(0, numeral.at - 30) : numeral.at + 40])!r}",
                "the shown text of a claim, or a declared constant",
                "Let the figure enter as a fact, and make the kit again.",
                key=key or numeral.text,
                line=where,
            )


def _given(page: Page) -> Iterator[str]:
    """Texts that are not ours to write and stand in a document whole: titles of sources, the club's statements."""
    for source in page.library.sources.values():
        yield source.record.title
    club = page.library.club
    if club is not None:
        given = club.statements
        own = (given.affiliation, given.non_endorsement, given.label, given.licence, given.accommodation)
        yield from filter(None, own)
        if given.equal_opportunity:
            yield given.equal_opportunity.text


def unseen_figure(page: Page) -> Iterator[Trouble]:
    """A figure that is heard but not seen (in an alternative text, a title) is one of the claims too."""
    if page.record is None:
        return
    shown = [claim.shown for claim in page.record.claims.values()]
    for text in dict.fromkeys(page.spoken.split("\n")):
        rest = masked(text, shown, page.record.constants)
        for numeral in numerals(rest):
            yield Trouble(
                f"{numeral.text!r} in {plain(text)[:80]!r}",
                "a figure of a claim",
                "Say it without the figure, or with one of the document's own.",
                key=numeral.text,
            )


def css_figure(page: Page) -> Iterator[Trouble]:
    """Style rules make no figures: no counters but the page's, no numbered markers, no digits in content."""
    rules = inlined(page.root)
    for rule in rules:
        paged = any(head.startswith("@page") for head in (*rule.within, *rule.selectors))
        content = rule.of("content")
        digits = [text for pair in _QUOTED.findall(content) for text in pair if any(c.isdigit() for c in text)]
        counters = [name for name in _COUNTED.findall(content) if not (paged and name in ("page", "pages"))]
        for bad in (*digits, *(f"counter({name})" for name in counters)):
            yield Trouble(
                bad, "figures in the page's text", "Write the figure in the text.", key="content", line=rule.line
            )
        for name in re.findall(r"attr\(\s*([\w-]+)", content):
            for node in page.root.elements():
                if any(char.isdigit() for char in node.get(name)):
                    yield Trouble(
                        f"content from {name}={node.get(name)!r}",
                        "figures in the page's text",
                        "Write the figure in the text.",
                        key="content",
                        line=node.line,
                    )
    yield from _markers(page, rules)


def _markers(page: Page, rules: list[Rule]) -> Iterator[Trouble]:
    lists = [node for node in page.root.find("ol") if node.seen()][:MOST_LISTS]
    if not lists:
        return
    for medium in ("screen", "print"):
        cascade = Cascade(rules, medium)
        for node in lists:
            declared = cascade.declared(node)
            style = f"{declared.get('list-style', '')} {declared.get('list-style-type', '')}".split()
            if not {"none", "disc", "circle", "square"} & set(style):
                yield Trouble(
                    f"<ol> whose numbers are made by the browser ({medium})",
                    "list-style: none and the numbers as text",
                    'Write the numbers in elements with data-const="list".',
                    key="ol",
                    line=node.line,
                )
                return


def machine_value(page: Page) -> Iterator[Trouble]:
    """An exact date carries an ISO date for machines, a span or window its low and high."""
    for node in page.root.find("time", "data"):
        if node.tag == "time":
            value = node.get("datetime")
            if not _iso(value):
                yield Trouble(
                    f"datetime={value!r}",
                    "YYYY-MM-DD",
                    "Give the exact date.",
                    key=node.get("data-fact"),
                    line=node.line,
                )
        else:
            value = node.get("value")
            low, slash, high = value.partition("/")
            if not (slash and low.strip() and high.strip()):
                yield Trouble(
                    f"value={value!r}", "low/high", "Give both ends.", key=node.get("data-fact"), line=node.line
                )


def _iso(text: str) -> bool:
    try:
        date.fromisoformat(text[:10])
    except ValueError:
        return False
    return len(text) == 10 or re.fullmatch(r"T\d\d:\d\d(?::\d\d)?", text[10:]) is not None


def leftover_name(page: Page) -> Iterator[Trouble]:
    """No name in braces and no template sign is left in a finished file."""
    for text in page.blocks:
        for match in _LEFT_OVER.finditer(text):
            yield Trouble(match.group(), "its value", "Make the file again from its content.", key=match.group())


def fact_known(page: Page) -> Iterator[Trouble]:
    """A figure that names a fact of a known subject names one that exists."""
    facts = page.library.facts
    for node in page.root.elements():
        name = base_id(node.get("data-fact"))
        owner = name.partition(".")[0]
        if name and owner in page.library.subjects and name not in facts and not _special(node, page):
            yield Trouble(
                f"there is no fact {name}", "the id of a fact", "Make the file again.", key=name, line=node.line
            )


def _special(node: Node, page: Page) -> bool:
    """Whether the manifest lists the claim: charts and tables may name claims that are worked out, not stored."""
    return page.record is not None and page.claim(node.get("data-fact"), node.text()) is not None
