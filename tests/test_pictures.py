"""Drawings and faces in `templates/` go in; findings about safety, words, ink and characters come out."""

import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest
import yaml
from fontTools.ttLib import TTFont

TEMPLATES = Path(__file__).resolve().parent.parent / "templates"
PICTURES, FONTS = TEMPLATES / "pictures", TEMPLATES / "fonts"
LISTED: dict[str, dict[str, Any]] = yaml.safe_load((PICTURES / "pictures.yml").read_text("utf-8"))
FACES: list[dict[str, Any]] = yaml.safe_load((FONTS / "fonts.yml").read_text("utf-8"))["faces"]
FILES = sorted(PICTURES.glob("*.svg"))

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {"svg", "title", "desc", "g", "path", "circle", "ellipse", "rect", "text"}
INK, LINE_WIDTHS = {"#000", "#fff", "#d6d6d6", "none"}, {"0.6", "1.2"}
POINTS_PER_MM = 72 / 25.4
# The signs our texts use, and that every face must carry.
SIGNS = "–—−°½¼≤≥×\u00a0“”‘’…·"
REGULAR = {"400": "AtkinsonHyperlegible-Regular.ttf", "bold": "AtkinsonHyperlegible-Bold.ttf"}


def shapes(element: ET.Element, above: dict[str, str] | None = None) -> list[tuple[ET.Element, dict[str, str]]]:
    """Every element with the attributes it has or inherits."""
    own = {**(above or {}), **element.attrib}
    return [(element, own)] + [pair for child in element for pair in shapes(child, own)]


def findings(picture: str, text: str) -> list[str]:
    """What is wrong with one drawing; empty when nothing is."""
    root = ET.fromstring(text)
    tags = [e.tag.removeprefix(SVG) for e in root.iter()]
    found = [f"forbidden element {t}" for t in sorted(set(tags) - ALLOWED)]
    for e in root.iter():
        for name, value in e.attrib.items():
            if "href" in name or name.startswith("on") or name in ("style", "class") or "url(" in value:
                found.append(f"forbidden attribute {name}={value!r}")
    if tags[:3] != ["svg", "title", "desc"]:
        found.append("title and desc do not come first")
    else:
        found += [f"{e.tag.removeprefix(SVG)} has no words" for e in root[:2] if len((e.text or "").split()) < 3]
        if root.get("aria-labelledby") != f"{root[0].get('id')} {root[1].get('id')}":
            found.append("aria-labelledby does not name title and desc")
    if root.get("role") != "img":
        found.append("role is not img")
    ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
    found += [f"id {i} used twice" for i in sorted({i for i in ids if ids.count(i) > 1})]
    found += [f"id {i} lacks the file's prefix" for i in ids if not i.startswith(picture + "-")]
    for e in root.iter(SVG + "text"):
        words = "".join(e.itertext())
        if any(c.isdigit() for c in words):
            found.append(f"digit in {words!r}")
    for e, own in shapes(root):
        colors = {own.get("fill", "#000"), own.get("stroke", "none")}
        found += [f"color {c} is not ours" for c in sorted(colors - INK)]
        if e.tag in (SVG + "path", SVG + "circle", SVG + "rect", SVG + "ellipse") and own["stroke"] not in (
            "#fff",  # a white edge that keeps two shapes apart is no ink line
            "none",
        ):
            width = own.get("stroke-width")
            found += [] if width in LINE_WIDTHS else [f"line weight {width}"]
    return found


def box(root: ET.Element) -> tuple[float, float]:
    """Width and height of the drawing in its own units (points)."""
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    return width, height


def test_every_drawing_is_listed_and_every_entry_has_its_drawing() -> None:
    """The list and the folder name the same drawings."""
    assert {f.stem for f in FILES} == set(LISTED)
    assert LISTED


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_drawing_is_safe_titled_and_in_our_hand(file: Path) -> None:
    """No script, reference or stray color; title, description, prefixed ids, two line weights, no digits."""
    assert findings(file.stem, file.read_text("utf-8")) == []


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_drawing_prints_at_the_listed_width_in_points(file: Path) -> None:
    """One unit is one point, so that 0.6 and 1.2 are real line weights and no word is set below 9 pt."""
    root = ET.fromstring(file.read_text("utf-8"))
    width_mm = float(root.attrib["width"].removesuffix("mm"))
    height_mm = float(root.attrib["height"].removesuffix("mm"))
    assert width_mm == LISTED[file.stem]["width_mm"]
    assert box(root) == pytest.approx((width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM), abs=0.02)
    sizes = [float(own["font-size"]) for e, own in shapes(root) if e.tag == SVG + "text"]
    assert all(size >= 9 for size in sizes)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_words_stay_inside_the_drawing(file: Path) -> None:
    """Measured with the bundled face, no label runs over the edge."""
    root = ET.fromstring(file.read_text("utf-8"))
    width, height = box(root)
    faces = {weight: TTFont(FONTS / name) for weight, name in REGULAR.items()}
    for e, own in shapes(root):
        if e.tag != SVG + "text":
            continue
        face = faces[own.get("font-weight", "400")]
        cmap, advances = face.getBestCmap(), face["hmtx"]
        em = sum(advances[cmap[ord(c)]][0] for c in e.text or "") / face["head"].unitsPerEm
        run = em * float(own["font-size"])
        left = float(own["x"]) - {"start": 0.0, "middle": run / 2, "end": run}[own["text-anchor"]]
        assert left >= 0, e.text
        assert left + run <= width, e.text
        assert 0 < float(own["y"]) < height, e.text


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_characters_are_in_the_bundled_text_face(file: Path) -> None:
    """Nothing in a drawing, its title or its description needs a font from the reader's machine."""
    root = ET.fromstring(file.read_text("utf-8"))
    used = {c for e in root.iter() for c in (e.text or "") if not c.isspace()}
    for name in REGULAR.values():
        assert not {c for c in used if ord(c) not in TTFont(FONTS / name).getBestCmap()}


@pytest.mark.parametrize("picture", LISTED)
def test_list_says_in_words_what_the_picture_teaches(picture: str) -> None:
    """Each entry has a title, an alternative text (also the drawing's title), its lesson and a width."""
    entry = LISTED[picture]
    assert ET.parse(PICTURES / f"{picture}.svg").getroot()[0].text == entry["alt"]
    assert set(entry) == {"title", "alt", "teaches", "width_mm"}
    assert 5 <= len(entry["alt"]) <= 150
    assert entry["title"]
    assert entry["teaches"]
    assert not re.search(r"\d", entry["title"] + entry["alt"] + entry["teaches"])


def test_host_plant_leaves_carry_their_warning() -> None:
    """A picture of carrot-family leaves never stands without the words that it proves nothing."""
    root = ET.fromstring((PICTURES / "carrot-leaves.svg").read_text("utf-8"))
    warning = "No picture can prove a wild plant is safe. Use plants grown from labeled seed or named by an expert."
    assert warning in (root[1].text or "")
    assert warning in " ".join(e.text or "" for e in root.iter(SVG + "text"))


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        ("<script/>", "forbidden element script"),
        ("<image href='https://example.org/a.png'/>", "forbidden element image"),
        ("<use href='#bad-desc'/>", "forbidden attribute href='#bad-desc'"),
        ("<foreignObject/>", "forbidden element foreignObject"),
        ("<g fill='url(#bad-p)'/>", "forbidden attribute fill='url(#bad-p)'"),
        ("<g id='other'/>", "id other lacks the file's prefix"),
        ("<g id='bad-a'/><g id='bad-a'/>", "id bad-a used twice"),
        ("<text>in 3 days</text>", "digit in 'in 3 days'"),
        ("<path d='M0 0L1 1' stroke-width='5'/>", "line weight 5"),
        ("<g fill='#f00'/>", "color #f00 is not ours"),
    ],
)
def test_a_bad_drawing_is_found_out(inside: str, expected: str) -> None:
    """The checks above do fail when a drawing breaks a rule."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="bad-title bad-desc" stroke="#000">'
    named = '<title id="bad-title">One two three</title><desc id="bad-desc">One two three four</desc>'
    assert findings("bad", f"{head}{named}</svg>") == []
    assert expected in findings("bad", f"{head}{named}{inside}</svg>")


def test_faces_are_all_listed_small_and_licensed() -> None:
    """The list names every font file, each with its license text, and all together stay under a megabyte."""
    files = sorted(FONTS.glob("*.ttf"))
    assert sorted(face["file"] for face in FACES) == [f.name for f in files]
    assert sum(f.stat().st_size for f in files) < 1_000_000
    for face in FACES:
        assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / face["licence_file"]).read_text("utf-8")


@pytest.mark.parametrize("face", FACES, ids=lambda face: face["file"])
def test_face_is_what_the_list_says(face: dict[str, Any]) -> None:
    """Family, weight, slope, missing signs and static outlines agree with the file; no reserved name is used."""
    font = TTFont(FONTS / face["file"])
    names = font["name"]
    assert face["family"] in (names.getDebugName(16), names.getDebugName(1))
    assert font["OS/2"].usWeightClass == face["weight"]
    assert ("Italic" in names.getDebugName(4)) == (face["style"] == "italic")
    assert "fvar" not in font
    if face["changes"] != "none":
        assert not any("source" in (names.getDebugName(i) or "").lower() for i in (1, 3, 4, 6, 16))
    cmap = font.getBestCmap()
    assert not [s for s in SIGNS if ord(s) not in cmap]
    assert not [code for code in face["lacks"] if int(code[2:], 16) in cmap]
