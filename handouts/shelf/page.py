"""The shelf's results in, the parts of a page out: figures as claims, sentences from the words file, cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any, Literal

from handouts import units
from handouts.compose.carriers import classes_named
from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.phrase import NBSP, Phrase, day_words, number, part_words, quantity
from handouts.compose.prose import plain, smarten
from handouts.compose.setting import Setting
from handouts.errors import BadContent
from handouts.model.document import Block, Claim, Const, ConstRole, Document, Figure, Items, Para, Run, Runs, Slot, Text
from handouts.model.season import Window
from handouts.shelf.outlook import Stage
from handouts.shelf.words import ShelfWords

Made = Callable[[], Runs]


class ShelfComposer(Composer):
    """A composer that also knows the values worked out on the page, by name; each is made when a text names it."""

    def __init__(self, setting: Setting, words: ShelfWords) -> None:
        super().__init__(setting)
        self.words = words
        self.values: dict[str, Made] = {}
        self.measured = "own-observation"

    def resolve(self, name: str) -> Runs:
        """Return the runs of a value of the page, else of a fact, window or place value. Raises BadContent."""
        if name in self.values:
            return self.values[name]()
        if name.split(".")[0] in ("out", "own", "log", "food", "stage", "species"):
            raise BadContent(f"the page has no value {name!r}", file=self.words.origin, expected=", ".join(self.values))
        return super().resolve(name)

    # -- sentences -------------------------------------------------------------------------------------------------

    def say(self, key: str) -> Runs:
        """Return a sentence of the words file as runs."""
        return self.inline(self.words.sentence(key), self.words.origin)

    def lines(self, key: str) -> tuple[Runs, ...]:
        """Return a list of the words file as runs."""
        return tuple(self.inline(line, self.words.origin) for line in self.words.lines(key))

    def slot(self, name: str, title: str, *blocks: Block) -> Slot:
        """Return a part of the page under a title of the words file or of the tool's own labels."""
        labels = self.words.labels
        return Slot(name, tuple(blocks), (Text(labels[title] if title in labels else self.library.say(title)),))

    # -- figures ---------------------------------------------------------------------------------------------------

    def own(self, name: str, shown: str, value: object, unit: str | None, detail: str = "") -> Figure:
        """Return a figure counted or measured by the club (or by the station of `measured`).

        Its basis is said once on the page, so it bears no mark.
        """
        claim = Claim(name, shown, value, unit, self.measured, label=name, detail=detail)
        return self.figure(claim, marked=False)

    def worked(
        self,
        name: str,
        shown: str,
        value: object,
        unit: str | None = None,
        *,
        parents: Iterable[str] = (),
        proxy: str | None = None,
        machine: str | None = None,
        tag: Literal["span", "time", "data"] = "span",
        marks: tuple[str, ...] = ("derived",),
        label: str = "",
        detail: str = "",
    ) -> Figure:
        """Return a figure worked out on the page from facts and the club's own days."""
        facts = tuple(item for item in parents if "#" not in item)
        references = tuple(item for item in parents if "#" in item)
        claim = Claim(
            name, shown, value, unit, "derived", references, facts, proxy=proxy, label=label or name, detail=detail
        )
        return self._note(claim, Phrase(shown, value, unit, machine, tag), marks)

    def given(self, name: str, shown: str, value: object) -> Figure:
        """Return a figure that the reader typed in."""
        return self.figure(Claim(name, shown, value, None, "given", label=name), marked=False)

    def whole(self, text: str, role: ConstRole = "note") -> Runs:
        """Return a text with its figures as one declared constant: a message about a file, a reading set aside."""
        text = smarten(text)
        self.constants[text] = None
        return (Const(role, text),)

    def stage(self, found: Stage) -> Runs:
        """Return how long a stage takes as a figure; a relative's value is named and marked as such."""
        runs = self.fact(found.fact, found.statement)
        if found.relative is None:
            return runs
        self.subjects[found.relative] = None
        first = runs[0]
        if not isinstance(first, Figure):
            return runs
        old = self.claims[first.claim]
        common = self.library.subject(found.relative).names.common
        claim = Claim(**{**asdict(old), "id": f"{old.id}|relative", "proxy": common})
        marks = (*first.marks, "proxy") if "proxy" not in first.marks else first.marks
        return (self._note(claim, Phrase(first.shown, old.value, old.unit), marks),)

    def days(self, window: Window, *, exact: bool = False, name: str = "") -> Runs:
        """Return a window as a figure with its year: single days when `exact`, else thirds of months."""
        if window.low is None or window.high is None:
            return (Text(window.note or self.words.label("not-here")),)
        low, high = window.low, window.high
        shown = span_days(low, high) if exact else span_parts(low, high)
        value = {"low": low.isoformat(), "high": high.isoformat()}
        marks = (window.basis,) if not window.proxy or window.basis == "proxy" else (window.basis, "proxy")
        figure = self.worked(
            name or f"out.{window.id}",
            shown,
            value,
            parents=window.inputs,
            proxy=window.proxy,
            machine=f"{value['low']}/{value['high']}",
            tag="data",
            marks=marks,
            label=window.label,
            detail=window.note,
        )
        region = self.region(window)
        return (figure, Text(f" ({self.words.label('going-by')} {region})")) if region else (figure,)

    def region(self, window: Window | None) -> str:
        """Return the region whose season a window was taken from, in words; nothing for a relative or for its own."""
        proxy = window.proxy if window is not None else None
        relatives = {subject.names.common for subject in self.library.subjects.values() if subject.kind == "species"}
        return "" if not proxy or set(proxy.split(", ")) & relatives else proxy

    # -- the whole page --------------------------------------------------------------------------------------------

    def page(self, kind: str, title: str, subtitle: Runs, body: Sequence[Block], cautions: Sequence[str]) -> Document:
        """Return the finished page: cautions that its words ask for, the key, the sources, the edition line."""
        # a source's title may name what carries a hazard too
        cited = " ".join(plain(runs) for runs in self.sources(brief="titles"))
        asked = [*cautions, *classes_named(self.library, cited)]
        slot = caution_slot(self, tuple(body), asked, length="short")
        return finish(
            self, kind=kind, topic=kind, title=title, subtitle=subtitle, body=tuple(body), cautions=slot, brief="titles"
        )


def items(lines: Iterable[Runs], *, ordered: bool = False, role: str = "body") -> Items:
    """Return a list."""
    return Items(tuple(lines), ordered, role)


def steps(composer: ShelfComposer, lines: Sequence[Runs]) -> Items:
    """Return numbered steps, their numbers declared."""
    for at in range(1, len(lines) + 1):
        composer.constants[str(at)] = None
    return Items(tuple(lines), ordered=True, role="steps")


def joined(parts: Sequence[Runs], between: str = ", ") -> Runs:
    """Return several runs in a row with words between them."""
    made: list[Run] = []
    for at, runs in enumerate(parts):
        if at:
            made.append(Text(between))
        made.extend(runs)
    return tuple(made)


def para(runs: Runs, role: str = "body") -> Para:
    """Return a paragraph."""
    return Para(runs, role)


def full_day(day: date) -> str:
    """Write "June 20, 2026"."""
    return f"{day_words(day)},{NBSP}{day.year}"


def span_days(low: date, high: date) -> str:
    """Write "from June 29 to July 8, 2026"."""
    if low == high:
        return f"about {full_day(low)}"
    start = day_words(low) if low.year == high.year else full_day(low)
    return f"from about {start} to {full_day(high)}"


def span_parts(low: date, high: date) -> str:
    """Write "from late May to mid June 2027"."""
    first, last = part_words(low), part_words(high)
    if (first, low.year) == (last, high.year):
        return f"in {first}{NBSP}{low.year}"
    start = first if low.year == high.year else f"{first}{NBSP}{low.year}"
    return f"from {start} to {last}{NBSP}{high.year}"


def temperature(value_f: float, system: str) -> str:
    """Write a temperature in °F for a US reader, in °C for others."""
    if system == "us":
        return quantity(round(value_f), round(value_f), "[degF]")
    celsius = units.rounded(units.convert(value_f, "[degF]", "Cel"), "Cel")
    return quantity(celsius, celsius, "Cel")


def difference(value_f: float, system: str) -> str:
    """Write a difference of temperatures."""
    if system == "us":
        return quantity(round(value_f), round(value_f), "[degF]{diff}")
    celsius = units.rounded(value_f * 5.0 / 9.0, "Cel{diff}")
    return quantity(celsius, celsius, "Cel{diff}")


def warmth(value_f: float, system: str) -> str:
    """Write degree-days."""
    shown = heat_shown(value_f, system)
    return quantity(shown, shown, "[degF].d" if system == "us" else "Cel.d")


def heat_shown(value_f: float, system: str) -> float:
    """Return degree-days as they are shown in a reader's system, from °F degree-days."""
    value = value_f if system == "us" else value_f * 5.0 / 9.0
    return round(value) if value >= 10 else round(value, 1)


def many(count: int, one: str, more: str) -> str:
    """Write "1 plant" or "12 plants"."""
    return f"{number(count)}{NBSP}{one if count == 1 else more}"


def claims_json(document: Document) -> list[dict[str, Any]]:
    """Return the page's claims with the field names of `kit.json`."""
    return [
        {
            "id": claim.id,
            "shown": claim.shown,
            "value": claim.value,
            "unit": claim.unit,
            "basis": claim.basis,
            "references": list(claim.references),
            "digest": claim.digest,
            "parents": list(claim.parents),
            "proxy": claim.proxy,
            "label": claim.label,
        }
        for claim in document.claims
    ]


def said(document: Document, slot: str) -> list[str]:
    """Return the words of one part of the page, a text for each paragraph or item."""
    found: list[str] = []
    for block in document.blocks:
        if isinstance(block, Slot) and block.name == slot:
            for inner in block.blocks:
                if isinstance(inner, Para):
                    found.append(plain(inner.runs))
                elif isinstance(inner, Items):
                    found.extend(plain(item) for item in inner.items)
    return [text.replace("\u00a0", " ") for text in found]
