"""HTML text in, a tagged PDF (PDF/UA-1) out: bundled fonts only, nothing fetched, every engine warning an error."""

from __future__ import annotations

import contextlib
import io
import logging
import os
import re
import threading
import warnings
from collections.abc import Iterator
from typing import Any

from handouts.errors import BadContent, Unavailable
from handouts.mending import PDF_LIBRARIES
from handouts.render import seam
from handouts.render.assets import Assets, print_style
from handouts.render.fit import ROOMY, fitted
from handouts.render.glyphs import Coverage
from handouts.render.sheets import page_rule

HTML_LIMIT = 4 << 20
# Not "print": the page carries its own print rules for browsers, and they must not be read a second time.
MEDIA = "handouts"
# Where words fit a line but for the blank after them, and an element follows, the engine breaks after the first of
# the words instead of the last. A blank in an element of its own keeps it from that.
_SPACE_BEFORE = re.compile(r"(?<=[^\s>]) (?=<(?:span|data|time|strong|em|i|a|sup|abbr)[\s>])")
_lock = threading.Lock()
_shared: _Engine | None = None


def render_pdf(
    html: str, kind: str, paper: str, assets: Assets, identifier: str, *, free: bool = False
) -> tuple[bytes, int]:
    """Return the PDF of `html` set as a document of `kind` on `paper`, and its number of pages.

    `identifier` names the edition inside the file; `free` lets it take as many pages as it needs; the same arguments
    give the same bytes. Raises Unavailable when the machine lacks a library, BadContent for an engine warning, a
    blocked reference, a character the bundled fonts lack, or a page count outside the limits of the kind.
    """
    if len(html) > HTML_LIMIT:
        raise BadContent("the page is too large for a PDF", found=f"{len(html):,} characters")
    with _lock:
        engine = _engine(assets)
        engine.coverage.demand(html, kind)
        with _stamp(engine):
            return engine.write(html, kind, paper, assets, identifier, free)


def _engine(assets: Assets) -> _Engine:
    """The one engine of this process: building it costs more than a document."""
    global _shared
    if _shared is None or _shared.root != assets.root:
        _shared = _Engine(assets)
    return _shared


def load_weasyprint() -> Any:
    """Import the PDF engine; its banner for missing libraries is kept from standard output. Raises Unavailable."""
    said = io.StringIO()
    try:
        with contextlib.redirect_stdout(said), warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)
            import weasyprint
    except (ImportError, OSError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise Unavailable("PDF needs a system library that is missing", found=reason, remedy=PDF_LIBRARIES) from error
    return weasyprint


def has_subsetter() -> bool:
    """Whether HarfBuzz's subset library was found; without it fonts carry a time stamp and PDFs are slower."""
    load_weasyprint()
    from weasyprint.text import ffi

    return getattr(ffi, "harfbuzz_subset", None) is not None


class _Engine:
    """Fonts and parsed styles, shared by all documents of a process."""

    def __init__(self, assets: Assets) -> None:
        self.weasyprint = load_weasyprint()
        self.root = assets.root
        self.coverage = Coverage(assets.faces)
        self.reproducible = has_subsetter()
        self._fetcher = _closed_fetcher({f"asset:fonts/{face.file}": face.data for face in assets.faces})
        with _no_warnings("the bundled fonts"):
            from weasyprint.text.fonts import FontConfiguration

            self._fonts = FontConfiguration()
        self._parsed: dict[str, Any] = {}
        self._sheet(_font_rules(assets))

    def _sheet(self, text: str) -> Any:
        """Parse a style sheet once."""
        if text not in self._parsed:
            with _no_warnings("the styles"):
                sheet = self.weasyprint.CSS(
                    string=text, font_config=self._fonts, url_fetcher=self._fetcher, media_type=MEDIA
                )
            self._parsed[text] = sheet
        return self._parsed[text]

    def write(self, html: str, kind: str, paper: str, assets: Assets, identifier: str, free: bool) -> tuple[bytes, int]:
        sheet = self._sheet(pdf_style(kind, paper, assets))
        with _no_warnings(f"the {kind}"):
            if free:
                laid = self._lay(html, sheet, ROOMY)
            else:
                laid = fitted(lambda fit: self._lay(html, sheet, fit), kind, paper)
            data = laid.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=identifier.encode())
        return bytes(data), len(laid.pages)

    def _lay(self, html: str, sheet: Any, fit: str) -> Any:
        """Lay the page out with the attributes `fit` on its root, which the style sheets read."""
        text = html.replace("<html ", f"<html {fit} ", 1)  # of two attributes of a name the first counts
        text = _SPACE_BEFORE.sub("<span> </span>", text)
        source = self.weasyprint.HTML(string=text, url_fetcher=self._fetcher, media_type=MEDIA)
        return source.render(font_config=self._fonts, stylesheets=[sheet], pdf_variant="pdf/ua-1", pdf_tags=True)


def pdf_style(kind: str, paper: str, assets: Assets) -> str:
    """Return all style rules of a document of `kind` on `paper`."""
    return "".join(
        (
            _font_rules(assets),
            assets.style("tokens"),
            assets.theme(),
            page_rule(kind, paper),
            assets.style("engine"),
            assets.style("print-base"),
            assets.style(print_style(kind)),
            seam.rules() if kind == "handout" else "",
        )
    )


def _font_rules(assets: Assets) -> str:
    return "".join(
        f'@font-face {{ font-family: "{face.family}"; src: url("asset:fonts/{face.file}"); '
        f"font-weight: {face.weight}; font-style: {face.style}; }}\n"
        for face in assets.faces
    )


def _closed_fetcher(files: dict[str, bytes]) -> Any:
    """A fetcher that serves the bundled files by their asset: names and refuses everything else."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Closed(URLFetcher):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__(allowed_protocols={"data"}, allow_redirects=False)

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if url in files:
                return URLFetcherResponse(url, files[url], {"Content-Type": "font/ttf"})
            return super().fetch(url, headers)

    return Closed()


# The one thing the engine may say: fonts are cut down by the slower library. `_stamp` makes up for it.
_HARMLESS = "Using fontTools instead of HarfBuzz-Subset"


class _Collect(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        if not record.getMessage().startswith(_HARMLESS):
            self.said.append(record.getMessage())


@contextlib.contextmanager
def _no_warnings(what: str) -> Iterator[None]:
    """Turn whatever the engine logs inside into an error: a silent hole in a handout is worse than none."""
    logger = logging.getLogger("weasyprint")
    collect = _Collect()
    before = (logger.level, logger.propagate)
    logger.addHandler(collect)
    logger.setLevel(logging.WARNING)
    logger.propagate = False
    try:
        yield
    finally:
        logger.removeHandler(collect)
        logger.setLevel(before[0])
        logger.propagate = before[1]
    if collect.said:
        raise BadContent(f"the PDF engine refused a part of {what}", found="; ".join(dict.fromkeys(collect.said)))


@contextlib.contextmanager
def _stamp(engine: _Engine) -> Iterator[None]:
    """Without HarfBuzz's subset library fonts are stamped with the time of day: give them a fixed one."""
    if engine.reproducible:
        yield
        return
    before = os.environ.get("SOURCE_DATE_EPOCH")
    os.environ["SOURCE_DATE_EPOCH"] = "0"
    try:
        yield
    finally:
        if before is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = before
