"""The bytes of a PDF in, what the rules look at out: words, tags, fonts, page sizes, names. Nothing is drawn or run."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from pathlib import Path
from typing import Any

from handouts.errors import BadInput
from handouts.files import MIB

PAGE_LIMIT = 200
STREAM_LIMIT = 64 * MIB
TAG_LIMIT = 200_000
# A line break inside a word: a hyphen or pdfium's own sign for one at the end of a line.
_BROKEN = re.compile("[\u0002\ufffe\u00ad]")


@dataclass(frozen=True)
class Tag:
    """One element of the tag tree: its standard type, alternative text, id, and the ids of its header cells."""

    type: str
    alt: str | None
    id: str
    headers: tuple[str, ...]
    table: int
    empty: bool


@dataclass(frozen=True)
class PageSize:
    """Width and height of a page in points."""

    width: float
    height: float


class PdfFile:
    """A PDF opened for looking. Words come from pdfium, tags and names from the file's own objects."""

    def __init__(self, data: bytes, path: Path) -> None:
        import pikepdf

        self.path = path
        self.data = data
        if not data.startswith(b"%PDF-"):
            raise BadInput("the file is no PDF", file=path, expected="%PDF- at its start", remedy="Check the file.")
        try:
            self.pdf: Any = pikepdf.open(BytesIO(data), attempt_recovery=False)
            self.count = len(self.pdf.pages)
        except pikepdf.PasswordError:
            raise BadInput("the PDF is locked with a password", file=path, remedy="Save it without one.") from None
        except (pikepdf.PdfError, ValueError, RuntimeError, RecursionError) as error:
            reason = str(error).splitlines()[0] if str(error) else type(error).__name__
            raise BadInput(
                "the PDF is broken or cut short", file=path, found=reason.rpartition(": ")[2], remedy="Make it again."
            ) from None
        if not 1 <= self.count <= PAGE_LIMIT:
            raise BadInput(
                "the PDF has too many pages", file=path, found=str(self.count), expected=f"1 to {PAGE_LIMIT}"
            )
        self._guard()

    def _guard(self) -> None:
        """Refuse a stream that unpacks to more than it should before anything reads it."""
        import pikepdf

        for item in self.pdf.objects:
            if isinstance(item, pikepdf.Stream) and "/FlateDecode" in str(item.get("/Filter", "")):
                try:
                    unpack = zlib.decompressobj()
                    unpack.decompress(item.read_raw_bytes(), STREAM_LIMIT)
                except (zlib.error, pikepdf.PdfError):
                    continue
                if unpack.unconsumed_tail:
                    raise BadInput("a part of the PDF unpacks to too much", file=self.path, remedy="Check the file.")

    @cached_property
    def pages(self) -> list[str]:
        """The words of each page, line by line."""
        import pypdfium2

        said: list[str] = []
        try:
            document = pypdfium2.PdfDocument(self.data)
        except pypdfium2.PdfiumError as error:
            raise BadInput("the PDF is broken or cut short", file=self.path, found=str(error)) from None
        try:
            for at in range(self.count):
                page = document[at]
                text = page.get_textpage()
                said.append(_BROKEN.sub("-", text.get_text_range().replace("\r\n", "\n").replace("\r", "\n")))
                text.close()
                page.close()
        except pypdfium2.PdfiumError as error:
            raise BadInput("a page of the PDF cannot be read", file=self.path, found=str(error)) from None
        finally:
            document.close()
        return said

    @cached_property
    def sizes(self) -> list[PageSize]:
        """The size of each page in points, as it is shown."""
        made = []
        for page in self.pdf.pages:
            left, low, right, top = (float(value) for value in page.mediabox)
            scale = float(page.obj.get("/UserUnit", 1))
            made.append(PageSize((right - left) * scale, (top - low) * scale))
        return made

    @property
    def language(self) -> str:
        """The language of the document, or nothing."""
        return str(self.pdf.Root.get("/Lang", "")).strip()

    @property
    def title(self) -> str:
        """The title in the document information, or nothing."""
        return str(self.pdf.docinfo.get("/Title", "")).strip()

    @cached_property
    def metadata(self) -> dict[str, str]:
        """The title and the PDF/UA part as the XMP packet states them."""
        try:
            with self.pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as meta:
                return {"title": str(meta.get("dc:title") or ""), "part": str(meta.get("pdfuaid:part") or "")}
        except Exception:  # the packet is free text; whatever breaks its reader counts as nothing stated
            return {"title": "", "part": ""}

    @property
    def marked(self) -> bool:
        """Whether the file says that its content is tagged, and has a tag tree."""
        info = self.pdf.Root.get("/MarkInfo")
        return bool(info is not None and info.get("/Marked", False)) and "/StructTreeRoot" in self.pdf.Root

    @property
    def shows_title(self) -> bool:
        """Whether a viewer is asked to show the title and not the file name."""
        wishes = self.pdf.Root.get("/ViewerPreferences")
        return bool(wishes is not None and wishes.get("/DisplayDocTitle", False))

    @cached_property
    def tags(self) -> list[Tag]:
        """The tag tree in reading order."""
        root = self.pdf.Root.get("/StructTreeRoot")
        return list(self._walk(root)) if root is not None else []

    def _walk(self, root: Any) -> Iterator[Tag]:
        import pikepdf

        roles = root.get("/RoleMap", {})
        seen: set[tuple[int, int]] = set()
        stack: list[tuple[Any, int]] = [(child, 0) for child in reversed(_kids(root))]
        count = tables = 0
        while stack:
            node, table = stack.pop()
            count += 1
            if count > TAG_LIMIT:
                raise BadInput("the PDF has too many tags", file=self.path, remedy="Check the file.")
            if not isinstance(node, pikepdf.Dictionary) or "/S" not in node:
                continue
            if node.is_indirect:
                if node.objgen in seen:
                    continue
                seen.add(node.objgen)
            kind = str(roles.get(str(node["/S"]), node["/S"])).removeprefix("/")
            if kind == "Table":
                tables += 1
                table = tables
            kids = _kids(node)
            alt = node.get("/Alt")
            yield Tag(
                kind,
                None if alt is None else str(alt),
                str(node.get("/ID", "")),
                _headers(node),
                table,
                not kids,
            )
            stack.extend((child, table) for child in reversed(kids))

    @cached_property
    def loose_fonts(self) -> list[str]:
        """The names of the fonts that are not inside the file."""
        loose: dict[str, None] = {}
        for item in self._dictionaries("/Font"):
            kind = str(item.get("/Subtype", ""))
            if kind in ("/Type0", "/Type3"):
                continue
            carrier = item.get("/FontDescriptor")
            if carrier is None or not any(f"/FontFile{end}" in carrier for end in ("", "2", "3")):
                loose[str(item.get("/BaseFont", "a font")).removeprefix("/")] = None
        return list(loose)

    def _dictionaries(self, kind: str) -> Iterator[Any]:
        import pikepdf

        for item in self.pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and str(item.get("/Type", "")) == kind:
                yield item

    @cached_property
    def active(self) -> list[str]:
        """What the file would do by itself or carries along: scripts, launches, attachments, odd links."""
        import pikepdf

        found: dict[str, None] = {}
        root = self.pdf.Root
        if "/OpenAction" in root and isinstance(root["/OpenAction"], pikepdf.Dictionary):
            found["an action on opening"] = None
        names = root.get("/Names")
        if names is not None and "/EmbeddedFiles" in names:
            found["an attached file"] = None
        for item in self.pdf.objects:
            if not isinstance(item, pikepdf.Dictionary):
                continue
            if "/AA" in item:
                found["an automatic action"] = None
            for action in (item, item.get("/A")):
                if not isinstance(action, pikepdf.Dictionary):
                    continue
                kind = str(action.get("/S", ""))
                if kind in ("/JavaScript", "/Launch", "/SubmitForm", "/ImportData"):
                    found[f"an action {kind.removeprefix('/')}"] = None
                if kind == "/URI" and not re.match(r"(?:https?|mailto|tel):", str(action.get("/URI", ""))):
                    found[f"a link to {action.get('/URI')}"] = None
        return list(found)

    @property
    def tab_order(self) -> bool:
        """Whether every page with notes or links is walked in the order of its tags."""
        return all(str(page.get("/Tabs", "")) == "/S" for page in self.pdf.pages if "/Annots" in page)


def _kids(node: Any) -> list[Any]:
    import pikepdf

    kids = node.get("/K")
    if kids is None:
        return []
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _headers(node: Any) -> tuple[str, ...]:
    import pikepdf

    given = node.get("/A")
    found: list[str] = []
    for item in given if isinstance(given, pikepdf.Array) else [given]:
        if isinstance(item, pikepdf.Dictionary) and "/Headers" in item:
            found.extend(str(name) for name in item["/Headers"])
    return tuple(found)
