"""Colors as style sheets write them in, #rrggbb and WCAG contrast ratios out."""

from __future__ import annotations

import re
from collections.abc import Iterator

_COLOR = re.compile(r"#[0-9a-fA-F]{3,8}\b|rgba?\([^()]*\)|\b[a-z]+\b")
NAMED = {
    "black": "#000000", "white": "#ffffff", "gray": "#808080", "grey": "#808080", "silver": "#c0c0c0",
    "red": "#ff0000", "green": "#008000", "blue": "#0000ff", "navy": "#000080", "maroon": "#800000",
    "yellow": "#ffff00", "orange": "#ffa500", "purple": "#800080", "teal": "#008080", "olive": "#808000",
    "canvas": "#ffffff", "canvastext": "#000000",
}  # fmt: skip


def colors_in(value: str) -> Iterator[str]:
    """Yield the colors of a value as #rrggbb; transparent ones are left out."""
    for match in _COLOR.finditer(value.lower()):
        color = hex_of(match.group())
        if color:
            yield color


def hex_of(text: str) -> str:
    """Return a color as #rrggbb, or nothing for what is no color, or a color that lets the ground through."""
    text = text.strip().lower()
    if text in NAMED:
        return NAMED[text]
    if match := re.fullmatch(r"#([0-9a-f]{3,4})", text):
        return "#" + "".join(char * 2 for char in match.group(1)[:3]) if match.group(1)[3:] in ("", "f") else ""
    if match := re.fullmatch(r"#([0-9a-f]{6})(ff)?", text):
        return "#" + match.group(1)
    if match := re.fullmatch(r"rgba?\(([^()]*)\)", text):
        parts = [part for part in re.split(r"[\s,/]+", match.group(1).strip()) if part]
        if len(parts) < 3 or (len(parts) > 3 and parts[3] not in ("1", "1.0", "100%")):
            return ""
        try:
            levels = [
                round(float(part[:-1]) * 2.55) if part.endswith("%") else round(float(part)) for part in parts[:3]
            ]
        except ValueError:
            return ""
        return "#" + "".join(f"{min(255, max(0, level)):02x}" for level in levels)
    return ""


def luminance(color: str) -> float:
    """Return the relative luminance of #rrggbb (WCAG 2: 0.2126 R + 0.7152 G + 0.0722 B of the linear parts)."""
    parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two #rrggbb colors, 1 to 21 (WCAG 2)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)
