"""SVG text in, what a reader sees out: figures, words, boxes of words and extents of paths, measured with the font."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from fontTools.ttLib import TTFont

from handouts.charts.svg import Chart

NS = "{http://www.w3.org/2000/svg}"
FONTS = Path(__file__).parents[2] / "templates" / "fonts"
ASCENT, DESCENT = 0.74, 0.24  # of the letters used, from the glyph boxes of the font


@dataclass(frozen=True)
class Box:
    """The box of one text, in the drawing's units."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes share more than a hair of paper."""
        hair = 0.4
        return (
            self.left + hair < other.right
            and other.left + hair < self.right
            and self.top + hair < other.bottom
            and other.top + hair < self.bottom
        )


@lru_cache(maxsize=2)
def advances(bold: bool) -> tuple[dict[int, str], dict[str, tuple[int, int]]]:
    """The character map and advance widths of a face of the bundled font."""
    face = TTFont(FONTS / f"AtkinsonHyperlegible-{'Bold' if bold else 'Regular'}.ttf")
    return face.getBestCmap(), face["hmtx"].metrics


def width(text: str, size: float, bold: bool) -> float:
    """The width of a text by the font file itself."""
    names, metrics = advances(bold)
    return sum(metrics[names[ord(letter)]][0] for letter in text) * size / 1000.0


def root(chart: Chart) -> Element:
    """The drawing as XML."""
    return ElementTree.fromstring(chart.svg)


def boxes(chart: Chart) -> list[Box]:
    """The boxes of all texts."""
    return [_box(text) for text in root(chart).iter(f"{NS}text")]


def _box(text: Element) -> Box:
    size, bold = float(text.attrib["font-size"]), text.get("font-weight") == "bold"
    left, base = float(text.attrib["x"]), float(text.attrib["y"])
    across, top = width(text.text or "", size, bold), base - ASCENT * size
    for run in text:
        across += width(run.text or "", size, bold and run.get("font-weight") != "normal")
        across += width(run.tail or "", size, bold)
        top = min(top, base - ASCENT * size + float(run.get("dy", "0")))
    return Box("".join(text.itertext()), left, top, left + across, base + DESCENT * size)


def view(chart: Chart) -> tuple[float, float]:
    """Width and height of the view box."""
    numbers = [float(part) for part in root(chart).attrib["viewBox"].split()]
    assert numbers[:2] == [0.0, 0.0]
    return numbers[2], numbers[3]


def figures(chart: Chart) -> list[tuple[str, str]]:
    """The claim ids that the drawing shows, each with its text."""
    return [
        (element.attrib["data-fact"], "".join(element.itertext()))
        for element in root(chart).iter()
        if "data-fact" in element.attrib
    ]


def loose_digits(chart: Chart) -> list[str]:
    """Texts with a digit that stand in no leaf marked as a claim or a constant."""
    loose = []
    for text in root(chart).iter(f"{NS}text"):
        marked = "data-fact" in text.attrib or "data-const" in text.attrib
        parts = [text.text or "", *(run.tail or "" for run in text)] if not marked else []
        parts += [run.text or "" for run in text if not {"data-fact", "data-const"} & set(run.attrib)]
        loose += [part for part in parts if re.search(r"\d", part)]
    return loose


def part(chart: Chart, name: str) -> Element:
    """The group of one part of a chart."""
    return next(group for group in root(chart).iter(f"{NS}g") if group.get("id") == f"{chart.id}-{name}")


def extent(path: Element) -> tuple[float, float]:
    """Least and greatest x of a path written with M, L, H and V in absolute numbers."""
    xs = [float(x) for x in re.findall(r"[MLH]\s*(-?[\d.]+)", path.attrib["d"])]
    return min(xs), max(xs)


def words(chart: Chart) -> str:
    """Everything the drawing says, with plain spaces."""
    return "\n".join("".join(text.itertext()) for text in root(chart).iter(f"{NS}text")).replace("\u00a0", " ")
