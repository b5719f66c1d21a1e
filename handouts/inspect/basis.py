"""Rules about how figures are known: nothing from memory, relatives named, common practice marked, gaps said."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handouts.inspect.kit import KitClaim, base_id
from handouts.inspect.page import Page, Trouble, plain, squashed
from handouts.inspect.trace import pattern_of
from handouts.inspect.tree import BLOCKS, Node, Words

NEAR = 300
_RANK = {"published": 3, "own-observation": 2, "derived": 2, "proxy": 1, "common-practice": 1, "memory": 0}
_SOURCED = ("published", "proxy")


def _basis_in_library(page: Page, name: str) -> str:
    fact = page.library.facts.get(base_id(name))
    return fact.preferred.basis.kind if fact is not None else ""


def _shown_facts(page: Page) -> Iterator[tuple[str, str, int | None]]:
    """The figures of a page by name, text and line; of a file without markup, the claims of its record."""
    if page.tree is not None:
        for node in page.tree.elements():
            if node.get("data-fact"):
                yield node.get("data-fact"), node.text(), node.line
    else:
        for claim in page.claims.values():
            yield claim.id, claim.shown, None


def memory_value(page: Page) -> Iterator[Trouble]:
    """No figure rests on memory, by the manifest or by the fact itself."""
    for name, shown, line in _shown_facts(page):
        claim = page.claim(name, shown)
        if "memory" in ((claim.basis if claim else ""), _basis_in_library(page, name)):
            yield Trouble(
                f"{shown!r} is known from memory only",
                "a public basis",
                "Find a source, or say that it is not known.",
                key=name,
                line=line,
            )


def basis_agrees(page: Page) -> Iterator[Trouble]:
    """The manifest does not make more of a figure than the fact base does."""
    for claim in page.claims.values():
        own = _basis_in_library(page, claim.id)
        if own and own != "not-known" and _RANK.get(claim.basis, 0) > _RANK[own]:
            if claim.basis == "derived" and claim.parents:
                continue
            yield Trouble(
                f"{claim.basis} for {claim.shown!r}", own, "Make the kit again from the fact base.", key=claim.id
            )


def claim_sources(page: Page) -> Iterator[Trouble]:
    """A published figure, or a relative's, names references that exist."""
    for claim in page.claims.values():
        if claim.basis in _SOURCED and not claim.references and not claim.parents:
            yield Trouble(
                f"{claim.shown!r} is {claim.basis} and names no reference",
                "the ids of its references",
                "Make the kit again.",
                key=claim.id,
            )
        for name in claim.references:
            if name not in page.library.references:
                yield Trouble(
                    f"there is no reference {name}", "the id of a reference", "Make the kit again.", key=claim.id
                )


def proxy_named(page: Page) -> Iterator[Trouble]:
    """A relative's or another place's value names it in the phrase or close by; what rests on one names it too.

    A file without markup can't say which of two equal phrases is the claim, so there it is named anywhere in the file.
    """
    for name, shown, line in _shown_facts(page):
        claim = page.claim(name, shown)
        relative = _relative(page, claim, name)
        if not relative:
            continue
        wanted = squashed(plain(relative).lower().removeprefix("the "))
        if wanted in squashed(shown) or any(wanted in squashed(text) for text in _surroundings(page, name)):
            continue
        each = [squashed(one) for one in plain(relative).lower().split(", ")]
        if claim is not None and claim.basis != "proxy" and all(one in squashed(page.text) for one in each):
            continue
        yield Trouble(
            f"{shown!r} without the name of {relative}",
            f"{relative} named beside it",
            "Name whose value it is.",
            key=name,
            line=line,
        )


def _relative(page: Page, claim: KitClaim | None, name: str) -> str:
    """How the relative of a proxy value is called, or nothing when the value is the subject's own."""
    if claim is not None and claim.basis not in ("proxy", ""):
        return claim.proxy
    fact = page.library.facts.get(base_id(name))
    basis = fact.preferred.basis if fact is not None else None
    if basis is not None and basis.kind == "proxy":
        if basis.of in page.library.subjects:
            return page.library.subjects[basis.of].names.common
        if basis.of in page.library.regions:
            return page.library.regions[basis.of].name
        return basis.of
    return claim.proxy if claim is not None else ""


def _surroundings(page: Page, name: str) -> Iterator[str]:
    """The text around each showing of a figure: its block and the one that holds it."""
    if page.tree is None:
        yield page.text
        return
    for node in page.showings.get(name, ()):
        yield _around(node)


def _around(node: Node) -> str:
    holders = [up for up in node.up() if up.tag in BLOCKS or up.tag == "#page"]
    wide = {"main", "body", "html", "section", "table", "tbody", "svg"}
    held = [up for up in holders[:2] if up.tag not in wide] or holders[:1]
    figure = next((up for up in holders if up.tag == "figure"), None)
    return " ".join(up.text() for up in (*held, *([figure] if figure else [])))


def practice_marked(page: Page) -> Iterator[Trouble]:
    """Common practice is marked as such after the figure, or said in words beside it."""
    words = page.library.words
    mark = words.marks.get("common-practice", {}) if words else {}
    letter, name = mark.get("mark", "c"), mark.get("name", "common practice")
    done: set[str] = set()
    for fact, shown, line in _shown_facts(page):
        claim = page.claim(fact, shown)
        basis = claim.basis if claim is not None else _basis_in_library(page, fact)
        if basis != "common-practice" or fact in done:
            continue
        if not _is_marked(page, fact, shown, letter, name):
            done.add(fact)
            yield Trouble(
                f"{shown!r} with no mark",
                f'the mark "{letter}" or the words "{name}"',
                "Show how the figure is known.",
                key=fact,
                line=line,
            )


def _is_marked(page: Page, fact: str, shown: str, letter: str, name: str) -> bool:
    if page.tree is not None:
        showings = page.showings.get(fact, ())
        return all(_mark_after(node, letter) or name in _around(node).lower() for node in showings)
    pattern = pattern_of(shown, True)
    found = list(pattern.finditer(page.text)) if pattern is not None else []
    for match in found:
        after = page.text[match.end() : match.end() + 12]
        if re.match(rf"\s?[a-z]{{0,3}}{re.escape(letter)}[a-z]{{0,3}}(?![a-z])", after):
            return True
        if name in plain(page.text[max(0, match.start() - NEAR) : match.end() + NEAR]).lower():
            return True
    # A claim that is not in this file at all (a calendar lists all of its document's) has nothing to mark.
    return not found


def _mark_after(node: Node, letter: str) -> bool:
    """Whether the next thing after a figure is a mark with this letter."""
    if node.parent is None:
        return False
    siblings = node.parent.children
    for at in range(node.place + 1, len(siblings)):
        item = siblings[at]
        if isinstance(item, Words):
            if item.data.strip():
                return False
            continue
        return "mark" in item.classes and letter in plain(item.text())
    return False


def not_known_said(page: Page) -> Iterator[Trouble]:
    """What is not known is said in words, with no figure in its place."""
    for name, shown, line in _shown_facts(page):
        claim = page.claim(name, shown)
        basis = claim.basis if claim is not None else _basis_in_library(page, name)
        own = _basis_in_library(page, name)
        if "not-known" in (basis, own) and "not known" not in plain(shown).lower():
            yield Trouble(
                f"{shown!r} for what nobody knows", "not known", "Say that it is not known.", key=name, line=line
            )
