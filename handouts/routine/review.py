"""Drafts a person has looked through in, the final file out: what was accepted or edited, with its cautions."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import IO, Any

from handouts.answer.comments import CSV, guarded
from handouts.answer.streams import Aside
from handouts.desk import Desk, read_day, read_length, replace_where
from handouts.errors import BadInput
from handouts.routine.drafts import BOM, Draft, check_target, read_drafts
from handouts.routine.log import Log, key_of

COLUMNS = ("id", "question", "answer", "entries", "decision", "cautions", "refer")


@dataclass
class Counts:
    """What became of the drafts; `added` are the lines whose answer lacked a caution, which was put back."""

    accepted: int = 0
    edited: int = 0
    skipped: int = 0
    undecided: int = 0
    added: list[int] = field(default_factory=list)


@dataclass(frozen=True)
class Final:
    """One decided row: the answer as it goes out, the entries it rests on, whether a person changed it."""

    draft: Draft
    answer: str
    entries: tuple[str, ...]
    cautions: tuple[str, ...]
    refer: tuple[str, ...]
    edited: bool


def write_final(desk: Desk, source: Path, target: Path, log: Log | None = None) -> Counts:
    """Write the accepted and edited answers of a file of drafts to `target` (.csv or .jsonl), in their order.

    A row without a decision is left out and counted; a skipped one too. Raises BadInput with the line of a row that
    does not fit; then nothing is written, and nothing is noted in the log.
    """
    check_target(source, target)
    counts = Counts()
    with Aside(target) as out:
        write = _writer(out, target)
        for line, draft in read_drafts(source):
            final = _decided(desk, draft, source, line, counts)
            if final is not None and draft.decision != "skip":
                write(final)
            if log is not None and final is not None:
                log.add(
                    draft.question,
                    final.entries,
                    drafted=draft.drafted.split(),
                    reason=draft.reason,
                    near=draft.near.split(),
                    decision=draft.decision,
                    edited=final.edited,
                    key=key_of(source.name, draft.id, draft.question),
                )
    return counts


def _decided(desk: Desk, draft: Draft, source: Path, line: int, counts: Counts) -> Final | None:
    """Return the row as it goes out; None while nobody has decided. Raises BadInput with the line."""
    if not draft.decision:
        counts.undecided += 1
        return None
    as_drafted = key_of(draft.answer) == draft.made
    if draft.decision == "skip":
        counts.skipped += 1
        return Final(draft, "", (), (), (), edited=False)
    if draft.entries.split() != draft.drafted.split() and as_drafted:
        draft = _redrafted(desk, draft, source, line)
        edited = True
    else:
        edited = not as_drafted
    if draft.decision == "edit" and not edited:
        remedy = "Write `accept` to keep it as it is."
        raise BadInput("the answer to be edited is as it was", file=source, line=line, found=draft.id, remedy=remedy)
    if not draft.answer.strip():
        raise BadInput("the answer is empty", file=source, line=line, found=draft.id, remedy="Write `skip`.")
    answer = draft.answer
    if edited:
        lacking = desk.lacking(answer, draft.cautions.split())
        if lacking:
            counts.added.append(line)
            answer = f"{answer.rstrip()} {desk.base.say('caution')} {' '.join(lacking)}"
    counts.edited += edited
    counts.accepted += not edited
    entries, cautions, refer = draft.entries.split(), draft.cautions.split(), draft.refer.split()
    return Final(draft, answer, tuple(entries), tuple(cautions), tuple(refer), edited)


def _redrafted(desk: Desk, draft: Draft, source: Path, line: int) -> Draft:
    """Return the draft with the words of the entries a person named instead. Raises BadInput."""
    names = draft.entries.split()
    if not names:
        remedy = "Name an entry, write the answer yourself, or write `skip`."
        raise BadInput("no entry is named", file=source, line=line, found=draft.id, remedy=remedy)
    try:
        day: date | None = read_day(draft.date or None, "date", source, line)
        reply = desk.chosen(names, draft.place or None, read_length(draft.length), day)
    except BadInput as problem:
        raise replace_where(problem, source, line) from None
    return replace(draft, answer=reply.answer, cautions=" ".join(reply.cautions), refer=" ".join(reply.refer))


def _writer(out: IO[str], target: Path) -> Callable[[Final], None]:
    def values(final: Final) -> Sequence[Any]:
        draft = final.draft
        decision = "edit" if final.edited else "accept"
        return draft.id, draft.question, final.answer, final.entries, decision, final.cautions, final.refer

    if target.suffix.lower() != CSV:

        def line(final: Final) -> None:
            out.write(json.dumps(dict(zip(COLUMNS, values(final), strict=True)), ensure_ascii=False) + "\n")

        return line
    out.write(BOM)
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(COLUMNS)

    def row(final: Final) -> None:
        cells = (" ".join(value) if isinstance(value, tuple) else str(value) for value in values(final))
        table.writerow([guarded(cell) for cell in cells])

    return row
