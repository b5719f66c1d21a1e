"""Replies in, the club's log of questions out: a file a month in its folder `questions`, without names of persons."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import blake2b
from pathlib import Path
from types import TracebackType
from typing import Any

from handouts.answer.comments import Lines, json_object
from handouts.answer.reply import Reply
from handouts.answer.streams import Aside
from handouts.answer.vocabulary import Vocabulary
from handouts.errors import BadInput
from handouts.files import ready_folder
from handouts.routine.names import without_names

FOLDER = "questions"
ENDING = ".jsonl"
WANTED = '{"date": "YYYY-MM-DD", "text": "…", "answered": true, "entries": […]}'


@dataclass(frozen=True)
class Logged:
    """One question of the log. `entries` were given, `drafted` were proposed; `decision` is the reviewer's, if any."""

    date: str
    text: str
    answered: bool
    entries: tuple[str, ...]
    drafted: tuple[str, ...] = ()
    reason: str = ""
    near: tuple[str, ...] = ()
    decision: str = ""
    edited: bool = False
    key: str = ""

    def to_json(self) -> dict[str, Any]:
        """The row as plain data."""
        return {
            "date": self.date,
            "text": self.text,
            "answered": self.answered,
            "entries": list(self.entries),
            "drafted": list(self.drafted),
            "reason": self.reason,
            "near": list(self.near),
            "decision": self.decision,
            "edited": self.edited,
            "key": self.key,
        }


def log_folder(club: Path | None) -> Path | None:
    """Return the club's folder of questions; a club that made none keeps no log."""
    folder = club / FOLDER if club is not None else None
    return folder if folder is not None and folder.is_dir() else None


def entries_of(reply: Reply) -> tuple[str, ...]:
    """Return the entries a reply was answered with, one for each part that was."""
    if reply.parts:
        return tuple(part.entry for part in reply.parts if part.answered and part.entry)
    return (reply.entry,) if reply.answered and reply.entry else ()


def key_of(*parts: object) -> str:
    """Return a short mark of what a row came from; a row with the same mark replaces an older one in the report."""
    return blake2b("\x1f".join(map(str, parts)).encode(), digest_size=8).hexdigest()


class Log:
    """Adds rows to the month's file: the old rows and the new ones are written aside and renamed when all went well."""

    def __init__(self, folder: Path, today: date, vocabulary: Vocabulary) -> None:
        self.path = folder / f"{today:%Y-%m}{ENDING}"
        self.today = today
        self.vocabulary = vocabulary

    def __enter__(self) -> Log:
        ready_folder(self.path.parent)
        self._aside = Aside(self.path)
        self._out = self._aside.__enter__()
        try:
            if self.path.is_file():
                with self.path.open(encoding="utf-8", newline="") as old:
                    shutil.copyfileobj(old, self._out)
        except (OSError, UnicodeDecodeError) as error:
            self._aside.__exit__(type(error), error, None)
            raise BadInput("the log of questions cannot be read", file=self.path, found=str(error)) from None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._aside.__exit__(kind, error, trace)

    def reply(self, text: str, reply: Reply) -> None:
        """Note a question and its reply."""
        entries = entries_of(reply)
        near = tuple(item["entry"] for item in reply.near) if not entries else ()
        self.add(text, entries, reason=reply.reason, near=near)

    def add(
        self,
        text: str,
        entries: Sequence[str],
        *,
        drafted: Sequence[str] = (),
        reason: str = "",
        near: Sequence[str] = (),
        decision: str = "",
        edited: bool = False,
        key: str = "",
    ) -> None:
        """Note a question, what was answered, and what the reviewer did with the draft."""
        plain = without_names(text, self.vocabulary.speller.known, self.vocabulary.areas)
        given, proposed = tuple(entries), tuple(drafted)
        answered = bool(given) and decision != "skip"
        row = Logged(
            self.today.isoformat(), plain, answered, given, proposed, reason, tuple(near), decision, edited, key
        )
        self._out.write(json.dumps(row.to_json(), ensure_ascii=False) + "\n")


def read_log(folder: Path) -> Iterator[Logged]:
    """Yield all rows of the log, oldest first; of rows with the same mark only the newest. Raises BadInput."""
    newest: dict[str, tuple[str, int]] = {}
    files = sorted(folder.glob(f"*{ENDING}"))
    for path in files:
        for number, row in _rows(path):
            if row.key:
                newest[row.key] = (path.name, number)
    for path in files:
        for number, row in _rows(path):
            if not row.key or newest[row.key] == (path.name, number):
                yield row


def _rows(path: Path) -> Iterator[tuple[int, Logged]]:
    with path.open("rb") as stream:
        for number, line in enumerate(Lines(stream, path), 1):
            if line.strip():
                yield number, _logged(json_object(line, path, number, WANTED), path, number)


def _logged(row: dict[str, Any], path: Path, number: int) -> Logged:
    lists = {name: row.get(name, []) for name in ("entries", "drafted", "near")}
    texts = {name: row.get(name, "") for name in ("date", "text", "reason", "decision", "key")}
    if not all(isinstance(value, str) for value in texts.values()):
        raise BadInput("the row of the log does not fit", file=path, line=number, expected=WANTED)
    if not all(isinstance(value, list) and all(isinstance(item, str) for item in value) for value in lists.values()):
        raise BadInput("the row of the log does not fit", file=path, line=number, expected=WANTED)
    return Logged(
        date=texts["date"],
        text=texts["text"],
        answered=row.get("answered") is True,
        entries=tuple(lists["entries"]),
        drafted=tuple(lists["drafted"]),
        reason=texts["reason"],
        near=tuple(lists["near"]),
        decision=texts["decision"],
        edited=row.get("edited") is True,
        key=texts["key"],
    )
