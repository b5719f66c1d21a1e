"""The templates folder in, what the renderers need out: layouts, styles, fonts, pictures, the tool's small words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from handouts import paths
from handouts.errors import BadContent
from handouts.files import MIB, read_bytes, read_text
from handouts.model.forms import FORMS
from handouts.render.svg import SVG_LIMIT, read_svg
from handouts.yamltext import read_yaml

STYLE_LIMIT = 128 * 1024
FONT_LIMIT = 1 * MIB
LABELS = {
    "caution": "Caution",
    "turn-to": "Whom to ask",
    "page": "page",
    "of": "of",
    "picture": "Picture",
    "basis": "How this is known",
    "edition": "Edition",
    "no-note": "no note beside it",
    "large-print": "Large print",
}
PRINT_STYLES = {
    "handout-large-print": "print-large",
    "talk-notes": "print-notes",
    "video-notes": "print-notes",
    "poster": "print-poster",
    "claims": "print-claims",
    "bench-card": "print-card",
    "place-sheet": "print-place",
    "childrens-sheet": "print-children",
    **dict.fromkeys(FORMS, "print-forms"),
}
_HEX = re.compile(r"^#[0-9a-fA-F]{6}$")
TEXT_CONTRAST = 4.5


@dataclass(frozen=True)
class Face:
    """One font file and how style sheets call it."""

    file: str
    family: str
    weight: int
    style: str
    data: bytes = field(repr=False)


@dataclass
class Assets:
    """What stands in the templates folder, read when first asked for, and the words the caller hands in.

    `marks` gives for each basis its mark and its name in words; `labels` overrides the small words in `LABELS`;
    `ink` and `tint` are a club's own colors as #rrggbb (the ink must be readable on white).
    """

    root: Path
    marks: Mapping[str, tuple[str, str]]
    labels: Mapping[str, str] = field(default_factory=dict)
    ink: str | None = None
    tint: str | None = None

    def __post_init__(self) -> None:
        for name, value, least in (("ink", self.ink, TEXT_CONTRAST), ("tint", self.tint, None)):
            if value is None:
                continue
            if not _HEX.match(value):
                raise BadContent(f"the theme's {name} is not a color", found=value, expected="#rrggbb")
            if least and contrast(value, "#ffffff") < least:
                raise BadContent(
                    f"the theme's {name} is too pale to read on white",
                    found=f"contrast {contrast(value, '#ffffff'):.2f}",
                    expected=f"at least {least}",
                )
            # Black words stand on the tint.
            if least is None and contrast(value, "#000000") < TEXT_CONTRAST:
                raise BadContent(f"the theme's {name} is too dark under black words", found=value)

    def label(self, name: str) -> str:
        """Return one of the small words."""
        return self.labels.get(name, LABELS[name])

    def mark(self, name: str) -> tuple[str, str]:
        """Return the mark and the words of a basis. Raises BadContent when the words file lacks it."""
        try:
            return self.marks[name]
        except KeyError:
            raise BadContent(
                f"the words file has no mark for the basis {name!r}", expected=", ".join(sorted(self.marks))
            ) from None

    @cached_property
    def layouts(self) -> dict[str, str]:
        """The layout templates by file name."""
        return self._texts("layout", ".html")

    @cached_property
    def styles(self) -> dict[str, str]:
        """The style sheets by name, without ending."""
        return {name.removesuffix(".css"): text for name, text in self._texts("style", ".css").items()}

    @cached_property
    def pictures(self) -> dict[str, str]:
        """The drawings by id, each looked through and found safe."""
        found: dict[str, str] = {}
        for path in self._files("pictures", ".svg"):
            found[path.stem] = read_text(path, SVG_LIMIT, "picture")
            read_svg(found[path.stem], path.stem)
        return found

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """The bundled fonts in the order of `fonts.yml`."""
        folder = self.root / "fonts"
        listed = read_yaml(folder / "fonts.yml", what="list of fonts")
        made = []
        for entry in listed.get("faces") or []:
            name = str(entry["file"])
            if Path(name).name != name:
                raise BadContent("a font is named outside its folder", file=folder / "fonts.yml", found=name)
            data = read_bytes(folder / name, FONT_LIMIT, "font")
            made.append(Face(name, str(entry["family"]), int(entry["weight"]), str(entry["style"]), data))
        return tuple(made)

    def style(self, name: str) -> str:
        """Return one style sheet. Raises BadContent when the templates folder lacks it."""
        try:
            return self.styles[name]
        except KeyError:
            raise BadContent(f"the templates folder has no style {name!r}", file=self.root / "style") from None

    def theme(self) -> str:
        """Return the club's colors as style rules, or nothing."""
        chosen = [f"--{name}: {value};" for name, value in (("ink", self.ink), ("tint", self.tint)) if value]
        return f":root {{ {' '.join(chosen)} }}\n" if chosen else ""

    def _files(self, folder: str, ending: str) -> list[Path]:
        place = self.root / folder
        if not place.is_dir():
            return []
        return sorted(path for path in place.iterdir() if path.suffix == ending and path.is_file())

    def _texts(self, folder: str, ending: str) -> dict[str, str]:
        return {path.name: read_text(path, STYLE_LIMIT, "template") for path in self._files(folder, ending)}


def load_assets(
    marks: Mapping[str, tuple[str, str]],
    labels: Mapping[str, str] | None = None,
    ink: str | None = None,
    tint: str | None = None,
    root: Path | None = None,
) -> Assets:
    """Return the assets of the templates folder `root` (the shipped one by default). Raises BadContent, BadInput."""
    folder = root or paths.templates_dir()
    if not (folder / "layout").is_dir():
        raise BadContent("the templates folder is missing", file=folder, remedy="Install the package again.")
    return Assets(folder, dict(marks), dict(labels or {}), ink, tint)


def print_style(kind: str) -> str:
    """Return the name of the print style of a document kind."""
    return PRINT_STYLES.get(kind, "print-handout")


def luminance(color: str) -> float:
    """Return the relative luminance of #rrggbb (WCAG 2 definition)."""
    linear = []
    for at in (1, 3, 5):
        part = int(color[at : at + 2], 16) / 255
        linear.append(part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4)
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two #rrggbb colors (WCAG 2 definition)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)
