"""Rules about a PDF: its tags, language, title, fonts, pictures, sheet size, pages, and that it runs nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handouts.inspect.page import Page, Trouble, plain
from handouts.inspect.structure import ALT_LEAST, heading_steps
from handouts.model.forms import FORMS, FROM_REGISTER

# Width and height in points, upright: inches times 72, millimeters times 72 / 25.4.
SHEETS = {
    "letter": (612.0, 792.0),
    "legal": (612.0, 1008.0),
    "tabloid": (792.0, 1224.0),
    "a4": (595.276, 841.89),
    "a3": (841.89, 1190.551),
}
TOLERANCE = 0.5
# Forms that no register fills in are one sheet.
_SHEETS = [kind for kind in FORMS if kind not in FROM_REGISTER]
PAGES = {
    "handout": 2,
    "poster": 1,
    "bench-card": 1,
    "childrens-sheet": 1,
    "place-sheet": 1,
    **dict.fromkeys(_SHEETS, 1),
}
MOST_PAGES = {"handout-large-print": 8}
# The title and the description of a drawing are read as one text in a PDF.
PDF_ALT_MOST = 600
SAFE_MM, EDGE_MM = 12.7, 6.35
SCALE = 0.5
DARK = 200
MOST_POINTS = 4000
LEAST_BODY, LEAST_LETTERS = 11.9, 7.0
# Sources, notices, the key and the table of dates may be smaller; they are over half of a handout's letters.
LEAST_SHARE = 1 / 3
# In large print only marks, letters in drawings and the line that counts the pages may be smaller.
LARGE_BODY, LARGE_SHARE = 17.9, 0.8


def page_count(page: Page) -> Iterator[Trouble]:
    """A handout has two pages, eight at most in large print, a poster, a bench card and a children's sheet one."""
    count = page.document.count
    wanted = PAGES.get(page.kind)
    if wanted is not None and count != wanted:
        yield Trouble(f"{count} pages", f"{wanted}", "Shorten the text, or make the file again.", key=page.kind)
    most = MOST_PAGES.get(page.kind, count)
    if count > most:
        yield Trouble(f"{count} pages", f"at most {most}", "Shorten the text, or make the file again.", key=page.kind)
    listed = page.record.pages if page.record else None
    if listed is not None and listed != count:
        yield Trouble(f"{count} pages", f"{listed} as in kit.json", "Make the kit again.", key="kit.json")


def page_size(page: Page) -> Iterator[Trouble]:
    """Every page is a named sheet, to half a point; the one the manifest names where it names one."""
    named = page.record.paper.lower() if page.record else ""
    sheets = {named: SHEETS[named]} if named in SHEETS else SHEETS
    for at, size in enumerate(page.document.sizes, 1):
        upright = sorted((size.width, size.height))
        fits = any(
            abs(upright[0] - width) <= TOLERANCE and abs(upright[1] - height) <= TOLERANCE
            for width, height in sheets.values()
        )
        if not fits:
            yield Trouble(
                f"{size.width:.1f} x {size.height:.1f} pt",
                " or ".join(f"{name} {width:g} x {height:g}" for name, (width, height) in sheets.items()),
                "Choose a named paper.",
                key=f"page {at}",
            )


def tagged(page: Page) -> Iterator[Trouble]:
    """The file is tagged, says so, states PDF/UA-1, and is walked in the order of its tags."""
    pdf = page.document
    if not pdf.marked or not pdf.tags:
        yield Trouble("no tags", "MarkInfo and a tag tree", "Make it with the variant PDF/UA-1.", key="tags")
    if pdf.metadata["part"] != "1":
        yield Trouble(
            f"PDF/UA part {pdf.metadata['part'] or 'not stated'}",
            "1",
            "Make it with the variant PDF/UA-1.",
            key="pdfuaid",
        )
    if not pdf.tab_order:
        yield Trouble("a page with links in another order", "/Tabs /S", "Make it with PDF/UA-1.", key="tabs")


def pdf_language(page: Page) -> Iterator[Trouble]:
    """The file says what language it is in."""
    if not page.document.language:
        yield Trouble("no language", "/Lang", "Set lang on the page it is made from.", key="lang")


def pdf_title(page: Page) -> Iterator[Trouble]:
    """The file has a title, shows it, and it is that of the HTML page."""
    pdf = page.document
    if not pdf.title or not pdf.metadata["title"]:
        yield Trouble("no title", "a title in the file and its metadata", "Give the page a title.", key="title")
    elif plain(pdf.title) != plain(pdf.metadata["title"]):
        yield Trouble(pdf.metadata["title"], pdf.title, "Make the file again.", key="metadata")
    if not pdf.shows_title:
        yield Trouble("the file name is shown", "/DisplayDocTitle", "Make it with PDF/UA-1.", key="title")
    if pdf.title and page.title_beside and plain(page.title_beside) != plain(pdf.title):
        yield Trouble(pdf.title, f"{page.title_beside} as in the HTML", "Make both files again.", key="title")


def fonts(page: Page) -> Iterator[Trouble]:
    """All fonts are in the file."""
    for name in page.document.loose_fonts:
        yield Trouble(f"{name} is not in the file", "every font inside", "Bundle the font.", key=name)


def pdf_alt(page: Page) -> Iterator[Trouble]:
    """Every figure says in words what it shows."""
    for at, tag in enumerate((tag for tag in page.document.tags if tag.type == "Figure"), 1):
        text = plain(tag.alt or "")
        if not ALT_LEAST <= len(text) <= PDF_ALT_MOST:
            yield Trouble(
                f"figure {at}: {text[:40]!r} ({len(text)} characters)",
                f"{ALT_LEAST} to {PDF_ALT_MOST} characters of alternative text",
                "Name the picture in the page it is made from.",
                key=f"figure {at}",
            )


def pdf_headings(page: Page) -> Iterator[Trouble]:
    """The tags have one first heading, skip no level and stay within three levels."""
    found = [tag for tag in page.document.tags if len(tag.type) == 2 and tag.type[0] == "H" and tag.type[1].isdecimal()]
    if sum(tag.type == "H1" for tag in found) != 1:
        yield Trouble(f"{sum(tag.type == 'H1' for tag in found)} first headings", "one", "Keep one title.", key="H1")
    yield from heading_steps([(int(tag.type[1]), f"heading {at}", None) for at, tag in enumerate(found, 1)])


def pdf_tables(page: Page) -> Iterator[Trouble]:
    """Every table has header cells, and every cell's headers are cells of the file."""
    tags = page.document.tags
    heads = {tag.id for tag in tags if tag.type == "TH" and tag.id}
    for at in sorted({tag.table for tag in tags if tag.table}):
        own = [tag for tag in tags if tag.table == at]
        # A table that runs over a page is tagged as a table in a table: the outer one has no rows of its own.
        if not any(tag.type == "TR" for tag in own):
            continue
        if not any(tag.type == "TH" for tag in own):
            yield Trouble(f"table {at} has no header cells", "TH", "Mark its header cells.", key=f"table {at}")
        lost = sorted({name for tag in own for name in tag.headers if name not in heads})
        if lost:
            yield Trouble(f"table {at} points to {lost[0]}", "a header cell", "Make it again.", key=f"table {at}")


def active(page: Page) -> Iterator[Trouble]:
    """The file runs nothing, carries nothing along and links to plain addresses only."""
    for what in page.document.active:
        yield Trouble(what, "words and pictures alone", "Take it out.", key=what)


def margins(page: Page) -> Iterator[Trouble]:
    """No ink where printers can't reach: an error in the outer quarter inch, a warning in the outer half inch."""
    pages: dict[float, list[int]] = {EDGE_MM: [], SAFE_MM: []}
    for at, dark in _inked(page):
        for edge, found in pages.items():
            band = max(1, int(edge / 25.4 * 72 * SCALE))
            inside = dark.copy()
            inside[band:-band, band:-band] = False
            if inside.any():
                found.append(at)
                break
    for edge, found in pages.items():
        if found:
            yield Trouble(
                f"ink within {edge:g} mm of the edge on {len(found)} of {page.document.count} pages",
                "a free margin",
                "Widen the margin.",
                key=f"page {found[0]}",
                level="warning" if edge == SAFE_MM else None,
            )


def _inked(page: Page) -> Iterator[tuple[int, Any]]:
    """Draw each page small and yield its number and where it is dark."""
    import numpy
    import pypdfium2

    document = pypdfium2.PdfDocument(page.document.data)
    try:
        for at, size in enumerate(page.document.sizes):
            if not 72 <= min(size.width, size.height) <= max(size.width, size.height) <= MOST_POINTS:
                continue
            sheet = document[at]
            bitmap = sheet.render(scale=SCALE, grayscale=True)
            yield at + 1, numpy.asarray(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width] < DARK
            bitmap.close()
            sheet.close()
    finally:
        document.close()


def letter_size(page: Page) -> Iterator[Trouble]:
    """Running text of a handout is of 12 points or more, of large print of 18; nothing is under 7.

    Sources and notices of a handout, marks and the letters in drawings of large print are apart.
    """
    sizes = _letter_sizes(page)
    if not sizes:
        return
    share = sum(count for size, count in sizes.items() if size >= LEAST_BODY) / sum(sizes.values())
    if page.kind == "handout" and share < LEAST_SHARE:
        found = f"{share:.0%} of the letters at 12 pt or more"
        yield Trouble(found, f"{LEAST_SHARE:.0%} or more", "Shorten the text.", key="body")
    large = sum(count for size, count in sizes.items() if size >= LARGE_BODY) / sum(sizes.values())
    if page.kind == "handout-large-print" and large < LARGE_SHARE:
        found = f"{large:.0%} of the letters at 18 pt or more"
        yield Trouble(found, f"{LARGE_SHARE:.0%} or more", "Set them larger.", key="body", level="error")
    least = min(sizes)
    if least < LEAST_LETTERS:
        yield Trouble(f"letters of {least:.1f} pt", f"{LEAST_LETTERS:g} pt or more", "Set them larger.", key="small")


def _letter_sizes(page: Page) -> dict[float, int]:
    """Count the letters of each size in points (rounded to a tenth)."""
    import math
    from ctypes import c_float

    import pypdfium2
    import pypdfium2.raw as raw

    counted: dict[float, int] = {}
    document = pypdfium2.PdfDocument(page.document.data)
    try:
        for at in range(len(document)):
            sheet = document[at]
            text = sheet.get_textpage()
            matrix = raw.FS_MATRIX()
            for place in range(text.count_chars()):
                if not chr(raw.FPDFText_GetUnicode(text.raw, place)).isalnum():
                    continue
                size = float(raw.FPDFText_GetFontSize(text.raw, place))
                if raw.FPDFText_GetMatrix(text.raw, place, matrix):
                    size *= math.hypot(float(c_float(matrix.c).value), float(c_float(matrix.d).value))
                rounded = round(size, 1)
                counted[rounded] = counted.get(rounded, 0) + 1
            text.close()
            sheet.close()
    finally:
        document.close()
    return counted
