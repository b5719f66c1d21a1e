"""The markup contract of the HTML pages."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from handouts.errors import BadContent
from handouts.model.document import (
    Block,
    Const,
    Document,
    Figure,
    Heading,
    Link,
    Para,
    Picture,
    Slot,
    Styled,
    Text,
)
from handouts.render.assets import Assets, load_assets
from handouts.render.html import page, plain_markup, render_html
from tests.render import sample
from tests.render.conftest import Node, read
from tests.render.parts import MARKS, PAD, STRIP, chart

every_kind = pytest.mark.parametrize("document", sample.ALL, ids=lambda document: document.kind)


@every_kind
def test_every_figure_stands_in_its_element(document: Document, assets: Assets) -> None:
    """Text with a digit stands in a leaf with data-fact or data-const, and a fact's text is what the claim shows."""
    shown = {claim.id: claim.shown for claim in document.claims}
    body = read(render_html(document, assets)).all("body")[0]
    figures = 0

    def look(node: Node) -> None:
        nonlocal figures
        if node.tag in ("title", "desc"):
            return
        for part in node.inside:
            if isinstance(part, Node):
                look(part)
            elif re.search(r"\d", part):
                figures += 1
                assert "data-fact" in node.attrs or "data-const" in node.attrs, part
                assert node.inside == [part], "the element of a figure has no elements inside"
        if "data-fact" in node.attrs:
            assert node.text() == shown[node.attrs["data-fact"]]

    look(body)
    assert figures > 5


def test_dates_and_windows_carry_their_value_for_machines(assets: Assets) -> None:
    """An exact date is a time element, a window a data element with low/high."""
    top = read(render_html(sample.HANDOUT, assets))
    assert {node.attrs["datetime"] for node in top.all("time", data_fact="place.last-freeze")} == {"2027-05-06"}
    windows = top.all("data", data_fact="season.to-cold-by")
    assert {node.attrs["value"] for node in windows} == {"2027-10-04/2027-11-02"}


def test_a_time_without_its_value_is_refused(assets: Assets) -> None:
    """A window that lost its dates would be unreadable for machines."""
    broken = replace(sample.HANDOUT, blocks=(Para((Figure("x", "soon", (), None, "time"),)),))
    with pytest.raises(BadContent, match="no value for machines"):
        render_html(broken, assets)


def test_marks_follow_their_figure_and_say_their_words(assets: Assets) -> None:
    """A mark is a word of its own behind the figure, with its meaning as title; "not known" carries none."""
    top = read(render_html(sample.HANDOUT, assets))
    marks = top.all("sup", **{"class": "mark"})
    assert {(m.all("abbr")[0].text(), m.all("abbr")[0].attrs["title"]) for m in marks} == {
        MARKS[name] for name in ("published", "derived", "proxy", "common-practice", "own-observation")
    }
    for mark in marks:
        assert mark.text().startswith("\u00a0")
        assert mark.parent is not None
        before = mark.parent.inside[mark.parent.inside.index(mark) - 1]
        assert isinstance(before, Node)
        assert "data-fact" in before.attrs
    for node in top.all(data_fact="sample.second-winter"):
        assert node.parent is not None
        after = node.parent.inside[node.parent.inside.index(node) + 1]
        assert isinstance(after, str)


def test_a_basis_without_a_mark_is_refused() -> None:
    """A figure never appears without the mark its basis asks for."""
    poor = load_assets({"published": ("p", "published")})
    with pytest.raises(BadContent, match="no mark for the basis"):
        render_html(sample.HANDOUT, poor)


@every_kind
def test_the_frame_of_a_page_is_sound(document: Document, assets: Assets) -> None:
    """Language, title, one h1, no skipped heading level, unique ids, plain text in links."""
    top = read(render_html(document, assets))
    assert top.all("html")[0].attrs["lang"] == "en"
    assert top.all("title")[0].text() == document.title
    levels = [int(node.tag[1]) for node in top.all() if re.fullmatch(r"h[1-6]", node.tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    ids = [node.attrs["id"] for node in top.all(id=None)]
    assert len(ids) == len(set(ids))
    for link in top.all("a"):
        assert all(isinstance(part, str) for part in link.inside)


@every_kind
def test_tables_are_real_tables(document: Document, assets: Assets) -> None:
    """Each table has a caption, column heads with scope, a row head in each row, and no head that spans."""
    for table in read(render_html(document, assets)).all("table"):
        assert table.all("caption")[0].text()
        heads = table.all("thead")[0].all("th")
        assert heads
        assert all(head.attrs["scope"] == "col" for head in heads)
        assert not any("colspan" in head.attrs for head in table.all("th"))
        columns = len(table.all("thead")[0].all("tr")[0].all("th") + table.all("thead")[0].all("td"))
        for row in table.all("tbody")[0].all("tr"):
            cells = [part for part in row.inside if isinstance(part, Node)]
            assert cells[0].tag == "th"
            assert cells[0].attrs["scope"] == "row"
            assert sum(int(cell.attrs.get("colspan", "1")) for cell in cells) == columns


@every_kind
def test_drawings_are_named(document: Document, assets: Assets) -> None:
    """An inline SVG begins with its title, and title and description are what its aria attributes point to."""
    for svg in read(render_html(document, assets)).all("svg"):
        first = svg.inside[0]
        assert isinstance(first, Node)
        assert first.tag == "title"
        assert svg.attrs["aria-labelledby"] == first.attrs["id"]
        assert svg.all("desc")[0].attrs["id"] == svg.attrs["aria-describedby"]
        assert svg.all("desc")[0].text()


def test_pdf_readers_hear_the_description_too(assets: Assets) -> None:
    """The engine takes only the title as alternative text, so for it the description is part of the title."""
    titles = [node.text() for node in read(page(sample.HANDOUT, assets, spoken=True)).all("title")]
    assert any(PAD.alt in title for title in titles)


def test_the_same_drawing_twice_keeps_its_ids_apart(assets: Assets) -> None:
    """Patterns and ids of two drawings on one page do not mix."""
    twice = replace(sample.FAQ, blocks=(STRIP, STRIP))
    top = read(render_html(twice, assets))
    fills = [rect.attrs["fill"] for rect in top.all("rect") if rect.attrs["fill"].startswith("url")]
    assert len(set(fills)) == 2
    assert all(top.all(id=fill[5:-1]) for fill in fills)


def test_cautions_and_slots_can_be_found(assets: Assets) -> None:
    """Every caution stands once, with its class; every slot by its name."""
    top = read(render_html(sample.HANDOUT, assets))
    notices = top.all("div", role="note")
    assert [node.attrs["data-caution"] for node in notices] == list(sample.HANDOUT.cautions)
    slots = [node.attrs["data-slot"] for node in top.all("section")]
    assert sorted(slots) == ["cautions", "do-this", "key", "main-message", "not-known", "plan", "sources"]


def test_nothing_of_a_document_is_left_out(assets: Assets) -> None:
    """Arranging blocks on the sheet neither drops nor doubles one, whatever stands where."""
    words = [f"block number {name}" for name in "abcdefgh"]
    blocks = tuple(Para((Text(word),)) for word in words)
    for document in sample.ALL:
        html = render_html(replace(document, blocks=(*document.blocks[:2], *blocks, *document.blocks[2:])), assets)
        assert [html.count(f"{word}<") for word in words] == [1] * len(words)
        at = [html.index(word) for word in words]
        assert at == sorted(at)


@pytest.mark.parametrize("picture", [None, PAD, STRIP], ids=["no picture", "narrow", "wide"])
@pytest.mark.parametrize("prose", [(), (Heading(2, (Text("More"),)), Para((Text("Prose."),)))], ids=["bare", "prose"])
def test_every_part_of_a_handout_stands_once(picture: Picture | None, prose: tuple[Block, ...], assets: Assets) -> None:
    """Whatever a handout holds, each part, drawing and prose block is on one of its sides, and only once."""
    document = sample.crowded(picture)
    at = next(at for at, block in enumerate(document.blocks) if isinstance(block, Slot) and block.name == "plan") + 1
    html = render_html(replace(document, blocks=(*document.blocks[:at], *prose, *document.blocks[at:])), assets)
    top = read(html)
    slots = sorted(node.attrs["data-slot"] for node in top.all("section"))
    assert slots == ["cautions", "do-this", "key", "main-message", "not-known", "plan", "sources"]
    assert len(top.all("svg")) == (picture is not None)
    assert html.count("Prose.") == (1 if prose else 0)


def test_the_front_teaches_and_the_back_is_the_plan(assets: Assets) -> None:
    """Cautions stand beside the steps they belong to; plan, gaps and sources are on the back; statements come last."""
    top = read(render_html(sample.HANDOUT, assets))

    def slots(name: str) -> list[str]:
        return [node.attrs["data-slot"] for side in top.all(id=name) for node in side.all("section")]

    assert slots("front") == ["main-message", "do-this", "cautions"]
    assert slots("back") == ["plan", "not-known", "key", "sources"]
    statements = top.all("footer")[0].all("p")
    assert statements[0].attrs["class"] == "edition"
    assert "names none" in statements[1].text()


def test_the_parts_of_a_talk_have_their_places(assets: Assets) -> None:
    """Minutes stand in the margin, out of the title; say, show and do each in its own place with its heading."""
    part = read(render_html(sample.TALK, assets)).all("section", data_slot="part")[1]
    assert part.all("div", **{"class": "minutes"})[0].text() == "15\u00a0min"
    assert part.all("h2")[0].text() == "Where to keep it"
    for place in ("say", "show", "do"):
        (box,) = part.all("div", **{"class": place})
        assert box.all("h3")[0].text() == place.capitalize()
        assert box.all("li")


def test_neighbouring_cells_of_the_calendar_that_say_the_same_are_one(assets: Assets) -> None:
    """On the wall a stretch of months is one band; the row keeps all its columns."""
    top = read(render_html(sample.POSTER, assets))
    spans = [cell.attrs["colspan"] for cell in top.all("td", colspan=None)]
    assert "4" in spans
    assert not read(render_html(sample.HANDOUT, assets)).all("td", colspan=None)


@pytest.mark.parametrize(
    "url", ["javascript:alert(1)", "file:///etc/passwd", "data:text/html,x", "/here", "http://a b"]
)
def test_unsafe_links_are_refused(url: str, assets: Assets) -> None:
    """A link leads to the web, a mail box or a telephone, or the page is not made."""
    with pytest.raises(BadContent, match="link is not usable"):
        render_html(replace(sample.HANDOUT, blocks=(Para((Link("here", url),)),)), assets)


def test_words_cannot_become_markup(assets: Assets) -> None:
    """Text from content is text on the page, whatever signs it holds."""
    evil = '<script>alert("1")</script>&'
    document = replace(
        sample.HANDOUT,
        title=evil,
        subtitle=(Text(evil), Styled("em", (Text(evil),)), Const("name", evil)),
        blocks=(replace(PAD, title=evil, alt=evil, caption=(Text(evil),)),),
        edition_line=(Figure('"x', evil),),
    )
    html = render_html(document, assets)
    assert "<script" not in html
    assert read(html).all("h1")[0].text() == evil


def test_declared_constants_in_plain_strings_are_set_apart() -> None:
    """A token of a title that the document declares constant gets its element; others stay for the audit to find."""
    markup = plain_markup("Zone 6a (2023), 9 days", ("6a", "2023"))
    assert markup == ('Zone <span data-const="name">6a</span> (<span data-const="name">2023</span>), 9 days')


@every_kind
def test_the_file_stands_alone(document: Document, assets: Assets) -> None:
    """One style element, no script, nothing to fetch, the same bytes twice."""
    html = render_html(document, assets)
    assert html == render_html(document, assets)
    top = read(html)
    assert len(top.all("style")) == 1
    assert not top.all("script")
    assert not top.all("link")
    assert not top.all("img")
    style = top.all("style")[0].text()
    assert "url(" not in style
    assert "@import" not in style


def test_numbers_of_lists_are_said_by_the_page(assets: Assets) -> None:
    """Ordered lists show their own numbers as constants; the style sheets draw none."""
    top = read(render_html(sample.HANDOUT, assets))
    numbers = [node.text() for node in top.all("ol")[0].all("span", data_const="list")]
    assert numbers == ["1", "2", "3", "4", "5", "6"]
    for name, style in assets.styles.items():
        assert "counter(" not in style or name == "engine"
        assert not re.search(r"list-style[^;]*decimal", style)


def test_a_drawing_that_is_not_safe_stops_the_page(assets: Assets) -> None:
    """A club's drawing goes through the same gate as ours."""
    bad = Picture("mark", chart().replace("<defs>", "<script/><defs>"), "A mark", "A mark", ())
    with pytest.raises(BadContent, match="'mark' is refused"):
        render_html(replace(sample.HANDOUT, blocks=(bad,)), assets)
