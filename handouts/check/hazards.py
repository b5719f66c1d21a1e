"""Rules about dangers in words: a text that speaks of a danger carries its class, and a caution says what it must."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from handouts.check.context import Context, Said, line_of_item, line_within
from handouts.check.guards import Kept, hazards
from handouts.compose.carriers import classes_named
from handouts.model.finding import Finding
from handouts.model.records import Entry, Plan


def hazard_without_class(context: Context) -> Iterator[Finding]:
    """An answer or plan whose words speak of a danger carries its class, by list, by subject or by a name in it."""
    library = context.library
    known = hazards(library)
    by_owner: dict[tuple[str, str], list[Said]] = {}
    for said in context.texts():
        if said.kind in ("faq", "plan"):
            by_owner.setdefault((said.kind, said.owner), []).append(said)
    for (kind, owner), texts in by_owner.items():
        record: Entry | Plan = library.entries[owner] if kind == "faq" else library.plans[owner]
        carried = {*record.cautions, *library.classes_of(_subjects(record))}
        whole = "\n".join(said.text for said in texts)
        carried.update(classes_named(library, whole))
        for name, hazard in known.classes.items():
            if name in carried:
                continue
            for said in texts:
                words = _called_for(said.text, tuple(hazard.words))
                if words:
                    yield context.finding(
                        "hazard-without-class",
                        file=said.file,
                        line=said.line(words.split()[0]),
                        key=f"{owner}: {said.key}",
                        found=f"{words!r} without {name}",
                        expected=f"cautions: [{name}]",
                    )
                    break


@lru_cache(maxsize=50_000)
def _called_for(text: str, patterns: tuple[str, ...]) -> str | None:
    """Return the words of a text that call for a class, or None."""
    flat = _flat(text)
    found = (re.search(pattern, flat, re.IGNORECASE) for pattern in patterns)
    return next((match.group() for match in found if match), None)


def _flat(text: str) -> str:
    return re.sub(r"[ \t\n]+", " ", text)


def hazard_dropped(context: Context) -> Iterator[Finding]:
    """An answer or plan keeps the classes that stand beside its id in words/hazards.yml."""
    library = context.library
    known = hazards(library)
    kept: list[tuple[Entry | Plan, Kept]] = []
    kept += [(library.entries[name], classes) for name, classes in known.answers.items() if name in library.entries]
    kept += [(library.plans[name], classes) for name, classes in known.plans.items() if name in library.plans]
    for record, classes in kept:
        if record.id in library.replaced:
            continue
        carried = {*record.cautions, *library.classes_of(_subjects(record))}
        wanted = [("cautions", name) for name in classes.lists if name not in record.cautions]
        wanted += [("subjects", name) for name in classes.brings if name not in carried]
        for key, name in wanted:
            yield context.finding(
                "hazard-without-class",
                file=record.origin,
                line=line_of_item(record.origin, key, under=key) or record.line,
                key=record.id,
                found=f"{key} without {name}",
                expected=f"{name}, as words/hazards.yml has it",
                remedy="Put it back, or change words/hazards.yml with it.",
            )


def _subjects(record: Entry | Plan) -> list[str]:
    return record.subjects if isinstance(record, Entry) else [*record.species, *record.subjects]


def caution_says(context: Context) -> Iterator[Finding]:
    """A caution's full text says what to do, as words/hazards.yml demands, and turns to those who can help."""
    known = hazards(context.library)
    for caution in context.library.cautions.values():
        hazard = known.classes.get(caution.id)
        if hazard is None:
            if not context.of_club(caution.origin):
                yield context.finding(
                    "caution-says", file=caution.origin, line=1, key=caution.id, found="a class without hazard words"
                )
            continue
        for key, patterns in (("full", hazard.says), ("short", hazard.short)):
            text = getattr(caution, key)
            for pattern in patterns:
                if re.search(pattern, _flat(text), re.IGNORECASE):
                    continue
                yield context.finding(
                    "caution-says",
                    file=caution.origin,
                    line=line_within(caution.origin, text) if caution.origin else None,
                    key=f"{caution.id}: {key}",
                    found="a text that lacks it",
                    expected=pattern,
                    remedy="Say it again, or change words/hazards.yml with it.",
                )
        missing = [name for name in hazard.turn_to if name not in caution.turn_to]
        if missing:
            yield context.finding(
                "caution-says",
                file=caution.origin,
                line=caution.line,
                key=caution.id,
                found=f"without {', '.join(missing)}",
                expected=f"turn_to: {', '.join(hazard.turn_to)}",
            )
