"""Tags, blank or filled in, come in; the sheet to cut them from goes out: a small table each, and how to fill it in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from handouts.compose.composer import Composer
from handouts.compose.kinds.forms import Form
from handouts.model.document import Block, Document, Items, Para, Runs, Slot, Table, Text
from handouts.model.records import Plan

KIND = "date-tags"
# Large enough for a felt pen; fewer where the foot of the sheet is long.
ACROSS, DOWN, LEAST_DOWN = 2, 4, 3


@dataclass(frozen=True)
class Tag:
    """One tag: the species, what stands in which column (nothing: an open line), and a line of small print."""

    species: str
    cells: dict[str, Runs] = field(default_factory=dict)
    note: Runs = ()


def build(composer: Composer, plan: Plan) -> Document:
    """Compose a sheet of blank tags for the species it is made for."""
    species = composer.setting.species
    form = Form(composer, KIND)
    note = form.say("tag") if form.known("tag") else ()
    count = ACROSS * form.rows(DOWN, LEAST_DOWN)
    return sheet(form, form.species_title(), (form.lead,), [Tag(species, note=note)] * count, plan)


def sheet(
    form: Form, title: str, lead: Runs, tags: Sequence[Tag], plan: Plan | None, *, filled: bool = False
) -> Document:
    """Return the document of some tags; filled ones take as many sheets as they need."""
    composer = form.composer
    composer.subjects.update(dict.fromkeys(tag.species for tag in tags))
    body: list[Block] = []
    if not filled:
        body.append(Slot("how", (Items(form.lines("how"), role="how"),), form.for_place("how")))
        if not form.known("tag"):
            body.append(Para((form.text("no-summer"),), "small"))
    body.extend(_tag(form, tag) for tag in tags)
    return form.finished(title, lead, body, plan, many_sheets=filled)


def _tag(form: Form, tag: Tag) -> Slot:
    """A tag as a table whose rows are headed by what to write there."""
    name = form.composer.library.subject(tag.species).names.common
    blank: dict[str, Runs] = {} if tag.cells else {"open": (Text(form.words.boxes["until"]),)}
    cells = tag.cells or blank
    rows = tuple(((Text(label),), cells.get(column, ())) for column, label in form.words.columns.items())
    role = "tag filled" if tag.cells else "tag"
    table = Table(f"{name[:1].upper()}{name[1:]}", (), rows, role)
    return Slot("tag", (table, Para(tag.note, "small")) if tag.note else (table,))
