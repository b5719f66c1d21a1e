"""A question about the shelf in (a day, a register, a log, a number of caterpillars); its page and its data out."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from handouts.compose.phrase import System
from handouts.compose.setting import Setting
from handouts.errors import BadInput
from handouts.model.document import Document, Picture
from handouts.shelf import food, show, show_food, show_register, show_store, store
from handouts.shelf.log import Log
from handouts.shelf.outlook import Ground, outlook
from handouts.shelf.page import ShelfComposer, claims_json, said
from handouts.shelf.register import Register, species_names
from handouts.shelf.status import state_on
from handouts.shelf.summary import Alike, alike, looker, summarize


@dataclass(frozen=True)
class Answer:
    """A finished page and the same as plain data; `paper` is the page for formats that show its drawing."""

    page: Document
    data: dict[str, Any]
    paper: Document | None = None


def composer(ground: Ground, species: str, year: int, system: System) -> ShelfComposer:
    """Return a composer for a species in a season year at the place of `ground`."""
    setting = Setting(
        library=ground.library,
        profile=ground.profile,
        season_of=ground.season_of,
        species=species,
        year=year,
        system=system,
    )
    return ShelfComposer(setting, ground.words)


def species_id(ground: Ground, text: str) -> str:
    """Return the id of a species named by id or any of its names. Raises BadInput with the nearest."""
    names = species_names(ground.library)
    found = names.get(" ".join(text.lower().split()))
    if found is None:
        near = difflib.get_close_matches(text.lower(), names, n=1, cutoff=0.6)
        expected = near[0] if near else "a species id or its common name"
        raise BadInput("the species is not known", found=text, expected=expected)
    return found


def outlook_answer(
    ground: Ground,
    species: str,
    formed: date,
    kept: str,
    system: System,
    today: date | None = None,
    register: Register | None = None,
) -> Answer:
    """Return the outlook of one chrysalis; `today` adds how it stands, `register` the club's own record."""
    if today is not None and today < formed:
        raise BadInput("the day it formed lies ahead", found=formed.isoformat(), expected=f"no later than {today}")
    look = outlook(ground, species, formed, kept)
    state = state_on(ground, look, today) if today is not None else None
    own: Alike | None = None
    if register is not None:
        own = alike(ground, register.rows, species, formed, today or formed)
    made = composer(ground, species, look.year, system)
    page = show.outlook_page(made, ground, look, state, own, today)
    main = said(page, "main-message")
    data = {
        **look.to_json(),
        "place": ground.profile.name or "",
        "chance_words": ground.words.chances[look.chance.value],
        "says": main[0] if main else "",
        "today": today.isoformat() if today else None,
        "status": state.status.value if state else None,
        "do_this": said(page, "do-this"),
        "rests_on": said(page, "rests-on"),
        "changes": said(page, "changes"),
        "stop_waiting": said(page, "stop-waiting"),
        "not_known": said(page, "not-known"),
        "own_records": {"n": own.n, "same_year": own.same_year, "waited": own.waited, "period": own.period}
        if own is not None
        else None,
        "cautions": list(page.cautions),
        "claims": claims_json(page),
    }
    return Answer(page, data)


def outlooks_answer(ground: Ground, register: Register, species: str, system: System) -> Answer:
    """Return the outlook of every closed chrysalis of a register."""
    look = looker(ground)
    closed = sorted((row for row in register.rows if row.closed), key=lambda row: (row.formed, row.line))
    found = [(row, look(row.species, row.formed, row.kept)) for row in closed]
    year = found[0][1].year if found else date.min.year + 1
    page = show_register.outlooks_page(composer(ground, species, year, system), ground, register, found)
    data = {
        "register": str(register.file),
        "place": ground.profile.name or "",
        "outlooks": [
            {
                "number": row.number,
                "line": row.line,
                **one.to_json(),
                "chance_words": ground.words.chances[one.chance.value],
            }
            for row, one in found
        ],
        "problems": [problem.to_json() for problem in register.problems],
        "notes": list(register.notes),
        "cautions": list(page.cautions),
    }
    return Answer(page, data)


def shelf_answer(ground: Ground, register: Register, today: date, species: str, system: System) -> Answer:
    """Return what a register says on a day."""
    summary = summarize(ground, register, today)
    year = today.year if not ground.profile.south or today.month >= 7 else today.year - 1
    page = show_register.register_page(composer(ground, species, year, system), ground, summary)
    data = {
        "register": str(register.file),
        "place": ground.profile.name or "",
        "today": today.isoformat(),
        "counts": summary.counts,
        "rows": [item.to_json() for item in summary.items],
        "own_times": [
            {
                "id": own.id,
                "species": own.species,
                "kept": own.kept,
                "n": own.n,
                "low": own.days[0],
                "median": own.middle,
                "high": own.days[-1],
                "unit": "d",
                "period": own.period,
                "place": ground.profile.name or "",
                "basis": "own-observation",
                "beside": _beside(ground, own.species, own.compare),
            }
            for own in summary.times
        ],
        "problems": [problem.to_json() for problem in register.problems],
        "notes": list(register.notes),
        "cautions": list(page.cautions),
    }
    return Answer(page, data)


def _beside(ground: Ground, species: str, quantities: Sequence[str]) -> list[dict[str, Any]]:
    """What is published or common for the same time: every public statement of the quantity."""
    found = []
    for quantity in quantities:
        stage = ground.stage(species, quantity)
        for statement in stage.fact.says if stage is not None else ():
            if statement.span is None or statement.basis.kind == "memory" or stage is None:
                continue
            low, high = statement.span.ends
            found.append(
                {
                    "fact": stage.fact.id,
                    "low": low,
                    "high": high,
                    "unit": statement.span.unit,
                    "basis": statement.basis.kind,
                    "of": getattr(statement.basis, "of", None) or stage.relative,
                    "references": statement.rests_on,
                }
            )
    return found


def store_answer(
    ground: Ground,
    log: Log,
    species: str,
    kept: str,
    system: System,
    first: date | None = None,
    last: date | None = None,
) -> Answer:
    """Return the check of a winter store's log."""
    check = store.check(ground, log, species, first, last)
    place = ground.words.kept_as(kept)
    year = check.winter.last.year
    page = show_store.store_page(composer(ground, species, year, system), check, place)
    paper = show_store.store_page(composer(ground, species, year, system), check, place, bars=False)
    data = {
        **check.to_json(),
        "place": ground.profile.name or "",
        "kept": place,
        "says": said(page, "main-message"),
        "verdicts": said(page, "verdict"),
        "do_this": said(page, "do-this"),
        "not_known": said(page, "not-known"),
        "notes": list(log.notes),
        "cautions": list(page.cautions),
        "claims": claims_json(page),
    }
    return Answer(page, data, paper)


def checklist_answer(ground: Ground, species: str, year: int, system: System) -> Answer:
    """Return what to look at before any log is kept."""
    page = show_store.checklist_page(composer(ground, species, year, system))
    data = {
        "checklist": {name: said(page, f"checklist-{name}") for name in show_store.CHECKLIST},
        "not_known": said(page, "not-known"),
        "cautions": list(page.cautions),
        "claims": claims_json(page),
    }
    return Answer(page, data)


def food_answer(
    ground: Ground,
    caterpillars: int,
    species: str,
    year: int,
    system: System,
    plants: Sequence[str] = (),
    per_plant: float | None = None,
) -> Answer:
    """Return the food budget for some caterpillars: a plan for each plant, each enough by itself."""
    library = ground.library
    chosen = [library.subject(name) for name in plants] or food.default_plants(ground, species)
    if not chosen:
        raise BadInput(
            f"no plant has a figure for {library.subject(species).names.common} caterpillars",
            expected="--plant ID with --per-plant NUMBER",
        )
    plans = [food.plan(ground, plant, species, caterpillars, year, per_plant) for plant in chosen]
    page = show_food.food_page(composer(ground, species, year, system), ground, plans)
    data = {
        "species": species,
        "place": ground.profile.name or "",
        "year": year,
        "caterpillars": caterpillars,
        "plants": plans[0].plants,
        "plans": [plan.to_json() for plan in plans],
        "not_known": said(page, "not-known"),
        "cautions": list(page.cautions),
        "claims": claims_json(page),
    }
    return Answer(page, data)


def drawing(page: Document) -> str:
    """Return the drawing of a page as SVG text. Raises BadInput when it has none."""
    for block in page.blocks:
        if isinstance(block, Picture):
            return block.svg
    raise BadInput("the page has no drawing")
