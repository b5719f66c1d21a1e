"""The rearing log and the winter log: groups of lines in, blank ones or those of a register; the sheet out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handouts.compose.composer import Composer
from handouts.compose.kinds.forms import Form, NoSheet, winters
from handouts.compose.prose import plain
from handouts.model.document import Blank, Block, Document, Items, Para, Runs, Slot, Styled, Table, Text
from handouts.model.records import Plan

# Open lines of a sheet; fewer where its foot is long.
REARING_LINES, WINTER_LINES = 10, 9
# Open lines below those of a register.
SPARE_LINES = 3
_TEMPERATURES = ("coldest", "warmest")
_UNITS = {"us": "°F", "metric": "°C"}


@dataclass(frozen=True)
class Group:
    """Lines that stand together: a species, and what stands in which column of each line."""

    species: str
    lines: tuple[dict[str, Runs], ...]


@dataclass(frozen=True)
class Box:
    """One winter place: how many wait there, and their numbers."""

    place: Runs
    count: Runs
    numbers: Runs


def build_rearing(composer: Composer, plan: Plan) -> Document:
    """Compose a blank rearing log for the species it is made for."""
    form = Form(composer, "rearing-log")
    return rearing(form, form.species_title(), (form.lead,), [Group(composer.setting.species, ())], plan)


def rearing(
    form: Form, title: str, lead: Runs, groups: Sequence[Group], plan: Plan | None, *, columns: Sequence[str] = ()
) -> Document:
    """Return the rearing log with all its columns or those named; with lines in it, it takes the sheets it needs."""
    filled = any(group.lines for group in groups)
    body: list[Block] = []
    for group in groups:
        form.composer.subjects[group.species] = None
        table = _lines(form, group, columns or [name for name in form.words.columns if name != "line"])
        how = form.notes("how", "how", group.species)
        if not form.lines("how", group.species):
            how = Slot("how", (Para((form.text("unknown"),)),), how.title)
        if len(groups) == 1:
            body.extend((how, table))
            continue
        name = form.composer.library.subject(group.species).names.common
        body.append(Slot("group", (*how.blocks, table), (Text(f"{name[:1].upper()}{name[1:]}"),)))
    return form.finished(title, lead, body, plan, many_sheets=filled)


def _lines(form: Form, group: Group, columns: Sequence[str]) -> Table:
    name = form.composer.library.subject(group.species).names.common
    rows = [
        (form.figure(str(at)), *(line.get(column, ()) for column in columns)) for at, line in enumerate(group.lines, 1)
    ]
    spare = SPARE_LINES if group.lines else form.rows(REARING_LINES)
    rows.extend(form.open_rows(spare, len(columns) + 1, len(rows) + 1))
    role = "form rearing filled" if group.lines else "form rearing"
    return Table(f"{form.words.title}: {name}", form.head("line", *columns), tuple(rows), role)


def build_winter(composer: Composer, plan: Plan) -> Document:
    """Compose a blank winter log. Raises NoSheet for a species that does not pass the winter as a chrysalis."""
    form, species = Form(composer, "winter-log"), composer.setting.species
    if not winters(composer, species):
        common = composer.library.subject(species).names.common
        raise NoSheet(f"there is no winter log for the {common}: it does not pass the winter as a chrysalis")
    return winter(form, form.species_title(), (form.lead,), [], plan)


def winter(form: Form, title: str, lead: Runs, boxes: Sequence[Box], plan: Plan | None) -> Document:
    """Return the winter log: a sheet for each winter place of a register, or a blank one."""
    form.composer.subjects[form.composer.setting.species] = None
    when = Slot("when", (Items(form.lines("when"), role="when"),), form.for_place("when"))
    body: list[Block] = [when, form.notes("look", "look")]
    if not boxes:
        return form.finished(title, lead, [*_blanks(form), *body, _checks(form, form.words.title)], plan)
    for at, box in enumerate(boxes):
        table = _checks(form, f"{form.words.title}: {plain(box.place)}")
        said = Para(_said(form, box), "box")
        body.extend((Slot("box", (said, table), (form.text("next"),)),) if at else (said, table))
    return form.finished(title, lead, body, plan, many_sheets=True)


def _said(form: Form, box: Box) -> Runs:
    """What a box holds: where it is kept, how many, their numbers."""
    kept, numbers = (Styled("strong", (Text(f"{form.words.boxes[name]}:"),)) for name in ("kept", "numbers"))
    return (kept, Text(" "), *box.place, Text(", "), *box.count, Text(". "), numbers, Text(" "), *box.numbers)


def _blanks(form: Form) -> list[Blank]:
    return [form.box(name) for name in ("kept", "count", "numbers")]


def _checks(form: Form, caption: str) -> Table:
    """The table of checks, temperatures in the reader's unit."""
    unit = _UNITS[form.composer.setting.system]
    columns = list(form.words.columns)
    head = tuple(
        f"{form.words.columns[name]}, {unit}" if name in _TEMPERATURES else form.words.columns[name] for name in columns
    )
    return Table(caption, head, form.open_rows(form.rows(WINTER_LINES), len(columns)), "form winter")
