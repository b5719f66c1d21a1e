"""A Document in, one self-contained HTML page out, with every figure in the element the markup contract asks for."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from urllib.parse import urlsplit

from jinja2 import DictLoader, StrictUndefined, TemplateError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from handouts.errors import BadContent
from handouts.model.document import (
    Blank,
    Const,
    Document,
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
from handouts.model.forms import FORMS
from handouts.render import arrange, twosides
from handouts.render.assets import Assets, print_style
from handouts.render.fit import FOR_BROWSERS, FORMS_FOR_BROWSERS
from handouts.render.sheets import live, page_rule
from handouts.render.svg import inline_svg

NBSP = "\u00a0"
LAYOUTS = (
    "handout", "handout-large-print", "talk-notes", "faq-sheet", "poster", "claims", "bench-card", "childrens-sheet",
    "video-notes", "date-tags",
)  # fmt: skip
_SCHEMES = ("http", "https", "mailto", "tel")
_TOKEN = re.compile(r"\S*\d\S*")
_STYLED = {"strong": ("<strong>", "</strong>"), "em": ("<em>", "</em>"), "latin": ('<i lang="la">', "</i>")}


def render_html(document: Document, assets: Assets) -> str:
    """Return the page as HTML text; its styles for screen and paper stand in one `<style>`.

    Raises BadContent when the document holds what a page cannot show (an unknown mark, an unsafe link or drawing).
    """
    text = page(document, assets, _inline_style(document, assets))
    steps = FORMS_FOR_BROWSERS if document.kind in FORMS else FOR_BROWSERS
    return text.replace("<html ", f"<html {steps} ", 1)


def page(document: Document, assets: Assets, style: str = "", spoken: bool = False) -> str:
    """Return the page with `style` inlined; `spoken` puts a drawing's description into its title for PDF readers, and
    marks the ends of a handout's columns, which the PDF engine measures.
    """
    other = "form.html" if document.kind in FORMS else "base.html"
    name = f"{document.kind}.html" if document.kind in LAYOUTS else other
    environment = _environment(tuple(assets.layouts.items()))
    try:
        return environment.get_template(name).render(
            document=document,
            show=Show(document, assets, spoken),
            arrange=arrange,
            twosides=twosides,
            style=Markup(style),
            revised=document.revised if spoken else "",
            measured=spoken,
        )
    except TemplateError as error:
        raise BadContent("a layout template does not work", file=name, found=str(error)) from error


@lru_cache(maxsize=2)
def _environment(layouts: tuple[tuple[str, str], ...]) -> ImmutableSandboxedEnvironment:
    environment = ImmutableSandboxedEnvironment(
        loader=DictLoader(dict(layouts)),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    kinds = (Heading, Para, Items, Table, Picture, Notice, Slot, Blank)
    environment.tests.update({kind.__name__.lower(): _is_a(kind) for kind in kinds})
    return environment


def _is_a(kind: type) -> Callable[[object], bool]:
    return lambda value: isinstance(value, kind)


class Show:
    """What the layout templates call to put one document's words, figures and drawings on the page."""

    def __init__(self, document: Document, assets: Assets, spoken: bool) -> None:
        self._document = document
        self._assets = assets
        self._spoken = spoken
        self._drawn = 0

    def runs(self, runs: Runs) -> Markup:
        """Runs as markup."""
        return runs_markup(runs, self._assets)

    def plain(self, text: str) -> Markup:
        """A plain string as markup, declared constants set apart."""
        return plain_markup(text, self._document.constants)

    def drawing(self, picture: Picture, largest: bool = False) -> Markup:
        """A drawing as inline SVG, taken apart and written again from allowed elements only; `largest` makes it as wide
        as the sheet, and one that is that wide already as wide as the sheet is long.
        """
        self._drawn += 1
        title = f"{picture.title.rstrip('.')}. {picture.alt}" if self._spoken else picture.title
        prefix = f"p{self._drawn}-"
        width = picture.width_mm
        if largest:
            across, along = live(self._document.kind, self._document.paper)
            width = along if twosides.width(picture) == "wide" else across
        return Markup(inline_svg(picture.svg, picture.id, title, picture.alt, prefix, width))

    def label(self, name: str) -> str:
        """One of the tool's small words."""
        return self._assets.label(name)


def runs_markup(runs: Runs, assets: Assets) -> Markup:
    """Return runs as markup; each figure is a leaf element whose text is exactly what the claim shows."""
    parts: list[str] = []
    for run in runs:
        match run:
            case Text(text):
                parts.append(_escaped(text))
            case Figure():
                parts.append(_figure(run) + _marks(run, assets))
            case Const(role, text):
                parts.append(f'<span data-const="{_escaped(role)}">{_escaped(text)}</span>')
            case Styled(style, inner):
                before, after = _STYLED[style]
                parts.append(f"{before}{runs_markup(inner, assets)}{after}")
            case Link(text, url):
                parts.append(f'<a href="{_escaped(safe_url(url))}">{_escaped(text)}</a>')
    return Markup("".join(parts))


def _figure(figure: Figure) -> str:
    name, shown = _escaped(figure.claim), _escaped(figure.shown)
    if figure.tag == "span":
        return f'<span data-fact="{name}">{shown}</span>'
    if not figure.machine:
        raise BadContent(f"the figure {figure.claim!r} has no value for machines", expected="an ISO date or low/high")
    attribute = "datetime" if figure.tag == "time" else "value"
    return f'<{figure.tag} {attribute}="{_escaped(figure.machine)}" data-fact="{name}">{shown}</{figure.tag}>'


def _marks(figure: Figure, assets: Assets) -> str:
    """The marks stand behind a no-break space, so that they are a word of their own when read aloud or copied."""
    shown = [assets.mark(name) for name in figure.marks]
    letters = "".join(f'<abbr title="{_escaped(words)}">{_escaped(glyph)}</abbr>' for glyph, words in shown if glyph)
    return f'<sup class="mark">{NBSP}{letters}</sup>' if letters else ""


def plain_markup(text: str, constants: tuple[str, ...]) -> Markup:
    """Return a plain string as markup; a token with a digit that the document declares constant is set apart."""
    parts: list[str] = []
    at = 0
    for match in _TOKEN.finditer(text):
        token = match.group().strip(".,;:()")
        if token not in constants:
            continue
        start = match.start() + match.group().index(token)
        parts += [_escaped(text[at:start]), f'<span data-const="name">{_escaped(token)}</span>']
        at = start + len(token)
    return Markup("".join((*parts, _escaped(text[at:]))))


def safe_url(url: str) -> str:
    """Return `url` when a public page may link to it. Raises BadContent."""
    try:
        scheme = urlsplit(url).scheme.lower()
    except ValueError:
        scheme = ""
    if scheme not in _SCHEMES or not url.isprintable() or " " in url:
        raise BadContent("a link is not usable", found=url, expected="http, https, mailto or tel")
    return url


def _escaped(text: str) -> str:
    return str(Markup.escape(text))


def _inline_style(document: Document, assets: Assets) -> str:
    """The styles of the file: one look for screens, the paper's look for a browser's print command."""
    printed = assets.style("print-base") + assets.style(print_style(document.kind))
    return (
        f"\n{assets.style('tokens')}{assets.theme()}"
        f"@media screen {{\n{assets.style('screen')}}}\n"
        f"@media print {{\n{page_rule(document.kind, document.paper)}{printed}}}\n"
    )
