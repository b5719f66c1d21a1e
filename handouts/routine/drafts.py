"""Comments in, a file of drafts out: one row a comment, which a person accepts, edits or skips."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, fields
from datetime import date
from pathlib import Path
from typing import IO, Any

from handouts.answer.comments import CSV, Comment, Comments, Lines, guarded, json_object, table_rows, unguarded
from handouts.answer.reply import Length, Reply
from handouts.answer.streams import Aside, Bar
from handouts.desk import Counts, Desk, replies
from handouts.errors import BadInput
from handouts.files import ready_folder
from handouts.routine.log import entries_of, key_of

WHAT = "file of drafts"
ENDINGS = (CSV, ".jsonl")
# what may be written in the column `decision`; the first letter is enough
DECISIONS = ("accept", "edit", "skip")
BOM = "\ufeff"


@dataclass(frozen=True)
class Draft:
    """One row of the file. A person fills `decision`, may change `answer`, and may name other `entries`.

    `made` marks the answer as it was drafted and `drafted` its entries, so that a change is seen later.
    """

    decision: str
    question: str
    answer: str
    sure: str
    entries: str
    answered_as: str
    reason: str
    near: str
    cautions: str
    refer: str
    place: str
    date: str
    length: str
    id: str
    drafted: str
    made: str


NAMES = tuple(item.name for item in fields(Draft))
HAND = ("decision", "answer", "entries")


def write_drafts(
    desk: Desk, source: Path, target: Path, *, place: str | None, length: Length, day: date | None
) -> Counts:
    """Draft a reply to every comment of `source` (CSV or JSON lines) into `target` (.csv or .jsonl).

    Raises BadInput, with the line of what cannot be read; then nothing is written.
    """
    check_target(source, target)
    counts = Counts()
    comments, bar = Comments(source), Bar(source)
    with Aside(target) as out:
        write = writer(out, target)
        for number, comment, reply in replies(desk, comments, place, length, day):
            write(_draft(desk, comment, reply, comment.place or place, length, day))
            counts.answered += reply.answered
            counts.refused += not reply.answered
            bar.show(number, comments.read)
        bar.done()
    return counts


def check_target(source: Path, target: Path) -> None:
    """Refuse an output that has no known form, is a folder or the input. Raises BadInput."""
    if target.suffix.lower() not in ENDINGS:
        raise BadInput("the output has another form", file=target, expected=f"a name ending in {' or '.join(ENDINGS)}")
    if target.is_dir():
        raise BadInput("the output path is a folder", file=target, expected="a file name")
    if target.exists() and source.exists() and target.samefile(source):
        raise BadInput("the output would replace the input", file=target, remedy="Choose another name.")
    ready_folder(target.parent)


def _draft(desk: Desk, comment: Comment, reply: Reply, place: str | None, length: Length, day: date | None) -> Draft:
    entries = " ".join(entries_of(reply))
    # here a person reads along: each of several questions keeps its whole answer
    answer = "\n\n".join(part.answer for part in reply.parts) or reply.answer
    titles = desk.base.library.entries
    return Draft(
        decision="",
        question=_plain(comment.text),
        answer=answer,
        sure=f"{reply.score:.2f}",
        entries=entries,
        answered_as=" / ".join(titles[name].question for name in entries.split()),
        reason=reply.reason,
        near=" ".join(item["entry"] for item in reply.near),
        cautions=" ".join(reply.cautions),
        refer=" ".join(reply.refer),
        place=place or "",
        date=comment.date or (day.isoformat() if day else ""),
        length=length,
        id=str(comment.id),
        drafted=entries,
        made=key_of(answer),
    )


def _plain(text: str) -> str:
    """Return a comment without control characters, as it is shown to the person who decides."""
    return "".join(char for char in text if char in "\n\t" or char.isprintable()).strip()


def writer(out: IO[str], target: Path) -> Callable[[Draft], None]:
    """Return a function that writes one draft in the form of the target."""
    if target.suffix.lower() != CSV:

        def line(draft: Draft) -> None:
            out.write(json.dumps(asdict(draft), ensure_ascii=False) + "\n")

        return line
    # the mark lets spreadsheets read the file as UTF-8
    out.write(BOM)
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(NAMES)

    def row(draft: Draft) -> None:
        table.writerow([guarded(value) for value in asdict(draft).values()])

    return row


# -- reading them back -------------------------------------------------------------------------------------------------


def read_drafts(source: Path) -> Iterator[tuple[int, Draft]]:
    """Yield each draft with the line it starts on. Raises BadInput with the line."""
    if source.suffix.lower() not in ENDINGS:
        raise BadInput(f"the {WHAT} has another form", file=source, expected=f"a name ending in {' or '.join(ENDINGS)}")
    try:
        stream = source.open("rb")
    except OSError as error:
        raise BadInput(f"the {WHAT} cannot be read", file=source, found=error.strerror) from None
    with stream:
        rows = _table if source.suffix.lower() == CSV else _lines
        for line, cells in rows(Lines(stream, source), source):
            yield line, _read(cells, source, line)


def _table(lines: Lines, source: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    rows = table_rows(lines, source, WHAT)
    header = [cell.strip().lower() for cell in next(rows)[1]]
    missing = [name for name in NAMES if name not in header]
    if missing:
        raise BadInput(
            f"this is no {WHAT}",
            file=source,
            line=1,
            found=f"no column {', '.join(missing)}",
            expected="the file that --drafts wrote, with all of its columns",
        )
    for line, row in rows:
        yield line, {name: unguarded(cell) for name, cell in zip(header, row, strict=False)}


def _lines(lines: Lines, source: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, line in enumerate(lines, 1):
        if line.strip():
            yield number, json_object(line, source, number, "a line that --drafts wrote")


def _read(cells: dict[str, Any], source: Path, line: int) -> Draft:
    values = {name: cells.get(name, "") for name in NAMES}
    for name, value in values.items():
        if not isinstance(value, str):
            raise BadInput(f"{name} must be a text", file=source, line=line, found=str(value)[:80])
    given = values["decision"].strip().lower()
    found = next((name for name in DECISIONS if given and name.startswith(given)), None)
    if given and found is None:
        raise BadInput(
            "there is no such decision",
            file=source,
            line=line,
            found=values["decision"][:80],
            expected=", ".join(DECISIONS),
            remedy="Leave it empty to decide later.",
        )
    values["decision"] = found or ""
    return Draft(**values)
