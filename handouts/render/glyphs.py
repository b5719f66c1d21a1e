"""The bundled fonts and a page's HTML in, the characters out that no bundled font can draw."""

from __future__ import annotations

import io
from collections.abc import Iterable
from html.parser import HTMLParser

from handouts.errors import BadContent
from handouts.render.assets import Face

# Never drawn: line ends, and the soft hyphen and word joiner that only steer line breaks.
_UNDRAWN = frozenset("\n\r\t\u00ad\u2060")
_SILENT = frozenset({"style", "title", "desc", "script", "head"})


class Coverage:
    """What the bundled fonts can draw: characters that every face of at least one family has."""

    def __init__(self, faces: Iterable[Face]) -> None:
        from fontTools.ttLib import TTFont

        families: dict[str, set[int]] = {}
        for face in faces:
            with TTFont(io.BytesIO(face.data), lazy=True) as font:
                drawn = set(font.getBestCmap())
            families[face.family] = families[face.family] & drawn if face.family in families else drawn
        self._drawn = frozenset(chr(code) for code in set().union(*families.values())) | _UNDRAWN

    def missing(self, html: str) -> list[str]:
        """Return the characters of the page's visible text that no bundled family has in all its faces."""
        reader = _Visible()
        reader.feed(html)
        reader.close()
        return sorted(reader.seen - self._drawn)

    def demand(self, html: str, kind: str) -> None:
        """Raises BadContent that names the missing characters: a font from the machine would change the page."""
        missing = self.missing(html)
        if missing:
            raise BadContent(
                f"the {kind} uses characters the bundled fonts lack",
                found=", ".join(f"{character} (U+{ord(character):04X})" for character in missing[:12]),
                remedy="Write them in words or with a plainer sign.",
            )


class _Visible(HTMLParser):
    """Collects the characters of all text outside of elements that are not drawn."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.seen: set[str] = set()
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SILENT:
            self._silent += 1

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT and self._silent:
            self._silent -= 1

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.seen.update(data)
