"""What the templates folder holds, and what is refused at its door."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from handouts.errors import BadContent, BadInput
from handouts.render.assets import Assets, contrast, load_assets
from handouts.render.svg import inline_svg, read_svg

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">'
HOSTILE = {
    "script": "<script>1</script>",
    "foreign object": "<foreignObject/>",
    "event": '<path onclick="x()"/>',
    "outside reference": '<use href="https://example.org/a.svg#b"/>',
    "old outside reference": '<use xlink:href="file:///etc/passwd#b"/>',
    "link": '<a href="https://example.org"><path/></a>',
    "image": '<image href="data:image/png;base64,AA"/>',
    "fetched paint": '<path fill="url(https://example.org/p#a)"/>',
    "hidden paint": '<path fill="u\\72l(https://example.org)"/>',
    "style": "<style>@import 'https://example.org';</style>",
    "style attribute": '<path style="fill:url(file:///x)"/>',
    "animation": '<path><animate attributeName="d"/></path>',
    "foreign element": '<p xmlns="http://www.w3.org/1999/xhtml">x</p>',
    "use in use": '<g id="a"><path/></g><g id="b"><use href="#a"/></g><use href="#b"/>',
    "use of itself": '<g id="a"><use href="#a"/></g>',
    "use of nothing": '<use href="#gone"/>',
    "use in a pattern": '<path id="a"/><pattern id="p"><use href="#a"/></pattern>',
    "paint in a pattern": '<pattern id="a"/><pattern id="p"><path fill="url(#a)"/></pattern>',
    "id twice": '<path id="a"/><path id="a"/>',
    "not closed": "<g>",
    "too deep": "<g>" * 40 + "</g>" * 40,
    "too many": "<path/>" * 5001,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_drawings_are_refused_in_one_sentence(name: str) -> None:
    """Anything that runs, fetches, repeats without end or is no drawing is refused, and the error names the drawing."""
    with pytest.raises(BadContent, match="the picture 'evil' is refused; found") as caught:
        read_svg(f"{OPEN}{HOSTILE[name]}</svg>", "evil")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        '<!DOCTYPE svg [<!ENTITY a "b">]>' + OPEN + "</svg>",
        '<?xml-stylesheet href="https://example.org/x.css"?>' + OPEN + "</svg>",
        OPEN + "<path/>" + "<!-- " + "x" * 210_000 + " --></svg>",
        "<html/>",
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 9"/>',
        '<svg xmlns="http://www.w3.org/2000/svg"/>',
    ],
    ids=["entity", "style sheet", "too large", "no drawing", "no width", "no view box"],
)
def test_files_that_are_no_small_drawing_are_refused(text: str) -> None:
    """Document types, entities, large files and drawings without a size are refused."""
    with pytest.raises(BadContent, match="the picture 'evil' is refused"):
        inline_svg(text, "evil", "t", "d", "p-", 50)


def test_a_plain_drawing_passes_and_is_named() -> None:
    """Shapes, groups, one level of use and words in the drawing come through, with new ids and new names."""
    shapes = '<g id="a"><path d="M0 0"/></g><use href="#a"/><text x="1">é &amp; <tspan>b</tspan></text>'
    text = f"{OPEN}<title>old</title>{shapes}</svg>"
    out = inline_svg(text, "plain", "A <title>", "What it shows", "p7-", 42.5)
    assert out.startswith('<svg xmlns="http://www.w3.org/2000/svg"')
    assert '<title id="p7-title">A &lt;title&gt;</title>' in out
    assert "old" not in out
    assert '<g id="p7-a"><path d="M0 0"/></g><use href="#p7-a"/>' in out
    assert '<text x="1">é &amp; <tspan>b</tspan></text>' in out
    assert 'width="42.5mm"' in out


def test_the_shipped_drawings_pass(assets: Assets) -> None:
    """Every drawing of the templates folder is safe and has a view box."""
    assert assets.pictures
    for name, text in assets.pictures.items():
        assert inline_svg(text, name, "t", "d", "p-", 80)


def test_a_hostile_file_in_the_folder_is_refused(tmp_path: Path) -> None:
    """The folder's drawings are looked through when they are first asked for."""
    (tmp_path / "layout").mkdir()
    (tmp_path / "pictures").mkdir()
    (tmp_path / "pictures" / "evil.svg").write_text(f"{OPEN}<script/></svg>")
    with pytest.raises(BadContent, match="'evil'"):
        _ = load_assets({}, root=tmp_path).pictures
    (tmp_path / "pictures" / "evil.svg").write_text("x" * 300_000)
    with pytest.raises(BadInput, match="too large"):
        _ = load_assets({}, root=tmp_path).pictures


def test_a_folder_without_layouts_is_refused(tmp_path: Path) -> None:
    """A broken installation is said in words."""
    with pytest.raises(BadContent, match="templates folder is missing"):
        load_assets({}, root=tmp_path)


def test_the_bundled_fonts_are_the_listed_ones(assets: Assets) -> None:
    """Two families, static faces, each a real font file."""
    assert {face.family for face in assets.faces} == {"Atkinson Hyperlegible", "Handouts Serif"}
    assert all(face.data[:4] == b"\x00\x01\x00\x00" for face in assets.faces)


def test_contrast_follows_the_published_examples() -> None:
    """Black on white is 21:1; #767676 is the first gray that passes 4.5:1 and #777777 fails (WCAG 2)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#0000ff", "#ffffff") == pytest.approx(8.592, abs=0.001)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") < 4.5


def test_our_colors_can_be_read(assets: Assets) -> None:
    """Words in ink and gray pass 4.5:1 on white, lines 3:1, black on the fills 4.5:1."""
    colors = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", assets.style("tokens")))
    assert contrast(colors["ink"], "#ffffff") >= 4.5
    assert contrast(colors["soft"], "#ffffff") >= 4.5
    assert contrast(colors["hair"], "#ffffff") >= 3
    assert contrast("#000000", colors["band"]) >= 4.5
    assert contrast("#000000", colors["tint"]) >= 4.5


@pytest.mark.parametrize(
    ("ink", "tint", "words"),
    [("#8fb4ff", None, "too pale"), ("blue", None, "not a color"), (None, "#202020", "too dark")],
)
def test_a_theme_that_cannot_be_read_is_refused(ink: str | None, tint: str | None, words: str) -> None:
    """A club's colors must keep words readable."""
    with pytest.raises(BadContent, match=words):
        load_assets({}, ink=ink, tint=tint)


def test_a_theme_reaches_the_styles() -> None:
    """A club's own ink replaces ours by one rule."""
    assert load_assets({}, ink="#5a1e1e").theme() == ":root { --ink: #5a1e1e; }\n"
    assert load_assets({}).theme() == ""
