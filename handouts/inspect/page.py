"""A finished file in, one Page out: its kind, its visible text, its parts, and what the kit manifest says of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Literal

from handouts.errors import BadInput
from handouts.files import MIB, decode, read_bytes
from handouts.inspect.icsfile import Calendar, read_ics
from handouts.inspect.kit import Kit, KitClaim, Record, base_id
from handouts.inspect.pdffile import PdfFile
from handouts.inspect.tree import Node, blocks, parse_html
from handouts.model.finding import Level
from handouts.model.library import Library
from handouts.reading import Measure

FILE_LIMIT = 20 * MIB
TEXT_LIMIT = 1_000_000
KINDS = (
    "handout", "handout-large-print", "bench-card", "childrens-sheet", "video-notes", "talk-notes", "faq-sheet",
    "poster", "place-sheet", "claims", "calendar",
    "date-tags", "rearing-log", "winter-log", "sowing-plan", "sign-in", "evaluation",
)  # fmt: skip
BLANK_FORMS = frozenset(("date-tags", "rearing-log", "winter-log", "sign-in", "evaluation"))
PUBLIC = (
    "handout", "handout-large-print", "bench-card", "childrens-sheet", "video-notes", "talk-notes", "faq-sheet",
    "poster",
)  # fmt: skip

Format = Literal["html", "pdf", "text", "ics"]
FORMATS: dict[str, Format] = {
    ".html": "html", ".htm": "html", ".pdf": "pdf", ".txt": "text", ".md": "text", ".ics": "ics",
}  # fmt: skip


@dataclass(frozen=True)
class Trouble:
    """What a rule has against a file; the name of the rule and of the file are added by the run over the rules."""

    found: str
    expected: str
    remedy: str
    key: str = ""
    line: int | None = None
    level: Level | None = None


@dataclass
class Page:
    """One finished file, read. Exactly one of `tree`, `pdf`, `calendar` is there; a text file has none of them."""

    path: Path
    format: Format
    kind: str
    library: Library
    kit: Kit | None = None
    record: Record | None = None
    tree: Node | None = None
    pdf: PdfFile | None = None
    calendar: Calendar | None = None
    raw: str = ""
    title_beside: str | None = None
    measures: list[Measure] = field(default_factory=list)

    @property
    def claims(self) -> dict[str, KitClaim]:
        """The claims the manifest lists for this file, by id."""
        return self.record.claims if self.record else {}

    def claim(self, name: str, shown: str) -> KitClaim | None:
        """Return the claim of a name in the markup; a name without its suffix stands for any showing of the fact."""
        if name in self.claims:
            return self.claims[name]
        alike = [claim for claim in self.claims.values() if claim.base == base_id(name)]
        return next((claim for claim in alike if plain(claim.shown) == plain(shown)), alike[0] if alike else None)

    @cached_property
    def root(self) -> Node:
        """The tree of an HTML page."""
        assert self.tree is not None
        return self.tree

    @cached_property
    def document(self) -> PdfFile:
        """The PDF."""
        assert self.pdf is not None
        return self.pdf

    @cached_property
    def showings(self) -> dict[str, list[Node]]:
        """The elements that show a figure, by the name of its claim."""
        found: dict[str, list[Node]] = {}
        for node in self.root.elements():
            if node.get("data-fact"):
                found.setdefault(node.get("data-fact"), []).append(node)
        return found

    @cached_property
    def blocks(self) -> list[str]:
        """The visible text in pieces: blocks of a page, paragraphs of a text, titles and texts of a calendar."""
        if self.tree is not None:
            return [plain("".join(words.data for words in run)) for run in blocks(self.tree)]
        if self.calendar is not None:
            return [said for _, said, _ in self.entries]
        if self.pdf is not None:
            return [part for page in self.running_text for part in page.split("\n")]
        return [plain(part) for part in re.split(r"\n\s*\n|\n(?=\s*(?:[-*]|\d+\.) )", self.raw) if part.strip()]

    @cached_property
    def running_text(self) -> list[str]:
        """The words of each page of a PDF without the line that counts the pages."""
        assert self.pdf is not None
        count = self.pdf.count
        return [without_page_line(text, at, count) for at, text in enumerate(self.pdf.pages, 1)]

    @cached_property
    def text(self) -> str:
        """All visible text with its line breaks."""
        if self.pdf is not None:
            return "\n".join(self.running_text)
        if self.tree is not None or self.calendar is not None:
            return "\n".join(self.blocks)
        return self.raw

    @cached_property
    def entries(self) -> list[tuple[str, str, int]]:
        """The words a calendar shows: (property, text, line)."""
        assert self.calendar is not None
        shown = ("SUMMARY", "DESCRIPTION", "LOCATION", "NAME", "X-WR-CALNAME", "COMMENT")
        found: list[tuple[str, str, int]] = []
        for part in (self.calendar.root, *self.calendar.root.inner):
            found.extend((item.name, item.text, item.line) for item in part.properties if item.name in shown)
        return found

    @cached_property
    def spoken(self) -> str:
        """Words that are heard and not seen: alternative texts, names and descriptions of drawings."""
        if self.tree is None:
            return "\n".join(tag.alt for tag in self.pdf.tags if tag.alt) if self.pdf is not None else ""
        said: list[str] = []
        for node in self.tree.elements():
            said.extend(node.get(name) for name in ("alt", "aria-label", "title") if node.get(name))
            if node.tag in ("title", "desc") and node.parent is not None:
                said.append(node.text())
        return "\n".join(said)

    def slots(self, name: str) -> list[Node]:
        """The elements marked as a named part."""
        return [node for node in self.root.elements() if node.get("data-slot") == name]

    def say(self, label: str) -> str:
        """One of the tool's own words, or nothing when the words file lacks it."""
        return self.library.words.labels.get(label, "") if self.library.words else ""


def plain(text: str) -> str:
    """Collapse white space of all kinds and drop soft hyphens."""
    return " ".join(text.replace("\u00ad", "").replace("\u200b", "").split())


def squashed(text: str) -> str:
    """Letters and digits alone, in lower case: what stays the same over line breaks, hyphens and kinds of quotes."""
    return re.sub(r"[\W_]+", "", text.lower())


def without_page_line(text: str, at: int, count: int) -> str:
    """Take "page 1 of 2" out of the words of page `at` of `count`, once, from its first or last lines."""
    lines = text.split("\n")
    pattern = re.compile(rf"\b[^\W\d]+\s+{at}\s+[^\W\d]+\s+{count}\b")
    edges = [*range(min(3, len(lines))), *range(max(0, len(lines) - 4), len(lines))]
    for place in reversed(edges):
        if pattern.search(lines[place]):
            lines[place] = pattern.sub("", lines[place], count=1)
            break
    return "\n".join(lines)


def read_page(path: Path, library: Library, kit: Kit | None) -> Page:
    """Read a finished file. Raises BadInput for one that is missing, too large, broken, or of no known format."""
    form = FORMATS.get(path.suffix.lower())
    if form is None:
        raise BadInput(
            "the file is of no format that can be inspected",
            file=path,
            found=path.suffix or "no ending",
            expected=", ".join(FORMATS),
        )
    data = read_bytes(path, FILE_LIMIT)
    if not data.strip():
        raise BadInput("the file is empty", file=path, remedy="Make it again.")
    record = kit.records.get(path.name) if kit else None
    page = Page(path, form, record.kind if record else "", library, kit, record)
    if form == "pdf":
        page.pdf = PdfFile(data, path)
        page.title_beside = _title_beside(path, record)
    elif form == "ics":
        page.calendar = read_ics(data, path)
    else:
        page.raw = decode(data, path)
        if "\x00" in page.raw:
            raise BadInput("the file is no text", file=path, found="a zero byte", remedy="Check the file.")
        if form == "html":
            page.tree = parse_html(page.raw, path)
    page.kind = page.kind or _kind(page)
    if len(page.text) > TEXT_LIMIT:
        raise BadInput(
            "the file holds too much text to be a document",
            file=path,
            found=f"{len(page.text):,} characters",
            expected=f"at most {TEXT_LIMIT:,}",
        )
    return page


def _kind(page: Page) -> str:
    """The kind a page states itself, else the one its file name holds, else nothing."""
    if page.tree is not None:
        stated = next((node.get("data-kind") for node in page.tree.find("html", "body") if node.get("data-kind")), "")
        if stated in KINDS:
            return stated
    if page.calendar is not None:
        return "calendar"
    held = [kind for kind in KINDS if re.search(rf"(?:^|[-_.]){kind}(?:$|[-_.])", page.path.stem)]
    return max(held, key=len, default="")


def _title_beside(path: Path, record: Record | None) -> str | None:
    """The title of the same document as HTML: from the file of the same name beside it, else from the manifest."""
    beside = path.with_suffix(".html")
    if beside.is_file():
        try:
            tree = parse_html(decode(read_bytes(beside, FILE_LIMIT), beside), beside)
        except BadInput:
            return record.title or None if record else None
        return next((node.text() for node in tree.find("title") if node.parent and node.parent.tag == "head"), None)
    return record.title or None if record else None
