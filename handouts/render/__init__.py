"""A Document in, the bytes of a file out: the table of formats and the one door to them.

A renderer sees only a `Document` and the `Assets`. To add a format, write a module here and add a line to `FORMATS`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from handouts.errors import BadInput
from handouts.model.document import Document
from handouts.model.forms import MANY_SHEETS
from handouts.render.assets import Assets, load_assets
from handouts.render.html import page, render_html
from handouts.render.ics import render_ics
from handouts.render.pdf import render_pdf
from handouts.render.text import render_text

__all__ = ["FORMATS", "Assets", "Rendered", "load_assets", "render"]


@dataclass(frozen=True)
class Rendered:
    """A finished file: its bytes, and its number of pages where it has pages."""

    data: bytes
    pages: int | None = None


def _pdf(document: Document, assets: Assets) -> Rendered:
    html = page(document, assets, spoken=True)
    identifier = document.edition or hashlib.sha256(html.encode()).hexdigest()[:16]
    free = MANY_SHEETS in document.extra
    data, pages = render_pdf(html, document.kind, document.paper, assets, identifier, free=free)
    return Rendered(data, pages)


def _html(document: Document, assets: Assets) -> Rendered:
    return Rendered(render_html(document, assets).encode())


def _text(document: Document, assets: Assets) -> Rendered:
    return Rendered(render_text(document, assets).encode())


def _ics(document: Document, assets: Assets) -> Rendered:
    return Rendered(render_ics(document, assets))


FORMATS: dict[str, Callable[[Document, Assets], Rendered]] = {
    ".pdf": _pdf,
    ".html": _html,
    ".txt": _text,
    ".ics": _ics,
}


def render(document: Document, suffix: str, assets: Assets) -> Rendered:
    """Return the document in the format of a file ending (".pdf"). Raises BadInput for an unknown ending."""
    try:
        maker = FORMATS[suffix.lower()]
    except KeyError:
        raise BadInput("the file's ending names no format", found=suffix, expected=", ".join(FORMATS)) from None
    return maker(document, assets)
