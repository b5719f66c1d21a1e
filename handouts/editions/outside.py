"""A video, sheet or post made outside the tool in, its entry for the club's folder out, with what it states."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from handouts.editions.compare import says_the_same
from handouts.editions.current import Today
from handouts.editions.record import OUTSIDE, STATED_FACT, Outside, State, kept, written
from handouts.errors import BadInput
from handouts.model.facts import ID


def new_entry(
    folder: Path, name: str, entry: Mapping[str, Any], facts: Sequence[str], today: Today
) -> tuple[Path, bytes]:
    """Return the file of a new entry. A fact is given by its id, or as id=words where the words were others than ours.

    What is said in our words is kept with its digest, so that `recall` also sees when its basis changes. Raises
    BadInput for an entry that is there already or does not fit, BadContent for an unknown fact.
    """
    if not re.match(ID, name):
        raise BadInput("the entry's name is no id", found=name, expected="lower-case letters, digits, hyphens")
    path = folder / OUTSIDE / f"{name}.yml"
    if path.exists():
        raise BadInput("there is an entry of this name", file=path, remedy="Change its file, or choose another name.")
    states = [_state(fact, today) for fact in facts]
    library = today.library
    owners = dict.fromkeys(library.owner.get(state.base, "") for state in states)
    try:
        made = Outside(**entry, states=states, carried=library.classes_of(owners))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        key = str(first["loc"][0])
        raise BadInput(f"--{key}: {first['msg']}", found=str(entry.get(key, ""))) from None
    return path, written(made)


def _state(text: str, today: Today) -> State:
    name, sign, words = (part.strip() for part in text.partition("="))
    if not re.match(STATED_FACT, name):
        raise BadInput("this is no fact id", found=name, expected="such as black-swallowtail.pupa.summer")
    base, _, modifier = name.partition("|")
    fact = today.library.fact(base)
    claims = list(today.fact_claims(base, modifier, today.setting()))
    if not claims:
        raise BadInput(f"{fact.id} is known from memory only and is stated nowhere")
    claim, shown = claims[0], claims[0].shown
    if sign:
        if not words:
            raise BadInput("there are no words after the sign", found=text, expected="FACT=WORDS")
        said = State(fact=name, shown=words)
        if not says_the_same(said, fact.preferred, today, modifier):
            return said  # it says something else than we do: `recall` lists it from the start
        shown = words
    return State(
        fact=name, shown=shown, value=kept(claim.value), unit=claim.unit, basis=claim.basis, digest=claim.digest
    )
