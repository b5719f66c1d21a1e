"""Markdown without HTML in, blocks of runs out; names in braces become figures through the composer."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from xml.etree.ElementTree import Element

from handouts.errors import BadContent
from handouts.model.document import Block, Const, ConstRole, Figure, Heading, Items, Para, Run, Runs, Styled, Text
from handouts.model.numerals import typed_figures

FIELD_LIMIT = 16_000
NAME = re.compile(r"\{([^{}\s]+)\}")
_TOKEN = re.compile(r"\S*\d\S*")
_LATIN = re.compile(r"^[A-Z][a-z]+(?: [a-z-]+){0,2}$|^[A-Z]\. [a-z]+$")
Resolve = Callable[[str], Runs]

_DROPPED_INLINE = (
    "backtick",
    "reference",
    "link",
    "image_link",
    "image_reference",
    "short_reference",
    "short_image_ref",
    "autolink",
    "automail",
    "html",
    "entity",
)
_reader: Any = None


def _markdown() -> Any:
    """Python-Markdown with raw HTML, links, images and code off; built once."""
    global _reader
    if _reader is None:
        from markdown import Markdown
        from markdown.treeprocessors import Treeprocessor

        class Keep(Treeprocessor):
            root: Element | None = None

            def run(self, root: Element) -> None:
                self.root = root

        reader = Markdown(output_format="xhtml")
        for name in _DROPPED_INLINE:
            reader.inlinePatterns.deregister(name)
        reader.preprocessors.deregister("html_block")
        for name in ("reference", "code", "quote"):
            if name in reader.parser.blockprocessors:
                reader.parser.blockprocessors.deregister(name)
        keep = Keep(reader)
        reader.treeprocessors.register(keep, "keep", -10)
        _reader = (reader, keep)
    return _reader


def _tree(text: str) -> Element:
    if len(text) > FIELD_LIMIT:
        raise BadContent("a text is too long", found=f"{len(text)} characters", expected=f"at most {FIELD_LIMIT}")
    reader, keep = _markdown()
    reader.reset()
    reader.convert(text)
    root: Element | None = keep.root
    return root if root is not None else Element("div")


def blocks(text: str, resolve: Resolve) -> tuple[Block, ...]:
    """Turn a Markdown text into blocks; headings start at level 2."""
    made: list[Block] = []
    for element in _tree(text):
        if element.tag == "p":
            made.append(Para(_runs(element, resolve)))
        elif element.tag in ("ul", "ol"):
            made.append(Items(tuple(_item(item, resolve) for item in element), element.tag == "ol"))
        elif element.tag in ("h1", "h2", "h3", "h4"):
            made.append(Heading(2 if element.tag in ("h1", "h2") else 3, _runs(element, resolve)))
        elif element.tag != "hr":
            raise BadContent(
                "this Markdown is not used here", found=f"<{element.tag}>", expected="paragraphs and lists"
            )
    return tuple(made)


def inline(text: str, resolve: Resolve) -> Runs:
    """Turn one line of Markdown into runs."""
    runs: list[Run] = []
    for block in blocks(text, resolve):
        if isinstance(block, Para):
            if runs:
                runs.append(Text(" "))
            runs.extend(block.runs)
        else:
            raise BadContent("one line of text was expected", found=text)
    return tuple(runs)


def _item(element: Element, resolve: Resolve) -> Runs:
    runs: list[Run] = list(_split(element.text or "", resolve))
    for child in element:
        if child.tag in ("ul", "ol"):
            raise BadContent("lists are not nested here", found=(child.text or "").strip() or "a list in a list")
        inner = _runs(child, resolve)
        if child.tag == "p":
            runs.extend(([Text(" ")] if runs else []) + list(inner))
        else:
            runs.append(_styled(child, inner))
        runs.extend(_split(child.tail or "", resolve))
    return tuple(_trim(runs))


def _runs(element: Element, resolve: Resolve) -> Runs:
    runs: list[Run] = list(_split(element.text or "", resolve))
    for child in element:
        inner = _runs(child, resolve)
        runs.append(_styled(child, inner)) if child.tag in ("strong", "em") else runs.extend(inner)
        runs.extend(_split(child.tail or "", resolve))
    return tuple(_trim(runs))


def _styled(element: Element, inner: Runs) -> Run:
    if element.tag == "strong":
        return Styled("strong", inner)
    plain = "".join(run.text for run in inner if isinstance(run, Text))
    return Styled("latin" if _LATIN.match(plain) else "em", inner)


def _split(text: str, resolve: Resolve) -> list[Run]:
    runs: list[Run] = []
    at = 0
    for match in NAME.finditer(text):
        if text[at : match.start()]:
            runs.append(Text(smarten(text[at : match.start()])))
        runs.extend(resolve(match.group(1)))
        at = match.end()
    if text[at:]:
        runs.append(Text(smarten(text[at:])))
    return runs


def _trim(runs: list[Run]) -> list[Run]:
    if runs and isinstance(runs[0], Text):
        runs[0] = Text(runs[0].text.lstrip())
    if runs and isinstance(runs[-1], Text):
        runs[-1] = Text(runs[-1].text.rstrip())
    return [run for run in runs if not (isinstance(run, Text) and not run.text)]


def smarten(text: str) -> str:
    """Turn typewriter quotes, dashes and line ends into printed ones."""
    text = re.sub(r"\s*\n\s*", " ", text)
    text = text.replace("...", "\u2026").replace(" -- ", " \u2013 ").replace(" - ", " \u2013 ")
    text = re.sub(r"(^|[\s(\u201c\u2018])\"", "\\1\u201c", text)
    text = text.replace('"', "\u201d")
    text = re.sub(r"(^|[\s(\u201c])'", "\\1\u2018", text)
    return text.replace("'", "\u2019")


def constants(text: str, role: ConstRole) -> Runs:
    """Split a text that is not ours to write (a title, a name, a statement) so that its figures are declared."""
    runs: list[Run] = []
    at = 0
    text = smarten(text)
    for start, end in _figure_spans(text):
        if start > at:
            runs.append(Text(text[at:start]))
        runs.append(Const(role, text[start:end]))
        at = end
    if text[at:]:
        runs.append(Text(text[at:]))
    return tuple(runs)


def _figure_spans(text: str) -> list[tuple[int, int]]:
    """Return where the words with figures stand, overlapping ones joined."""
    found = [match.span() for match in _TOKEN.finditer(text)]
    found += [(figure.at, figure.at + len(figure.text)) for figure in typed_figures(text)]
    joined: list[tuple[int, int]] = []
    for start, end in sorted(found):
        if joined and start < joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def plain(runs: Runs) -> str:
    """Return the words of the runs, as a reader hears them."""
    parts: list[str] = []
    for run in runs:
        if isinstance(run, Styled):
            parts.append(plain(run.runs))
        elif isinstance(run, Text | Const):
            parts.append(run.text)
        else:
            parts.append(run.shown if isinstance(run, Figure) else run.text)
    return "".join(parts)
