"""Rules about the bones of a page: language, title, headings, names of pictures, tables, links, ids, Latin names."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handouts.inspect.carriers import spellings
from handouts.inspect.css import inlined
from handouts.inspect.page import Page, Trouble, plain
from handouts.inspect.trace import COVER
from handouts.inspect.tree import Node, Words, blocks

ALT_LEAST, ALT_MOST = 5, 150
MOST_LEVELS = 3
MOST_COLUMNS = 20
_LANGUAGE = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
_FILE_NAME = re.compile(r"\.(?:svg|png|jpe?g|gif|webp|pdf|html?)$|^(?:IMG|DSC)[_-]?\d+", re.IGNORECASE)
_EMPTY_LINKS = frozenset(
    (
        "here",
        "click here",
        "more",
        "read more",
        "learn more",
        "link",
        "this",
        "this page",
        "this link",
        "website",
        "pdf",
    )
)
_BARE = re.compile(r"(?:https?://|www\.)\S*", re.IGNORECASE)
_SCOPES = ("col", "row", "colgroup", "rowgroup")


def language(page: Page) -> Iterator[Trouble]:
    """The page says what language it is in."""
    for node in page.root.find("html"):
        if not _LANGUAGE.fullmatch(node.get("lang")):
            yield Trouble(f"lang={node.get('lang')!r}", "a language such as en", "Set lang on <html>.", line=node.line)


def title(page: Page) -> Iterator[Trouble]:
    """The page has a title of its own that is no file name."""
    titles = [node for node in page.root.find("title") if node.parent is not None and node.parent.tag == "head"]
    text = titles[0].text() if titles else ""
    if len(titles) != 1 or len(text) < 3 or _FILE_NAME.search(text):
        yield Trouble(
            f"{len(titles)} titles: {text!r}",
            "one title in words",
            "Give the page a title.",
            line=titles[0].line if titles else None,
        )


def headings(page: Page) -> Iterator[Trouble]:
    """One first heading, no level skipped, three levels at most, none empty."""
    found = [node for node in page.root.find("h1", "h2", "h3", "h4", "h5", "h6") if node.seen()]
    firsts = [node for node in found if node.tag == "h1"]
    if len(firsts) != 1:
        yield Trouble(
            f"{len(firsts)} first headings", "one <h1>", "Keep one title.", line=firsts[1].line if firsts else None
        )
    yield from heading_steps([(int(node.tag[1]), node.text(), node.line) for node in found])


def heading_steps(found: list[tuple[int, str, int | None]]) -> Iterator[Trouble]:
    """Look through headings as (level, text, line) in reading order."""
    last = 0
    for level, text, line in found:
        if level > last + 1:
            yield Trouble(
                f"level {level} after level {last}: {text!r}",
                f"level {last + 1} or above",
                "Use the next level.",
                key=text,
                line=line,
            )
        if level > MOST_LEVELS:
            yield Trouble(
                f"level {level}: {text!r}", f"at most {MOST_LEVELS} levels", "Flatten the text.", key=text, line=line
            )
        if not text:
            yield Trouble("an empty heading", "words", "Give it words, or take it out.", line=line)
        last = level


def alt_text(page: Page) -> Iterator[Trouble]:
    """Every picture says in words what it shows; a drawing by a title that is its first child."""
    for node in page.root.find("img", "svg"):
        if not node.seen():
            continue
        if node.tag == "img":
            if "alt" not in node.attrs:
                yield Trouble("an image without alt", "alt text", "Say what it shows.", line=node.line)
            else:
                yield from _alt(node.get("alt"), node)
        elif not any(up.tag == "svg" for up in node.up() if up is not node):
            inner = node.inner()
            if not inner or inner[0].tag != "title":
                yield Trouble(
                    "a drawing without a title", "<title> as its first child", "Name the drawing.", line=node.line
                )
            else:
                yield from _alt(inner[0].text(), node)


def _alt(text: str, node: Node) -> Iterator[Trouble]:
    text = plain(text)
    if not ALT_LEAST <= len(text) <= ALT_MOST or _FILE_NAME.search(text):
        yield Trouble(
            f"{text[:60]!r} ({len(text)} characters)",
            f"{ALT_LEAST} to {ALT_MOST} characters that say what it shows",
            "Write the text anew; decoration belongs in the styles.",
            key=text[:40],
            line=node.line,
        )


def table_headers(page: Page) -> Iterator[Trouble]:
    """A table has a caption, and header cells that say their direction and span nothing."""
    for table in page.root.find("table"):
        if not table.seen():
            continue
        inner = table.inner()
        if not inner or inner[0].tag != "caption" or not inner[0].text():
            yield Trouble("a table without a caption", "<caption> first", "Say what the table shows.", line=table.line)
        cells = list(table.find("th", "td"))
        if not any(cell.tag == "th" for cell in cells):
            yield Trouble("a table without header cells", "<th scope>", "Mark its header cells.", line=table.line)
        for cell in cells:
            across, down = _span(cell, "colspan"), _span(cell, "rowspan")
            if cell.tag == "th":
                if cell.get("scope") not in _SCOPES:
                    yield Trouble(
                        f"scope={cell.get('scope')!r}",
                        "scope of row or col",
                        "Say which cells it heads.",
                        key=cell.text()[:40],
                        line=cell.line,
                    )
                if across != 1 or down != 1:
                    yield Trouble(
                        "a header cell that spans others",
                        "one cell",
                        "Split it: a reader of the PDF loses the columns.",
                        key=cell.text()[:40],
                        line=cell.line,
                    )
                if not cell.text():
                    yield Trouble("an empty header cell", "words, or <td>", "Use <td> for a corner.", line=cell.line)
            elif not 1 <= across <= MOST_COLUMNS or not 1 <= down <= MOST_COLUMNS:
                yield Trouble(
                    f"a cell over {across} columns and {down} rows",
                    f"1 to {MOST_COLUMNS}",
                    "Split the cell.",
                    line=cell.line,
                )


def _span(cell: Node, name: str) -> int:
    text = cell.get(name, "1").strip()
    return int(text) if text.isdecimal() and len(text) < 9 else 0


def links(page: Page) -> Iterator[Trouble]:
    """A link is plain words that say where it goes: no bare address, no "here", no markup inside."""
    for node in page.root.find("a"):
        if "href" not in node.attrs:
            continue
        text = node.text()
        if node.inner():
            yield Trouble(
                f"<{node.inner()[0].tag}> inside a link",
                "plain text",
                "Put the markup around the link.",
                key=text[:40],
                line=node.line,
            )
        if not text or text.lower().strip(".: \u00bb\u2192") in _EMPTY_LINKS or _BARE.fullmatch(text):
            yield Trouble(
                f"the link text {text!r}",
                "words that say where it goes",
                "Name the page.",
                key=text[:40],
                line=node.line,
            )


def ids(page: Page) -> Iterator[Trouble]:
    """Ids stand once, and what points to an id finds it."""
    seen: dict[str, int] = {}
    for node in page.root.elements():
        if "id" in node.attrs:
            name = node.get("id")
            if not name or name in seen:
                where = f", first on line {seen[name]}" if name in seen else ""
                yield Trouble(f"id={name!r} again{where}", "each id once", "Rename one.", key=name, line=node.line)
            seen.setdefault(name, node.line)
    for node in page.root.elements():
        wanted = [
            name for key in ("aria-labelledby", "aria-describedby", "for", "headers") for name in node.get(key).split()
        ]
        if node.get("href").startswith("#") and len(node.get("href")) > 1:
            wanted.append(node.get("href")[1:])
        for name in wanted:
            if name not in seen:
                yield Trouble(
                    f"no element has the id {name!r}",
                    "an id of the page",
                    "Mend the reference.",
                    key=name,
                    line=node.line,
                )


def latin(page: Page) -> Iterator[Trouble]:
    """Scientific names are marked as Latin, so that they are read aloud and broken as Latin."""
    pattern = _latin_pattern(page)
    if pattern is None:
        return
    for run in blocks(page.root):
        text = "".join(COVER * len(words.data) if _no_latin_wanted(words) else words.data for words in run)
        for match in pattern.finditer(text):
            at = 0
            line = run[0].line
            for words in run:
                if at <= match.start():
                    line = words.line
                at += len(words.data)
            yield Trouble(
                plain(match.group()),
                'an element with lang="la"',
                "Mark the name as Latin.",
                key=plain(match.group()),
                line=line,
            )


def _latin_pattern(page: Page) -> re.Pattern[str] | None:
    names: set[str] = set()
    for subject in page.library.subjects.values():
        names.update(
            name
            for name in spellings(subject)
            if re.fullmatch(r"[A-Z](?:[a-z]+|\.) [a-z-]{3,}(?: [a-z. -]+)?", name)
            and (subject.names.scientific or "").split()[-1:] == name.split()[-1:]
        )
    if not names:
        return None
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    return re.compile(
        r"(?<!\w)(?:" + "|".join(r"\s+".join(map(re.escape, name.split())) for name in longest_first) + r")(?!\w)"
    )


def _no_latin_wanted(words: Words) -> bool:
    """Latin already, a figure whose text is fixed, or a source as its publisher wrote it."""
    return any(
        node.get("lang").startswith("la")
        or "data-fact" in node.attrs
        or "data-const" in node.attrs
        or node.get("data-slot") == "sources"
        for node in words.parent.up()
    )


_FETCHING = {
    "img": ("src", "srcset"), "source": ("src", "srcset"), "video": ("src", "poster"), "audio": ("src",),
    "image": ("href", "xlink:href"), "use": ("href", "xlink:href"), "link": ("href",), "input": ("src",),
}  # fmt: skip
_ODD_SCHEME = re.compile(r"\s*(?:javascript|vbscript|file|data):", re.IGNORECASE)
_ACTIVE = ("script", "iframe", "frame", "object", "embed", "applet", "base", "form", "portal")


def self_contained(page: Page) -> Iterator[Trouble]:
    """The page fetches nothing and runs nothing: no scripts, frames, outside styles, fonts or pictures."""
    for node in page.root.elements():
        if node.tag in _ACTIVE:
            yield Trouble(f"<{node.tag}>", "text, pictures and styles alone", "Take it out.", line=node.line)
        if node.tag == "meta" and node.get("http-equiv").lower() == "refresh":
            yield Trouble("a page that moves on by itself", "a page that stays", "Take it out.", line=node.line)
        for name, value in node.attrs.items():
            if name.startswith("on"):
                yield Trouble(f"{name}= on <{node.tag}>", "no scripts", "Take it out.", line=node.line)
            if name in _FETCHING.get(node.tag, ()) and not value.strip().lower().startswith(("data:", "#")):
                yield Trouble(
                    f"{name}={value[:60]!r}", "what stands in the page itself", "Put it into the page.", line=node.line
                )
            if node.tag == "a" and name == "href" and _ODD_SCHEME.match(value):
                yield Trouble(f"a link to {value[:40]!r}", "http, https, mailto or tel", "Take it out.", line=node.line)
    for rule in inlined(page.root):
        heads = [head for head in rule.selectors if head.lower().startswith("@import")]
        fetched = [
            target
            for _, value in rule.declarations
            for target in re.findall(r"url\(\s*[\"']?([^\"')]*)", value)
            if not target.lower().startswith(("data:", "#"))
        ]
        for what in (*heads, *fetched):
            yield Trouble(
                f"a style that fetches {what[:60]!r}",
                "styles in the page itself",
                "Put it into the page.",
                line=rule.line,
            )
