"""Broken and hostile files are refused in one sentence; what is read is read right."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from handouts.errors import BadInput
from handouts.inspect import inspect_files
from handouts.inspect.colors import contrast, hex_of, luminance
from handouts.inspect.css import Cascade, matches, read_css, selector
from handouts.inspect.icsfile import read_ics
from handouts.inspect.kit import base_id, kit_of
from handouts.inspect.pdffile import PdfFile
from handouts.inspect.tree import blocks, parse_html
from tests.inspect import sheets

HERE = Path("page.html")


def _body(text):
    return parse_html(f"<html><body>{text}</body></html>", HERE)


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("a.html", "only words", "no HTML page"),
        ("a.html", b"\xff\xfe\x00<html>", "not UTF-8"),
        ("a.html", "<html><body>\x00</body></html>", "no text"),
        ("a.html", "<html><body><p>a<!-- never ends", "comment does not end"),
        ("a.html", "<html><body>" + "<a " * 50_000, "does not end or is broken"),
        ("a.html", "<html><body>" + "<!--" * 50_000, "comment does not end"),
        ("a.html", "<html><body>" + "<div>" * 50_000, "nested more than"),
        ("a.html", "<html><body>" + "<br>" * 150_000, "parts"),
        ("a.html", "<html><body><script>", "does not end"),
        ("a.html", "", "empty"),
        ("a.pdf", "words", "no PDF"),
        ("a.pdf", b"%PDF-1.7\n1 0 obj\n<<", "broken or cut short"),
        ("a.ics", "words", "does not parse"),
        ("a.ics", "SUMMARY:a\r\n", "no calendar"),
        ("a.ics", "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n", "cut short"),
        ("a.ics", "BEGIN:VCALENDAR\r\nEND:VEVENT\r\n", "not open"),
        ("a.docx", "words", "no format"),
    ],
)
def test_a_broken_file_is_refused_with_its_name(name, data, says, tmp_path):
    """What cannot be read is one BadInput that names the file, and takes no time."""
    started = time.monotonic()
    with pytest.raises(BadInput, match=says) as caught:
        sheets.inspected(tmp_path, name, data)
    assert caught.value.file == tmp_path / name
    assert time.monotonic() - started < 5


def test_a_truncated_pdf_is_refused(tmp_path):
    """A PDF cut off in the middle is not quietly mended."""
    whole = sheets.pdf()
    with pytest.raises(BadInput, match="broken or cut short"):
        sheets.inspected(tmp_path, "a.pdf", whole[: len(whole) // 2])


@pytest.mark.parametrize("name", ["a.html", "a.pdf", "a.txt", "a.ics"])
def test_a_file_of_fifty_megabytes_is_refused_unread(name, tmp_path):
    """A file over the limit is refused whatever it holds."""
    with (tmp_path / name).open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(BadInput, match="too large"):
        inspect_files([tmp_path / name], sheets.library())


def test_a_pdf_that_unpacks_to_too_much_is_refused(tmp_path):
    """A small stream that grows a thousandfold is found before anything draws it."""
    import pikepdf

    def bomb(opened):
        opened.pages[0].Contents = pikepdf.Stream(opened, b" " * 80_000_000)

    with pytest.raises(BadInput, match="unpacks to too much"):
        sheets.inspected(tmp_path, "a.pdf", sheets.changed(sheets.pdf(), bomb))


@pytest.mark.parametrize(
    "text",
    ["a" * 150_000, "a. " * 50_000, "1 " * 50_000, "x-\n" * 50_000, "{" * 150_000, "wash " * 30_000],
    ids=["one word", "short sentences", "figures", "broken words", "braces", "washing"],
)
@pytest.mark.parametrize("name", ["a-handout.txt", "a-handout.html"])
def test_a_long_dull_text_takes_no_long_time(name, text, tmp_path):
    """Texts made to slow a search down are looked through in seconds."""
    data = f"<html><body><p>{text}</p><style>{'/*' * 50_000}</style></body></html>" if name.endswith("html") else text
    started = time.monotonic()
    sheets.inspected(tmp_path, name, data)
    assert time.monotonic() - started < 15


def test_more_text_than_a_document_holds_is_refused(tmp_path):
    """A file of millions of words is not searched at all."""
    with pytest.raises(BadInput, match="too much text"):
        sheets.inspected(tmp_path, "a.txt", "word " * 300_000)


def test_a_missing_file_is_refused(tmp_path):
    """A file that is not there is named."""
    with pytest.raises(BadInput, match="missing"):
        inspect_files([tmp_path / "a.html"], sheets.library())


@pytest.mark.parametrize(
    ("data", "says"),
    [("{", "does not parse"), ("[]", "lists no documents"), ('{"documents": [{}]}', "names no file"),
     ('{"documents": [{"file": "a", "claims": {}}]}', "no list"), ("[" * 100_000, "nested too deeply"),
     ('{"documents": [{"file": "a", "claims": [{}]}]}', "no id")],
)  # fmt: skip
def test_a_broken_manifest_is_refused(data, says, tmp_path):
    """A manifest that does not fit is one BadInput."""
    (tmp_path / "kit.json").write_text(data, encoding="utf-8")
    with pytest.raises(BadInput, match=says):
        sheets.inspected(tmp_path, "a.txt", "words")


def test_a_manifest_is_read_by_file_name():
    """Claims, constants and pages of a file are found under its name, whatever folder it is listed in."""
    record = kit_of(sheets.kit("out/a.pdf", pages=2)).records["a.pdf"]
    assert record.pages == 2
    assert record.claims["sample-moth.pupa"].references == ("source#pupa",)
    assert base_id("a.b|low~2") == "a.b"


def test_the_tree_closes_what_html_leaves_open():
    """Paragraphs, items and cells end where the next one starts; a stray end tag is passed over."""
    tree = _body("<ul><li>one<li>two</ul><p>three<div>four</div></b>five")
    assert [node.text() for node in tree.find("li")] == ["one", "two"]
    assert [node.text() for node in tree.find("p")] == ["three"]
    assert next(tree.find("body")).text().endswith("fourfive")


def test_the_tree_keeps_lines_and_references():
    """Each element knows its line; character references are undone in text and attributes."""
    tree = _body('\n\n<p title="a &amp; b">3&nbsp;&lt;&nbsp;4</p>')
    (node,) = tree.find("p")
    assert (node.line, node.get("title"), node.text()) == (3, "a & b", "3 < 4")


def test_blocks_hold_the_shown_text_only():
    """Text is grouped by block; scripts, titles of drawings and hidden parts are not among it."""
    tree = _body(
        "<p>a <b>b</b></p><script>x</script><svg><title>t</title><text>c<tspan>d</tspan></text></svg>"
        '<p hidden>e</p><p style="display: none">f</p>g'
    )
    assert ["".join(words.data for words in run) for run in blocks(tree)] == ["a b", "cd", "g"]


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#ffffff", 21.00), ("#0000ff", "#ffffff", 8.59), ("#ff0000", "#0000ff", 2.15),
        ("#767676", "#ffffff", 4.54), ("#777777", "#ffffff", 4.48), ("#949494", "#ffffff", 3.03),
        ("#595959", "#ffffff", 7.00), ("#0072b2", "#ffffff", 5.19), ("#d55e00", "#ffffff", 3.87),
        ("#009e73", "#ffffff", 3.42), ("#cc79a7", "#ffffff", 3.06), ("#56b4e9", "#ffffff", 2.31),
        ("#e69f00", "#ffffff", 2.25), ("#f0e442", "#ffffff", 1.32), ("#0072b2", "#000000", 4.05),
        ("#d55e00", "#000000", 5.43), ("#009e73", "#000000", 6.14), ("#cc79a7", "#000000", 6.86),
        ("#56b4e9", "#000000", 9.10), ("#e69f00", "#000000", 9.32), ("#f0e442", "#000000", 15.88),
        ("#e69f00", "#56b4e9", 1.02), ("#009e73", "#cc79a7", 1.12), ("#009e73", "#d55e00", 1.13),
    ],
)  # fmt: skip
def test_contrast_ratios_are_those_of_wcag(one, other, ratio):
    """Published and recomputed pairs come out to two decimals, in either order."""
    assert round(contrast(one, other), 2) == pytest.approx(ratio, abs=0.0051)
    assert contrast(one, other) == contrast(other, one)


def test_luminance_to_all_digits():
    """The two values printed in the documentation of the palette library come out exactly."""
    assert luminance("#ff8100") == pytest.approx(0.36960513804637335, abs=1e-15)
    assert contrast("#ff8100", "#64003a") == pytest.approx(5.235369975583679, abs=1e-13)


@pytest.mark.parametrize(
    ("text", "color"),
    [("#abc", "#aabbcc"), ("#ABCDEF", "#abcdef"), ("rgb(255, 129, 0)", "#ff8100"), ("rgb(100% 0% 0%)", "#ff0000"),
     ("white", "#ffffff"), ("rgba(0,0,0,0.5)", ""), ("#00000080", ""), ("transparent", ""), ("bold", "")],
)  # fmt: skip
def test_colors_are_read_as_style_sheets_write_them(text, color):
    """Short, long, functional and named colors are read; what lets the ground through is no color."""
    assert hex_of(text) == color


def test_style_rules_keep_their_place_and_line():
    """Rules remember the at-rules around them and their line; comments and strings with braces do no harm."""
    rules = read_css(
        '/* { */ a { content: "}" }\n@media print { b, i { color: #000; } }\n@page { @top-left { content: "x" } }'
    )
    assert [(rule.selectors, rule.within, rule.line) for rule in rules] == [
        (("a",), (), 1),
        (("b", "i"), ("@media print",), 2),
        (("@top-left",), ("@page",), 3),
    ]


@pytest.mark.parametrize(
    ("text", "is_meant"),
    [("p", True), (".a", True), (".b", False), ("main p.a", True), ("main > p", False), ("div > p", True),
     ("[data-x]", True), ('[data-x="2"]', False), ("#i", True), ("p:hover", False), ("p::before", False),
     ("p:first-child", True), (":root p", True), ("*", True), ("section p", False), ("h1 + p", True)],
)  # fmt: skip
def test_selectors_mean_the_right_elements(text, is_meant):
    """The common kinds of selectors are understood; states and generated parts never match."""
    tree = _body('<main><div><p class="a c" id="i" data-x="1">x</p></div></main>')
    (node,) = tree.find("p")
    assert matches(node, selector(text)[0]) is is_meant


def test_the_cascade_follows_weight_order_and_inheritance():
    """The heavier rule wins, then the later one; color is inherited, custom properties are put in."""
    style = ":root { --ink: #111111 } p { color: #222222 } .a { color: var(--ink) } p { color: #333333 !important }"
    tree = _body('<p class="a">x</p><div class="a"><b>y</b></div>')
    colors = [styled.color for _, styled, _ in Cascade(read_css(style), "screen").texts(tree)]
    assert colors == ["#333333", "#111111"]


def test_calendar_lines_are_unfolded_and_unescaped():
    """A folded, escaped text is read as it was meant, with the line it starts on."""
    lines = b'BEGIN:VCALENDAR\r\nX-A;P="a;b":one\\, t\r\n wo\\nthree\r\nEND:VCALENDAR\r\n'
    (item,) = read_ics(lines, Path("a.ics")).root.properties
    assert (item.name, item.parameters, item.text, item.line) == ("X-A", {"P": "a;b"}, "one, two\nthree", 2)


def test_a_pdf_tells_its_words_tags_and_names():
    """Words, title, language, tags, alternative text and the PDF/UA part are read from the file."""
    opened = PdfFile(sheets.pdf(), Path("a.pdf"))
    assert (opened.count, opened.language, opened.title) == (2, "en", "Keep moths cold")
    assert opened.metadata == {"title": "Keep moths cold", "part": "1"}
    assert [tag.type for tag in opened.tags if tag.type.startswith("H")][:2] == ["H1", "H2"]
    assert [tag.alt for tag in opened.tags if tag.type == "Figure"] == ["A moth at rest"]
    assert "Keep it cold." in opened.pages[0]
