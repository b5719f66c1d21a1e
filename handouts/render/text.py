"""A Document in, plain UTF-8 text out, wrapped for e-mail and reading aloud; written from the blocks, not from HTML."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from handouts.model.document import (
    Blank,
    Block,
    Const,
    Document,
    Event,
    Figure,
    Heading,
    Items,
    Link,
    Notice,
    Para,
    Picture,
    Runs,
    Slot,
    Styled,
    Table,
    Text,
)
from handouts.render.arrange import flow
from handouts.render.assets import Assets

WIDTH = 72
# A published figure has its source in the list; a relative's own figure has its name in the phrase itself.
SAID_ELSEWHERE = frozenset({"published", "proxy", "not-known"})


def render_text(document: Document, assets: Assets) -> str:
    """Return the document as text with lines of at most 72 characters (a longer single word stands alone)."""
    running, last = flow(document)
    writer = _Writer(assets)
    parts = [document.extra.get("status-line", ""), _underlined(document.title, "=")]
    if document.subtitle:
        parts.append(_wrapped(writer.words(document.subtitle)))
    parts.extend(writer.blocks(running))
    if document.events and not document.blocks:
        parts.extend(writer.event(event) for event in document.events)
    if document.edition_line:
        parts.append("-" * WIDTH + "\n" + _wrapped(writer.words(document.edition_line)))
    parts.extend(writer.blocks(last))
    text = "\n\n".join(part for part in parts if part.strip())
    return text.replace("\u00a0", " ").replace("\u00ad", "") + "\n"


class _Writer:
    """Turns blocks into paragraphs of text; lines are joined by the caller."""

    def __init__(self, assets: Assets) -> None:
        self._assets = assets

    def words(self, runs: Runs) -> str:
        """Runs as one string; what a mark says on paper stands in brackets."""
        return "".join(self._word(runs))

    def _word(self, runs: Runs) -> Iterator[str]:
        for run in runs:
            match run:
                case Figure():
                    silent = SAID_ELSEWHERE if len(run.marks) == 1 else SAID_ELSEWHERE - {"proxy"}
                    said = [self._assets.mark(name)[1] for name in run.marks if name not in silent]
                    yield run.shown + (f" [{', '.join(said)}]" if said else "")
                case Styled():
                    yield from self._word(run.runs)
                case Link(text, url):
                    bare = url.removeprefix("https://").removeprefix("mailto:").rstrip("/")
                    yield text if text in (url, bare) else f"{text} ({url})"
                case Text(text) | Const(_, text):
                    yield text

    def _explained(self, line: Runs) -> str:
        """A line of the key without its letter; what stands in no brackets says so."""
        mark, name = self._assets.mark("published")
        letter, _, said = self.words(line).partition(" ")
        return said.replace(name, f"{name} ({self._assets.label('no-note')})", 1) if letter == mark else said

    def blocks(self, blocks: Iterable[Block]) -> Iterator[str]:
        """Each block as one paragraph or group of lines."""
        for block in blocks:
            match block:
                case Heading(level, runs):
                    yield _underlined(self.words(runs), "-" if level == 2 else "")
                case Slot("key"):  # the letters it explains are words here
                    yield _underlined(self.words(block.title), "-")
                    yield "\n".join(_wrapped(f"- {self._explained(line)}", rest="  ") for line in _lines(block))
                case Para(runs):
                    yield _wrapped(self.words(runs))
                case Items(items, ordered):
                    yield self._items(items, ordered)
                case Table():
                    yield self._table(block)
                case Picture(role="code"):
                    continue  # its link stands beside it in words
                case Picture():
                    yield self._picture(block)
                case Notice():
                    yield self._notice(block)
                case Slot():
                    if block.title:
                        yield _underlined(self.words(block.title), "-")
                    yield from self.blocks(block.blocks)
                case Blank(label, lines):
                    yield "\n".join(_rules(f"{label}: ", lines))

    def _items(self, items: tuple[Runs, ...], ordered: bool) -> str:
        lines = []
        for at, item in enumerate(items, 1):
            lead = f"{at}. ".rjust(len(str(len(items))) + 2) if ordered else "- "
            lines.append(_wrapped(self.words(item), lead, " " * len(lead)))
        return "\n".join(lines)

    def _table(self, table: Table) -> str:
        """Every row on its own: its head, then a line for each cell with the column's name."""
        rows = [_wrapped(table.caption)]
        for row in table.rows:
            lines = [_wrapped(_joined(table.head[0], self.words(row[0])))]
            for head, cell in zip(table.head[1:], row[1:], strict=False):
                lines.append(_wrapped(f"{head}: {self.words(cell) or '____'}", "  ", "    "))
            if all(not cell for cell in row[1:]):
                lines = [lines[0] + " ____"]
            elif len(table.head) > 6:
                lines = [lines[0], _wrapped(self._stretches(table, row), "  ", "    ")]
            rows.append("\n".join(lines))
        return "\n".join(rows)

    def _stretches(self, table: Table, row: tuple[Runs, ...]) -> str:
        """A wide row in one sentence: neighbouring columns that say the same are named as a stretch."""
        said: list[tuple[str, str, str]] = []
        last = -1
        for at, (head, cell) in enumerate(zip(table.head[1:], row[1:], strict=False)):
            words = self.words(cell)
            if words and said and last == at - 1 and said[-1][2] == words:
                said[-1] = (said[-1][0], head, words)
            elif words:
                said.append((head, head, words))
            last = at if words else last
        return "; ".join(
            f"{first}: {words}" if first == end else f"{first} to {end}: {words}" for first, end, words in said
        )

    def _picture(self, picture: Picture) -> str:
        lines = [_wrapped(f"[{self._assets.label('picture')}: {picture.title.rstrip('.')}. {picture.alt}]")]
        if picture.caption:
            lines.append(_wrapped(self.words(picture.caption)))
        return "\n".join(lines)

    def _notice(self, notice: Notice) -> str:
        lines = [_wrapped(f"{self._assets.label('caution').upper()}: {notice.name}")]
        lines.append(_wrapped(self.words(notice.runs), "  ", "  "))
        for at, line in enumerate(notice.turn_to):
            lead = f"{self._assets.label('turn-to')}: " if at == 0 else ""
            lines.append(_wrapped(lead + self.words(line), "  ", "    "))
        return "\n".join(lines)

    def event(self, event: Event) -> str:
        """A dated entry: its days, its title, its words."""
        days = event.first.isoformat() if event.first == event.last else f"{event.first} to {event.last}"
        lines = [_wrapped(f"{days}: {event.title}")]
        if event.text:
            lines.append(_wrapped(event.text, "  ", "  "))
        return "\n".join(lines)


def _joined(head: str, words: str) -> str:
    return f"{head}: {words}" if head else words


def _lines(key: Slot) -> list[Runs]:
    return [line for block in key.blocks if isinstance(block, Items) for line in block.items]


def _rules(label: str, lines: int) -> Iterator[str]:
    yield label + "_" * max(WIDTH - len(label), 12)
    for _ in range(lines - 1):
        yield "_" * WIDTH


def _underlined(text: str, rule: str) -> str:
    lines = _wrapped(text)
    return f"{lines}\n{rule * max(len(line) for line in lines.splitlines())}" if rule else lines


def _wrapped(text: str, first: str = "", rest: str = "") -> str:
    """Wrap at spaces only: no-break spaces hold together, long words and addresses stay whole."""
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
