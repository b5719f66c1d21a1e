"""A form's words in, the parts of its sheet out: sentences, open rows to write in, boxes, the finished Document."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from handouts.compose import prose
from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.errors import BadContent, BadInput
from handouts.model.document import Blank, Block, Const, Document, Items, Runs, Slot, Text
from handouts.model.forms import MANY_SHEETS
from handouts.model.records import Plan

_OF_SPECIES = "{species."
_UNSAID = ("memory", "not-known")


class NoSheet(BadInput):
    """A document that this topic, species or place gives nothing for; a kit goes on without it."""


class Form:
    """One sheet while it is put together: the composer, the kind and its words.

    Raises BadContent when the words file lacks the kind.
    """

    def __init__(self, composer: Composer, kind: str) -> None:
        words = composer.library.all_words().forms.get(kind)
        if words is None:
            raise BadContent(f"the words file has no form {kind!r}", file=composer.library.root / "words" / "en.yml")
        self.composer, self.kind, self.words = composer, kind, words

    @property
    def lead(self) -> Text:
        """The sentence under the title."""
        return Text(prose.smarten(self.words.lead))

    # -- words -----------------------------------------------------------------------------------------------------

    def say(self, name: str, **given: str) -> Runs:
        """Return a sentence of the form as runs; `given` puts other names in braces for its own."""
        return self._inline(self._filled(self._text(name), given, self.composer.setting.species))

    def lines(self, name: str, species: str | None = None) -> tuple[Runs, ...]:
        """Return a list of the form as runs, without the lines whose fact is not known for the species."""
        kind = species or self.composer.setting.species
        texts = (self._filled(text, {}, kind) for text in self.words.lists.get(name, []))
        return tuple(self._inline(text) for text in texts if self._known(text, kind))

    def figures(self, name: str, **given: str) -> Runs:
        """Return a sentence whose names in braces stand for figures of the form."""
        return prose.inline(self._text(name), lambda key: self.figure(given[key]))

    def text(self, name: str) -> Text:
        """Return a sentence without names as plain words."""
        return Text(prose.smarten(self._text(name)))

    def known(self, name: str, species: str | None = None) -> bool:
        """Whether all figures of a sentence are known for the species."""
        kind = species or self.composer.setting.species
        return self._known(self._filled(self._text(name), {}, kind), kind)

    def of_species(self, name: str, species: str) -> Runs:
        """Return a sentence about a species as runs."""
        return self._inline(self._filled(self._text(name), {}, species))

    def _text(self, name: str) -> str:
        if name not in self.words.says:
            raise BadContent(f"the form {self.kind} has no sentence {name!r}", file=self.words.origin)
        return self.words.says[name]

    def _filled(self, text: str, given: dict[str, str], species: str) -> str:
        for name, value in given.items():
            text = text.replace(f"{{{name}}}", value)
        return text.replace(_OF_SPECIES, f"{{{species}.")

    def _inline(self, text: str) -> Runs:
        return self.composer.inline(text, self.words.origin, self.words.line)

    def _known(self, text: str, species: str) -> bool:
        """Whether the facts and windows that a text names exist for the species."""
        setting, facts = self.composer.setting, self.composer.library.facts
        for name in prose.NAME.findall(text):
            path = name.partition("|")[0]
            if path.startswith("season."):
                window = setting.season_of(species, setting.year).window(path.removeprefix("season."))
                if window is not None and window.absent:
                    return False
            elif path.startswith(f"{species}.") and (path not in facts or facts[path].preferred.basis.kind in _UNSAID):
                return False
        return True

    def for_place(self, name: str) -> Runs:
        """Return a sentence without its stop and the place's name behind it (which is no claim; the edition line says
        what is known of the place).
        """
        place = self.composer.setting.profile.name
        if not place:
            return (self.text(name),)
        between = Text(f" {self.composer.library.say('for-place')} ")
        return (self.text(name), between, *self.composer.const(place, "name"))

    # -- boxes and rows --------------------------------------------------------------------------------------------

    def box(self, name: str) -> Blank:
        """Return a box to write in, with its label."""
        return Blank(self.words.boxes[name])

    def head(self, *names: str) -> tuple[str, ...]:
        """Return the heads of some columns."""
        return tuple(self.words.columns[name] for name in names)

    def figure(self, text: str) -> Runs:
        """Return a figure that belongs to the form: the number of a line, a mark to circle."""
        self.composer.constants[text] = None
        return (Const("form", text),)

    def open_rows(self, count: int, across: int, first: int = 1) -> tuple[tuple[Runs, ...], ...]:
        """Return `count` lines to write in, numbered from `first`, with `across` columns."""
        return tuple((*[self.figure(str(at))], *[()] * (across - 1)) for at in range(first, first + count))

    def rows(self, most: int, least: int = 6) -> int:
        """Return how many lines to print: fewer where the sheet has no room for all."""
        return max(least, round(most * self.composer.setting.strip))

    def notes(self, name: str, title: str, species: str | None = None) -> Slot:
        """Return a list of the form under a title."""
        return Slot(name, (Items(self.lines(name, species), role=name),), (self.text(title),))

    # -- the sheet -------------------------------------------------------------------------------------------------

    def species_title(self, species: str | None = None) -> str:
        """Return the form's title with the species it is for."""
        subject = self.composer.library.subject(species or self.composer.setting.species)
        return f"{self.words.title}: {subject.names.common}"

    def finished(
        self, title: str, lead: Runs, body: Iterable[Block], plan: Plan | None, *, many_sheets: bool = False
    ) -> Document:
        """Return the finished form: cautions where it states facts, key, sources, edition line, its statements."""
        blocks = tuple(body)
        cautions = None
        if self.words.cautions is not None:
            cautions = caution_slot(self.composer, blocks, self.words.cautions, length="short", brief="names")
        made = finish(
            self.composer,
            kind=self.kind,
            topic=plan.id if plan is not None else self.kind,
            title=title,
            subtitle=lead,
            body=blocks,
            cautions=cautions,
            plan=plan,
            statements=self.words.statements,
            brief="names",
        )
        return replace(made, extra={**made.extra, MANY_SHEETS: "yes"}) if many_sheets else made


def winters(composer: Composer, species: str) -> bool:
    """Whether a species passes the winter as a chrysalis."""
    setting = composer.setting
    window = setting.season_of(species, setting.year).window("overwinter-from")
    return window is None or not window.absent
