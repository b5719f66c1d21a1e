"""The PDF: tagged, of the right size, the same bytes twice, closed to the world, and refused rather than spoiled."""

from __future__ import annotations

import builtins
import ctypes
import io
import os
import re
import sys
import time
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as raw
import pytest

from handouts.errors import BadContent, Unavailable
from handouts.model.document import Document, Figure, Para, Picture, Slot, Text
from handouts.render import pdf, render
from handouts.render.assets import Assets
from handouts.render.html import page, render_html
from handouts.render.pdf import load_weasyprint, render_pdf
from handouts.render.sheets import PAPERS, poster_rem, size
from tests.render import sample
from tests.render.parts import CLAIMS, NB, STRIP, t

PAGE = '<!doctype html><html lang="en"><head><title>t</title></head><body>{}</body></html>'


def opened(data: bytes) -> pikepdf.Pdf:
    """The PDF for looking at its inside."""
    return pikepdf.open(io.BytesIO(data))


def words(data: bytes) -> str:
    """All text of the PDF, spaces and line ends as single spaces."""
    document = pypdfium2.PdfDocument(data)
    text = "\n".join(sheet.get_textpage().get_text_range() for sheet in document)
    return re.sub(r"\s+", " ", text.replace("\ufffe", "-"))


def letters(data: bytes) -> dict[str, float]:
    """The smallest and the largest size of letters in points, by the name of their font and all together."""
    sizes: set[float] = set()
    for sheet in pypdfium2.PdfDocument(data):
        text = sheet.get_textpage()
        for at in range(text.count_chars()):
            if not chr(raw.FPDFText_GetUnicode(text.raw, at)).isspace():
                matrix = raw.FS_MATRIX()
                raw.FPDFText_GetMatrix(text.raw, at, ctypes.byref(matrix))
                sizes.add(round(raw.FPDFText_GetFontSize(text.raw, at) * abs(matrix.d), 1))
    return {"least": min(sizes), "most": max(sizes)}


@pytest.mark.parametrize("document", sample.ALL, ids=lambda document: document.kind)
def test_every_kind_becomes_a_tagged_pdf_of_its_size(document: Document, assets: Assets) -> None:
    """Tags, language, title, PDF/UA mark, paper size, bundled fonts only, and the same bytes twice."""
    first = render(document, ".pdf", assets)
    assert render(document, ".pdf", assets).data == first.data
    inside = opened(first.data)
    assert first.pages == len(inside.pages)
    assert inside.Root.MarkInfo.Marked
    assert "/StructTreeRoot" in inside.Root
    assert str(inside.Root.Lang) == "en"
    assert inside.Root.ViewerPreferences.DisplayDocTitle
    assert str(inside.docinfo["/Title"]) == document.title
    assert b"pdfuaid" in inside.Root.Metadata.read_bytes()
    width, height = size(document.kind, document.paper)
    for sheet in inside.pages:
        box = [float(edge) for edge in sheet.MediaBox]
        assert box[2] == pytest.approx(width / 25.4 * 72, abs=0.5)
        assert box[3] == pytest.approx(height / 25.4 * 72, abs=0.5)
    fonts = {str(thing.BaseFont) for thing in inside.objects if "/BaseFont" in _keys(thing)}
    assert fonts
    assert all("Atkinson" in font or "Handouts" in font for font in fonts), fonts


def _keys(thing: Any) -> Any:
    return thing.keys() if isinstance(thing, pikepdf.Dictionary) else ()


def test_every_figure_can_be_read_out_of_the_pdf(assets: Assets) -> None:
    """The text of a PDF holds every figure as the claim shows it, with its mark as a word of its own."""
    text = words(render(sample.HANDOUT, ".pdf", assets).data)
    html = page(sample.HANDOUT, assets)
    used = [claim for claim in CLAIMS if f'data-fact="{claim.id}"' in html]
    assert len(used) > 8
    for claim in used:
        assert claim.shown.replace(NB, " ") in text, claim.id
    assert "9 to 18 days c" in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("picture", [None, "pad-and-girdle", "winter-places"])
def test_a_full_handout_is_drawn_closer_together(picture: str | None, paper: str, assets: Assets) -> None:
    """More than a sheet holds at ease still makes two pages, steps at 12 pt, nothing but raised marks under 9 pt."""
    drawn = None
    if picture:
        width = 113 if picture == "pad-and-girdle" else 172
        drawn = Picture(picture, assets.pictures[picture], "A title", "What it teaches", t("Read it."), width)
    document = replace(sample.crowded(drawn), paper=paper)
    made = render(document, ".pdf", assets)
    assert made.pages == 2
    text = words(made.data)
    for part in ("Do this", "The plan for Sampleton", "What we do not know", "names none", "Edition 7f3a91c"):
        assert part in text
    assert letters(made.data)["least"] >= 7.5
    assert b"12pt" in assets.style("print-base").encode()


def test_a_handout_that_runs_over_is_refused(assets: Assets) -> None:
    """When no fit helps, the error names the document, what was found and what is expected."""
    with pytest.raises(BadContent, match=r"the handout does not fit its paper \(letter\); found \d pages; expected 2"):
        render(sample.crowded(STRIP, steps=40), ".pdf", assets)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_poster_is_one_sheet_on_every_paper(paper: str, assets: Assets) -> None:
    """From the wall to the refrigerator door: one page, and the title keeps its share of the sheet."""
    made = render(replace(sample.POSTER, paper=paper), ".pdf", assets)
    assert made.pages == 1
    sizes = letters(made.data)
    assert sizes["most"] >= 5 * poster_rem(paper) - 0.1
    if paper in ("tabloid", "a3"):
        assert sizes["most"] >= 72


@pytest.mark.parametrize(
    ("evil", "said"),
    [
        ('<img alt="x" src="file:///etc/hostname">', "disallowed protocol"),
        ('<img alt="x" src="http://127.0.0.1:9/a.png">', "disallowed protocol"),
        ('<img alt="x" src="a.png">', "Relative URI"),
        ('<img alt="x" src="asset:fonts/other.ttf">', "disallowed protocol"),
        ('<p style="background: url(https://example.org/a.png)">x</p>', "disallowed protocol"),
        ('<style>@import "https://example.org/a.css";</style>', "disallowed protocol"),
        ('<style>@font-face { font-family: a; src: url("file:///a.ttf") }</style>', "cannot be loaded"),
        ('<link rel="stylesheet" href="file:///etc/a.css">', "disallowed protocol"),
        ('<link rel="attachment" href="file:///etc/hostname">', "disallowed protocol"),
    ],
)
def test_the_fetcher_is_closed(evil: str, said: str, assets: Assets) -> None:
    """Whatever a page asks for outside of the bundled fonts stops the build and is named."""
    with pytest.raises(BadContent, match=said):
        render_pdf(PAGE.format(evil), "faq-sheet", "letter", assets, "x")


def test_engine_warnings_are_errors(assets: Assets, monkeypatch: pytest.MonkeyPatch) -> None:
    """A style the engine does not know would leave a hole in the page: it stops the build, each time anew."""
    monkeypatch.setitem(assets.styles, "print-base", assets.style("print-base") + "p { colour: red; }\n")
    for _ in range(2):
        with pytest.raises(BadContent, match="Ignored `colour: red`"):
            render(sample.FAQ, ".pdf", assets)


def test_a_page_without_language_is_refused(assets: Assets) -> None:
    """The engine says so only in its log; a page no screen reader can pronounce is not made."""
    with pytest.raises(BadContent, match="lang"):
        render_pdf(PAGE.replace(' lang="en"', "").format("x"), "faq-sheet", "letter", assets, "x")


def test_the_page_made_for_browsers_makes_the_same_pdf(assets: Assets) -> None:
    """The styles a browser needs do not reach the engine."""
    own = render_pdf(page(sample.FAQ, assets), "faq-sheet", "letter", assets, "x")
    assert render_pdf(render_html(sample.FAQ, assets), "faq-sheet", "letter", assets, "x") == own


def test_characters_the_fonts_lack_are_named(assets: Assets) -> None:
    """A font of the machine would step in silently and change the page elsewhere."""
    document = replace(sample.FAQ, blocks=(Para((Text("female \u2640, snow \u2603, fine: °–½é\u00a0\u2019"),)),))
    with pytest.raises(BadContent) as caught:
        render(document, ".pdf", assets)
    assert "\u2603 (U+2603), \u2640 (U+2640)" in str(caught.value)
    assert "U+00B0" not in str(caught.value)


def test_words_in_drawings_are_looked_at_too(assets: Assets) -> None:
    """A sign in a drawing's label counts like one in the text; its description is not drawn."""
    drawn = replace(STRIP, svg=STRIP.svg.replace("first flight", "\u2640"), alt="\u2642")
    with pytest.raises(BadContent, match="U\\+2640") as caught:
        render(replace(sample.FAQ, blocks=(drawn,)), ".pdf", assets)
    assert "U+2642" not in str(caught.value)


def test_a_missing_library_is_said_with_the_line_that_mends_it(
    assets: Assets, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The engine raises OSError at import and prints a banner; neither reaches the reader."""
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "weasyprint":
            print("WeasyPrint could not import some external libraries.")
            raise OSError("cannot load library 'libpango-1.0-0': no such file\nsecond line")
        return real(name, *rest, **more)

    monkeypatch.setattr(pdf, "_shared", None)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(Unavailable) as caught:
        render(sample.FAQ, ".pdf", assets)
    said = str(caught.value)
    assert "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in said
    assert "brew install pango" in said
    assert "pacman -S" in said
    assert "second line" not in said
    assert capsys.readouterr().out == ""
    assert render(sample.FAQ, ".html", assets).data.startswith(b"<!doctype html>")


def test_without_the_subset_library_the_bytes_stay_the_same(assets: Assets, monkeypatch: pytest.MonkeyPatch) -> None:
    """Fonts are then stamped with the time of day; a fixed stamp is set for the time of writing only."""
    load_weasyprint()
    import weasyprint.pdf.fonts

    monkeypatch.setattr(weasyprint.pdf.fonts, "harfbuzz_subset", None)
    monkeypatch.setattr(pdf, "has_subsetter", lambda: False)
    monkeypatch.setattr(pdf, "_shared", None)
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    first = render(sample.FAQ, ".pdf", assets).data
    time.sleep(1.1)
    assert render(sample.FAQ, ".pdf", assets).data == first
    assert "SOURCE_DATE_EPOCH" not in os.environ


@pytest.mark.parametrize("before", [None, "77"])
def test_the_stamp_is_put_back(before: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The environment of the caller is as it was, also after an error."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    if before:
        monkeypatch.setenv("SOURCE_DATE_EPOCH", before)

    def broken() -> None:
        with pdf._stamp(SimpleNamespace(reproducible=False)):  # type: ignore[arg-type]
            assert os.environ["SOURCE_DATE_EPOCH"] == "0"
            raise KeyError

    with pytest.raises(KeyError):
        broken()
    assert os.environ.get("SOURCE_DATE_EPOCH") == before


def test_the_engine_is_built_once(assets: Assets) -> None:
    """Fonts and parsed styles are shared; a second document of a kind parses no style again."""
    render(sample.FAQ, ".pdf", assets)
    engine = pdf._shared
    assert engine is not None
    parsed = len(engine._parsed)
    render(replace(sample.FAQ, title="Another"), ".pdf", assets)
    assert pdf._shared is engine
    assert len(engine._parsed) == parsed


def test_nothing_heavy_is_imported_before_it_is_needed() -> None:
    """The package of renderers loads without the PDF engine, the font tools and the calendar library."""
    import subprocess

    code = (
        "import sys, handouts.render, handouts.doctor\n"
        "print([name for name in ('weasyprint', 'fontTools', 'icalendar') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_club_color_reaches_the_paper(assets: Assets) -> None:
    """A theme's ink is in the page's drawing commands, ours is not."""
    club = replace(assets, ink="#5a1e1e")
    plain, colored = (render(sample.FAQ, ".pdf", which).data for which in (assets, club))
    assert plain != colored
    drawn = b"".join(part.read_bytes() for sheet in opened(colored).pages for part in _streams(sheet.Contents))
    assert b"0.352941 0.117647 0.117647 rg" in drawn
    assert b"0.105882 0.227451 0.419608 rg" not in drawn


def _streams(contents: Any) -> list[Any]:
    return list(contents) if isinstance(contents, pikepdf.Array) else [contents]


def test_a_figure_is_never_broken_by_a_hyphen(assets: Assets) -> None:
    """In a narrow place a figure's words wrap whole, so that it can be found again in the file."""
    figure = Figure("x", "September to chrysalides overwintering caterpillars", ())
    text = words(render(replace(sample.FAQ, blocks=(Slot("entry", (Para((figure,) * 9),)),)), ".pdf", assets).data)
    assert "-" not in text.split("Edition")[0].replace(sample.FAQ.title, "")
