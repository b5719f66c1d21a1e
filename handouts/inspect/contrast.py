"""Rules about what can be seen: text stands out from what is behind it, and styles hide none of it."""

from __future__ import annotations

from collections.abc import Iterator

from handouts.inspect.colors import contrast, hex_of
from handouts.inspect.css import Cascade, inlined
from handouts.inspect.page import Page, Trouble, plain
from handouts.inspect.tree import UNSEEN

LEAST = 4.5
MOST_RULES, MOST_LOOKS = 3000, 20_000_000


def text_contrast(page: Page) -> Iterator[Trouble]:
    """Text has a contrast of 4.5:1 with each color behind it (WCAG 2, 1.4.3); large text is not let off.

    A text in a drawing is held against the page behind the drawing.
    """
    rules = inlined(page.root)
    parts = sum(1 for _ in page.root.elements())
    if len(rules) > MOST_RULES or len(rules) * parts > MOST_LOOKS:
        found = f"{len(rules)} style rules for {parts} elements"
        yield Trouble(found, f"at most {MOST_RULES} rules", "The contrast could not be looked at.")
        return
    media = ["screen", "print"]
    if any("dark" in within for rule in rules for within in rule.within):
        media.append("dark")
    seen: set[tuple[str, str]] = set()
    for medium in media:
        for words, styled, drawn in Cascade(rules, medium).texts(page.root):
            written = styled.fill if drawn else styled.color
            if drawn and written == "none":
                continue
            ink = hex_of(written)
            for ground in styled.backgrounds:
                if (written, ground) in seen:
                    continue
                seen.add((written, ground))
                if not ink:
                    yield Trouble(
                        f"the color {written!r}",
                        "#rrggbb",
                        "Use a plain color.",
                        key=medium,
                        line=words.line,
                        level="warning",
                    )
                elif contrast(ink, ground) < LEAST:
                    yield Trouble(
                        f"{ink} on {ground} is {contrast(ink, ground):.2f}:1 ({medium}), at {plain(words.data)[:40]!r}",
                        f"{LEAST}:1",
                        "Use a darker ink.",
                        key=f"{ink} on {ground}",
                        line=words.line,
                    )


def hidden_words(page: Page) -> Iterator[Trouble]:
    """Styles hide no words, on the screen or on paper: a caution that is not shown is none."""
    rules = [rule for rule in inlined(page.root) if rule.of("display") == "none" or rule.of("visibility") == "hidden"]
    if not rules:
        return
    for medium in ("screen", "print"):
        cascade = Cascade(rules, medium)
        for node in page.root.elements():
            if node.tag in UNSEEN:
                continue
            own = cascade.declared(node)
            if (own.get("display") == "none" or own.get("visibility") == "hidden") and node.text() and node.seen():
                yield Trouble(
                    f"{node.text()[:60]!r} is hidden ({medium})",
                    "words that are shown",
                    "Show it, or take it out.",
                    key=medium,
                    line=node.line,
                )
