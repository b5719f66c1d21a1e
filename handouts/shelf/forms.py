"""A register in, forms filled in from it out: date tags to cut out, the rearing log, a winter log for each place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from handouts.compose.kinds import form_logs, form_tags
from handouts.compose.kinds.form_logs import Box, Group
from handouts.compose.kinds.form_tags import Tag
from handouts.compose.kinds.forms import Form
from handouts.compose.phrase import System
from handouts.errors import BadInput
from handouts.model.document import Document, Run, Runs, Text
from handouts.model.season import Window
from handouts.season import yearday
from handouts.shelf.desk import composer as composer_of
from handouts.shelf.outlook import Chance, Ground, Outlook
from handouts.shelf.page import ShelfComposer, full_day, many
from handouts.shelf.register import Chrysalis, Register
from handouts.shelf.summary import looker

# The columns of the rearing log that a register knows.
_KNOWN = ("number", "formed", "kept", "moved", "ended", "notes")


def filled(ground: Ground, register: Register, kind: str, system: System, paper: str = "letter") -> Document:
    """Return a form filled in from a register; it takes as many sheets as it needs.

    Date tags are for what is still closed, the winter log for those of it that may wait for spring, the rearing log
    for all rows. Raises BadInput when the register has none of these, or the kind is none of the three.
    """
    sheets: dict[str, Callable[[_Sheets], Document]] = {
        "date-tags": _Sheets.tags,
        "rearing-log": _Sheets.rearing,
        "winter-log": _Sheets.winter,
    }
    if kind not in sheets:
        raise BadInput(f"a {kind} is not filled in from a register", expected=", ".join(sheets))
    return sheets[kind](_Sheets(ground, register, kind, system, paper))


class _Sheets:
    """The rows of a register on the way to their sheets."""

    def __init__(self, ground: Ground, register: Register, kind: str, system: System, paper: str) -> None:
        self.ground, self.register = ground, register
        self.look: Callable[[str, date, str], Outlook] = looker(ground)
        rows = {
            "date-tags": [row for row in register.rows if row.closed],
            "winter-log": [row for row in register.rows if row.closed and self._may_wait(row)],
        }
        self.rows: Sequence[Chrysalis] = rows.get(kind, register.rows)
        if not self.rows:
            wanted = {"date-tags": "a chrysalis that is still closed", "winter-log": "a closed one that may wait"}
            raise BadInput(
                f"there is nothing on the register for a {kind}",
                file=register.file,
                expected=wanted.get(kind, "at least one row"),
            )
        newest = max(row.formed for row in self.rows)
        year = yearday.season_year(newest, ground.profile.south)
        self.composer: ShelfComposer = composer_of(ground, self.rows[0].species, year, system)
        self.composer.setting.paper = paper
        self.form = Form(self.composer, kind)

    def _may_wait(self, row: Chrysalis) -> bool:
        look = self._look(row)
        return self.ground.winters(row.species) and (look.waits or look.chance in (Chance.EITHER, Chance.CANNOT_SAY))

    def _look(self, row: Chrysalis) -> Outlook:
        return self.look(row.species, row.formed, row.kept)

    # -- what stands in a cell -------------------------------------------------------------------------------------

    def _words(self, text: str) -> Runs:
        return self.composer.const(text, "name") if text else ()

    def _day(self, row: Chrysalis, what: str, day: date | None) -> Runs:
        """A day of the register as the club's own record."""
        if day is None:
            return ()
        return (self.composer.own(f"own.{what}-{row.line}", full_day(day), day.isoformat(), None, "the register"),)

    def _title(self) -> str:
        kinds = list(dict.fromkeys(row.species for row in self.rows))
        return self.form.species_title(kinds[0]) if len(kinds) == 1 else self.form.words.title

    def _lead(self) -> Runs:
        return (self.form.text("filled"),)

    # -- date tags -------------------------------------------------------------------------------------------------

    def tags(self) -> Document:
        """A tag for each closed chrysalis."""
        made = [self._tag(row, self._look(row)) for row in self.rows]
        return form_tags.sheet(self.form, self._title(), self._lead(), made, None, filled=True)

    def _tag(self, row: Chrysalis, look: Outlook) -> Tag:
        cells = {
            "number": self._words(row.number),
            "formed": self._day(row, "formed", row.formed),
            "kept": self._words(row.kept),
            "open": self._opens(row, look),
        }
        return Tag(row.species, cells, self._note(row, look))

    def _opens(self, row: Chrysalis, look: Outlook) -> Runs:
        """When it may open: this year, next spring or both; an open line where no date may be named."""
        if look.words_only or look.chance is Chance.CANNOT_SAY:
            return ()
        names = ["next-spring"] if look.waits else ["this-year"]
        if look.chance is Chance.EITHER:
            names.append("next-spring")
        runs: list[Run] = []
        for name in names:
            window = look.window(name)
            if window is not None:
                runs.append(Text(f", {self.form.words.boxes['or']} " if runs else ""))
                runs.extend(self._window(row, window, exact=name == "this-year"))
        return tuple(run for run in runs if run != Text(""))

    def _window(self, row: Chrysalis, window: Window, *, exact: bool) -> Runs:
        return self.composer.days(window, exact=exact, name=f"out.{window.id}-{row.line}")

    def _note(self, row: Chrysalis, look: Outlook) -> Runs:
        """The chance in words, and the day to be in the cold by where it may wait."""
        words = self.ground.words.chances[look.chance.value]
        runs: list[Run] = [Text(f"{words[:1].upper()}{words[1:]}.")]
        cold = look.window("to-cold-by")
        if cold is not None and not look.words_only and (look.waits or look.chance is Chance.EITHER):
            self.composer.values["out.to-cold"] = lambda: self._window(row, cold, exact=False)
            runs.extend((Text(" "), *self.form.say("to-cold")))
        return tuple(runs)

    # -- logs ------------------------------------------------------------------------------------------------------

    def rearing(self) -> Document:
        """All rows, a table for each species."""
        kinds = dict.fromkeys(row.species for row in self.rows)
        groups = [Group(kind, tuple(self._line(row) for row in self.rows if row.species == kind)) for kind in kinds]
        return form_logs.rearing(self.form, self._title(), self._lead(), groups, None, columns=_KNOWN)

    def _line(self, row: Chrysalis) -> dict[str, Runs]:
        ended = (("opened", row.opened), ("lost", row.lost))
        said = [(self.form.text(what), Text(" "), *self._day(row, what, day)) for what, day in ended if day is not None]
        return {
            "number": self._words(row.number),
            "formed": self._day(row, "formed", row.formed),
            "kept": self._words(row.kept),
            "moved": self._day(row, "moved", row.moved),
            "ended": said[0] if said else (),
            "notes": self._words(row.notes),
        }

    def winter(self) -> Document:
        """A sheet for each place in the club's own words, with the numbers of those that may wait there."""
        places: dict[str, list[Chrysalis]] = {}
        for row in self.rows:
            places.setdefault(" ".join(row.kept.casefold().split()), []).append(row)
        boxes = [self._box(at, rows) for at, rows in enumerate(places.values(), 1)]
        return form_logs.winter(self.form, self._title(), self._lead(), boxes, None)

    def _box(self, at: int, rows: Sequence[Chrysalis]) -> Box:
        place: Any = self._words(rows[0].kept) or (self.form.text("unknown-place"),)
        count = many(len(rows), self.form.words.boxes["one"], self.form.words.boxes["more"])
        numbers = self._words(", ".join(row.number for row in rows))
        return Box(
            place, (self.composer.own(f"own.place-{at}", count, len(rows), "1", "rows of the register"),), numbers
        )
