"""Lines, bands and words in points come in; one plain SVG drawing and the claims behind its figures go out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from handouts.charts import letters
from handouts.model.document import Claim
from handouts.model.numerals import typed_figures

INK, BLUE, DARK, TINT, GRID, WHITE = "#000000", "#1b3a5d", "#595959", "#d2d2d2", "#cccccc", "#ffffff"
SIZE = 9.0  # points; no word on paper is smaller
PT_PER_MM = 72.0 / 25.4
FONT = "Atkinson Hyperlegible"
ALT_LENGTH = (5, 150)
Role = Literal["form", "list", "note", "name"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Chart:
    """A finished chart: SVG text, a title, a description of 5 to 150 characters, a sentence to read below, claims."""

    id: str
    svg: str
    title: str
    alt: str
    caption: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True)
class Run:
    """A stretch of a label: plain words, a figure that is a claim, or a declared constant; `mark` is a basis mark."""

    text: str
    claim: Claim | None = None
    const: Role | None = None
    mark: bool = False


Label = str | Sequence[Run]


def runs_of(label: Label) -> tuple[Run, ...]:
    """Return a label as runs."""
    return (Run(label),) if isinstance(label, str) else tuple(label)


def declared(text: str, role: Role) -> tuple[Run, ...]:
    """Return a text that may hold figures of its own (a name) with these set apart as constants."""
    runs: list[Run] = []
    at = 0
    for figure in typed_figures(text):
        runs += [Run(text[at : figure.at]), Run(figure.text, const=role)]
        at = figure.at + len(figure.text)
    return tuple(run for run in (*runs, Run(text[at:])) if run.text)


def label_width(label: Label, size: float = SIZE, bold: bool = False) -> float:
    """Return the width of a label in points."""
    return sum(letters.width(run.text, size, bold and not run.mark) for run in runs_of(label))


def number(value: float) -> str:
    """Write a coordinate: two decimals at most, no trailing zeros, no minus zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Canvas:
    """Collects one drawing `width` points wide. The height is given when it is finished."""

    def __init__(self, name: str, width: float) -> None:
        self.name, self.width = name, width
        self.claims: dict[str, Claim] = {}
        self._parts: list[str] = []

    def open(self, part: str) -> None:
        """Begin a group named after the part of the chart it draws."""
        self._parts.append(f"<g id={quoteattr(f'{self.name}-{part}')}>")

    def close(self) -> None:
        """End the group."""
        self._parts.append("</g>")

    def path(
        self, data: str, *, fill: str = "none", stroke: str = "none", weight: float = 0.6, dash: str = "", cap: str = ""
    ) -> None:
        """Draw a path; an empty one is left out."""
        if not data:
            return
        more = f' stroke={quoteattr(stroke)} stroke-width="{number(weight)}"' if stroke != "none" else ""
        more += f' stroke-dasharray="{dash}"' if dash else ""
        more += f' stroke-linecap="{cap}"' if cap else ""
        self._parts.append(f'<path d="{data}" fill={quoteattr(fill)}{more}/>')

    def line(self, points: Iterable[tuple[float, float]], **kinds: str | float) -> None:
        """Draw a line through points; keywords as for `path`."""
        self.path(polyline(points), **{"stroke": INK, **kinds})  # type: ignore[arg-type]

    def rect(self, x: float, y: float, width: float, height: float, **kinds: str | float) -> None:
        """Draw a rectangle; keywords as for `path`."""
        corner = f"M{number(x)} {number(y)}H{number(x + width)}V{number(y + height)}H{number(x)}Z"
        self.path(corner, **kinds)  # type: ignore[arg-type]

    def text(
        self,
        x: float,
        y: float,
        label: Label,
        *,
        anchor: Anchor = "start",
        size: float = SIZE,
        bold: bool = False,
        italic: bool = False,
        fill: str = INK,
        plate: bool = False,
    ) -> float:
        """Write a label with its baseline at `y` and return its width; `plate` lays white paper under it.

        Raises ValueError for a figure that is neither a claim nor a declared constant.
        """
        runs = runs_of(label)
        width = label_width(runs, size, bold)
        left = x - {"start": 0.0, "middle": width / 2.0, "end": width}[anchor]
        if plate:
            self.rect(left - 2.0, y - 0.75 * size - 0.5, width + 4.0, size + 0.5, fill=WHITE)
        head = f'x="{number(left)}" y="{number(y)}" font-size="{number(size)}" fill={quoteattr(fill)}'
        head += ' font-weight="bold"' if bold else ""
        head += ' font-style="italic"' if italic else ""
        if len(runs) == 1:
            self._parts.append(f"<text {head}{self._role(runs[0])}>{escape(runs[0].text)}</text>")
        else:
            inside = "".join(self._span(run) for run in runs)
            self._parts.append(f"<text {head}>{inside}</text>")
        return width

    def _role(self, run: Run) -> str:
        """The attribute that says what a figure is, and the claim noted."""
        if run.claim is not None:
            known = self.claims.setdefault(run.claim.id, run.claim)
            if known.shown != run.text:
                raise ValueError(f"the claim {run.claim.id} shows {known.shown!r} and {run.text!r}")
            return f" data-fact={quoteattr(run.claim.id)}"
        if run.const is not None:
            return f' data-const="{run.const}"'
        if any(typed_figures(run.text)):
            raise ValueError(f"a figure without a claim in {run.text!r}")
        return ""

    def _span(self, run: Run) -> str:
        role = self._role(run)
        if run.mark:
            role += f' fill="{BLUE}" font-weight="normal" dy="-2"'
        if role:
            return f"<tspan{role}>{escape(run.text)}</tspan>"
        # A plain space at the seam of two runs would be dropped by some renderers.
        core = run.text.strip(" ")
        lead, tail = run.text[: len(run.text) - len(run.text.lstrip(" "))], run.text[len(run.text.rstrip(" ")) :]
        return escape("\u00a0" * len(lead) + core + "\u00a0" * len(tail))

    def finish(self, *, height: float, width_mm: float, title: str, alt: str, caption: str) -> Chart:
        """Return the chart. Raises ValueError for a description that is too short or too long, or holds figures."""
        if not ALT_LENGTH[0] <= len(alt) <= ALT_LENGTH[1]:
            raise ValueError(f"a description of {len(alt)} characters; expected {ALT_LENGTH[0]} to {ALT_LENGTH[1]}")
        for words in (title, alt, caption):
            if any(typed_figures(words)):
                raise ValueError(f"a figure without a claim in {words!r}")
        mm = width_mm / self.width
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{self.name}" width="{number(width_mm)}mm" '
            f'height="{number(height * mm)}mm" viewBox="0 0 {number(self.width)} {number(height)}" role="img" '
            f'aria-labelledby="{self.name}-title {self.name}-desc" font-family="{FONT}">'
        )
        names = f'<title id="{self.name}-title">{escape(title)}</title><desc id="{self.name}-desc">{escape(alt)}</desc>'
        return Chart(
            self.name,
            "\n".join((head, names, *self._parts, "</svg>\n")),
            title,
            alt,
            caption,
            tuple(self.claims.values()),
        )


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Return path data through points."""
    return "".join(f"{'L' if at else 'M'}{number(x)} {number(y)}" for at, (x, y) in enumerate(points))


def paper_width(width_mm: float, scale: float, least: float) -> float:
    """Return the drawing's width in points when its letters are drawn `scale` times as large.

    Raises ValueError when that leaves less than `least` points: the words would not fit.
    """
    width = width_mm * PT_PER_MM / scale if scale > 0 else 0.0
    if width < least:
        raise ValueError(
            f"{width_mm:g} mm at scale {scale:g} is too narrow; expected {least / PT_PER_MM:.0f} mm or more"
        )
    return width
