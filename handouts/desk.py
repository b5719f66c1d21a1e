"""Questions in, replies out: one from the command line or standard input, or a file of JSON lines to another."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

from handouts import build
from handouts.answer.base import Base, load_base
from handouts.answer.clean import BYTE_LIMIT
from handouts.answer.decide import Decision, decide
from handouts.answer.reply import LENGTHS, Length, PartReply, Reply, Spoken
from handouts.answer.say import BRIEF_WITH_CAUTION, Speaker
from handouts.answer.understand import Understood
from handouts.compose.composer import Composer
from handouts.compose.setting import Setting
from handouts.errors import BadInput, HandoutsError
from handouts.files import ready_folder
from handouts.model.season import Season
from handouts.place.known import Known
from handouts.season.profile import Profile

LINE_LIMIT = BYTE_LIMIT
FIELDS = ("id", "text", "place", "date")
SHOW_EVERY = 25


@dataclass
class Counts:
    """How many questions of a file were answered and how many were not."""

    answered: int = 0
    refused: int = 0


class Desk:
    """A loaded base with its caches; one desk answers any number of questions."""

    def __init__(self, where: build.Folders, *, near: Path | None = None) -> None:
        self.where = where
        self.base: Base = load_base(build.library(where))
        self.near = near or Path.cwd()
        self.year = build.default_year(self.base.library)
        self._season_of = lru_cache(maxsize=64)(self._make_season_of)
        self._profile = lru_cache(maxsize=256)(self._make_profile)
        self._say = lru_cache(maxsize=2048)(self._make_spoken)

    # -- one question ----------------------------------------------------------------------------------------------

    def reply(self, text: str, place: str | None, length: Length, day: date | None) -> Reply:
        """Answer one text. Raises BadInput for a place that cannot be read; never for the text itself."""
        if place is not None:
            self._profile(
                place, day.year if day is not None else self.year
            )  # a wrong place is refused, whatever is asked
        understood, decisions = decide(text, self.base)
        there = place or self._place_in(understood)
        spoken = [self._spoken(decision, understood, there, length, day) for decision in decisions]
        if len(decisions) == 1:
            return self._single(decisions[0], spoken[0], length, there)
        return self._several(decisions, spoken, length, there)

    def _single(self, decision: Decision, spoken: Spoken, length: Length, place: str | None) -> Reply:
        return Reply(
            answered=decision.does == "answer",
            entry=decision.entry,
            score=decision.score,
            answer=spoken.text,
            facts=spoken.facts,
            claims=spoken.claims,
            cautions=spoken.cautions,
            refer=spoken.refer,
            reason=decision.reason,
            near=self._near(decision),
            scores=tuple(item.to_json() for item in decision.ranked[:3]),
            length=length,
            place=place,
        )

    def _several(
        self, decisions: tuple[Decision, ...], spoken: list[Spoken], length: Length, place: str | None
    ) -> Reply:
        parts = tuple(
            PartReply(item.text, item.does == "answer", item.entry, said.text, item.reason, said.refer)
            for item, said in zip(decisions, spoken, strict=True)
        )
        answered = [item for item in decisions if item.does == "answer"]
        first = answered[0] if answered else decisions[0]
        merged = self._single(first, spoken[decisions.index(first)], length, place)
        return replace(
            merged,
            answered=bool(answered),
            score=min(item.score for item in decisions),
            answer=self._joined(decisions, spoken, length),
            parts=parts,
            facts=_union(item.facts for item in spoken),
            claims=tuple(claim for item in spoken for claim in item.claims),
            cautions=_union(item.cautions for item in spoken),
            refer=_union(item.refer for item in spoken),
            reason="" if answered else decisions[0].reason,
        )

    def _joined(self, decisions: tuple[Decision, ...], spoken: list[Spoken], length: Length) -> str:
        """Join the parts' words; a brief reply keeps within its words and leaves the rest to the parts."""
        if length == "standard":
            entries = self.base.library.entries
            heads = [f"{entries[item.entry].question}\n\n" if item.entry else "" for item in decisions]
            pairs = zip(heads, spoken, strict=True)
            return "\n\n".join(f"{number}. {head}{item.text}" for number, (head, item) in enumerate(pairs, 1))
        whole = " ".join(item.text for item in spoken)
        if length == "brief" and len(whole.split()) > BRIEF_WITH_CAUTION:
            hint = self.base.say("other-question")
            fits = len(spoken[0].text.split()) + len(hint.split()) <= BRIEF_WITH_CAUTION
            return f"{spoken[0].text} {hint}" if fits else spoken[0].text
        return whole

    def _near(self, decision: Decision) -> tuple[dict[str, str], ...]:
        entries = self.base.library.entries
        names = dict.fromkeys(decision.near)
        if decision.entry is not None:
            names = dict.fromkeys([*entries[decision.entry].related, *decision.near])
        found = [name for name in names if name in entries and name != decision.entry]
        return tuple({"entry": name, "question": entries[name].question} for name in found[:3])

    # -- words -----------------------------------------------------------------------------------------------------

    def _spoken(
        self, decision: Decision, understood: Understood, place: str | None, length: Length, day: date | None
    ) -> Spoken:
        if decision.does == "abstain":
            return self._abstention(decision, length)
        species = tuple(sorted(understood.concepts() & self.base.library.subjects.keys()))
        name = decision.guard.id if decision.guard is not None else str(decision.entry)
        return self._say(decision.does, name, species, place, length, day)

    def _make_spoken(
        self, does: str, name: str, species: tuple[str, ...], place: str | None, length: Length, day: date | None
    ) -> Spoken:
        library = self.base.library
        entry = library.entries.get(name) if does == "answer" else None
        subjects = entry.subjects if entry is not None else []
        kinds = [item for item in subjects if item in library.subjects and library.subjects[item].kind == "species"]
        wanted = [item for item in kinds if item in species] or kinds or [build.DEFAULT_SPECIES]
        year = day.year if day is not None else self.year
        profile, units = self._profile(place, year)
        setting = Setting(
            library=library,
            profile=profile,
            season_of=self._season_of(place, year),
            species=wanted[0],
            year=year,
            start=day,
            system="metric" if units == "metric" else "us",
        )
        speaker = Speaker(self.base, Composer(setting), length, place_known=place is not None)
        if entry is not None:
            return speaker.entry(entry)
        return speaker.referral(next(guard for guard in self.base.guards if guard.id == name))

    def _abstention(self, decision: Decision, length: Length) -> Spoken:
        base = self.base
        if decision.language is not None:
            return Spoken(f"{decision.language.says} ({base.say('language')})", refer=("extension-office",))
        texts = [base.say(decision.reason or "not-covered")]
        near = [base.library.entries[name].question for name in decision.near]
        if near and decision.reason in ("unsure", "which"):
            lead = "" if decision.reason == "which" else base.say("near")
            listed = "\n".join(f"- {question}" for question in near)
            texts.append(f"{lead}\n{listed}".strip() if length == "standard" else f"{lead} {' '.join(near)}".strip())
        refer = () if decision.reason in ("empty", "which") else ("extension-office",)
        return Spoken(("\n\n" if length == "standard" else " ").join(texts), refer=refer)

    # -- place -----------------------------------------------------------------------------------------------------

    def _place_in(self, understood: Understood) -> str | None:
        """Return a place that the text itself names well enough: a zone with its half."""
        zone = understood.slots.zone
        return f"zone={zone}" if zone and not zone.isdigit() else None

    def _make_profile(self, place: str | None, year: int) -> tuple[Profile, str | None]:
        known = Known() if place is None else build.known_place(place, self.near, self.where)
        loaded = self.base.library
        units = known.units or (loaded.club.units if loaded.club else None)
        return build.place_profile(known, self.where, year), units

    def _make_season_of(self, place: str | None, year: int) -> Callable[[str, int], Season]:
        made: Callable[[str, int], Season] = build.season_of(self.base.library, self._profile(place, year)[0])
        return made


def _union(groups: Iterator[tuple[str, ...]] | Any) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for group in groups for item in group))


# -- the two forms -----------------------------------------------------------------------------------------------------


def answer_one(
    question: str,
    stream: IO[bytes] | None,
    where: build.Folders,
    *,
    place: str | None = None,
    length: str = "standard",
    day: str | date | None = None,
) -> Reply:
    """Answer one question; "-" reads it from `stream` (UTF-8, at most one megabyte).

    Raises BadInput for a place, day or length that cannot be read, and BadContent for content that does not fit.
    """
    text = _read_stream(stream) if question == "-" and stream is not None else question
    if len(text.encode(errors="replace")) > BYTE_LIMIT:
        raise BadInput("the question is too long", expected="at most one megabyte of text")
    wanted, when = _length(length), _day(day, "--date")
    return Desk(where).reply(text, place, wanted, when)


def answer_file(
    source: Path,
    target: Path,
    where: build.Folders,
    *,
    place: str | None = None,
    length: str = "standard",
    day: str | date | None = None,
) -> Counts:
    """Answer a file of JSON lines ({id, text, optional place, date}) into another; returns how many were answered.

    Lines are read, answered and written one by one, aside, and the file is renamed at the end: a line that cannot be
    read stops the run with one BadInput that names it, and nothing is left behind.
    """
    wanted, when = _length(length), _day(day, "--date")
    desk = Desk(where)
    if target.is_dir():
        raise BadInput("the output path is a folder", file=target, expected="a file name")
    ready_folder(target.parent)
    counts = Counts()
    with _opened(source) as lines, _Aside(target) as out:
        bar = _Bar(lines, source)
        for number, row in _rows(lines, source):
            when_here = _day(row["date"], "date", source, number) if row.get("date") else when
            try:
                reply = desk.reply(row["text"], row.get("place") or place, wanted, when_here)
            except BadInput as problem:
                raise replace_where(problem, source, number) from None
            out.write(json.dumps(replace(reply, id=row["id"]).to_json(), ensure_ascii=False, default=str) + "\n")
            counts.answered += reply.answered
            counts.refused += not reply.answered
            bar.show(number)
        bar.done()
    return counts


def replace_where(problem: BadInput, file: Path, line: int) -> HandoutsError:
    """Return the refusal with the line of the questions file it came from."""
    found = problem.found or (str(problem.file) if problem.file else None)
    return BadInput(problem.problem, file=file, line=line, found=found, expected=problem.expected)


def _length(text: str) -> Length:
    for length in LENGTHS:
        if text == length:
            return length
    raise BadInput("there is no such length", found=text, expected=", ".join(LENGTHS))


def _day(text: Any, what: str, file: Path | None = None, line: int | None = None) -> date | None:
    if text is None or isinstance(text, date):
        return text
    try:
        return date.fromisoformat(text)
    except (TypeError, ValueError):
        raise BadInput(f"{what} is no day", file=file, line=line, found=str(text), expected="YYYY-MM-DD") from None


def _read_stream(stream: IO[bytes]) -> str:
    data = stream.read(BYTE_LIMIT + 1)
    if len(data) > BYTE_LIMIT:
        raise BadInput("the question on standard input is too long", expected="at most one megabyte of text")
    return data.decode("utf-8-sig", errors="replace")


def _opened(source: Path) -> IO[bytes]:
    try:
        return source.open("rb")
    except OSError as error:
        raise BadInput("the questions file cannot be read", file=source, found=error.strerror) from None


def _rows(lines: IO[bytes], source: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    """Yield each line with its number; blank lines are passed over."""
    for number in range(1, sys.maxsize):
        raw = lines.readline(LINE_LIMIT + 2)
        if not raw:
            return
        if len(raw) > LINE_LIMIT:
            raise BadInput("the line is too long", file=source, line=number, expected="at most one megabyte")
        if raw.strip():
            yield number, _row(raw, source, number)


def _row(raw: bytes, source: Path, number: int) -> dict[str, Any]:
    def bad(problem: str, found: str | None = None, expected: str | None = None) -> BadInput:
        return BadInput(problem, file=source, line=number, found=found, expected=expected)

    wanted = '{"id": …, "text": "…"}, with "place" and "date" if there are any'
    try:
        row = json.loads(raw.decode("utf-8-sig" if number == 1 else "utf-8"))
    except UnicodeDecodeError:
        raise bad("the line is not UTF-8 text") from None
    except (json.JSONDecodeError, RecursionError):
        raise bad("the line is not JSON", expected=wanted) from None
    if not isinstance(row, dict):
        raise bad("the line is no JSON object", expected=wanted)
    if not isinstance(row.get("text"), str):
        raise bad("the line has no text", expected=wanted)
    if "id" not in row or isinstance(row["id"], dict | list):
        raise bad("the line has no id", expected=wanted)
    for key in ("place", "date"):
        if row.get(key) is not None and not isinstance(row[key], str):
            raise bad(f"{key} must be a text", found=str(row[key]))
    return row


class _Aside:
    """A text file written beside its target and renamed over it when all went well, removed otherwise."""

    def __init__(self, target: Path) -> None:
        self.target = target

    def __enter__(self) -> IO[str]:
        try:
            handle, self.name = tempfile.mkstemp(prefix=f".{self.target.name}.", suffix=".part", dir=self.target.parent)
        except OSError as error:
            raise BadInput("the output cannot be written", file=self.target, found=error.strerror) from None
        self.stream = os.fdopen(handle, "w", encoding="utf-8", newline="\n")
        return self.stream

    def __exit__(self, kind: Any, error: Any, trace: Any) -> None:
        self.stream.close()
        if kind is None:
            os.chmod(self.name, 0o644)
            os.replace(self.name, self.target)
        else:
            with suppress(OSError):
                os.unlink(self.name)


class _Bar:
    """A line on standard error that says how far a file is read; nothing when that is no terminal."""

    def __init__(self, lines: IO[bytes], source: Path) -> None:
        self.lines = lines
        self.shown = sys.stderr.isatty()
        self.size = max(1, source.stat().st_size) if self.shown else 1

    def show(self, number: int) -> None:
        """Draw the line now and then."""
        if self.shown and number % SHOW_EVERY == 0:
            share = min(1.0, self.lines.tell() / self.size)
            filled = round(share * 30)
            sys.stderr.write(f"\r[{'#' * filled}{'.' * (30 - filled)}] {share:4.0%}  {number} questions")
            sys.stderr.flush()

    def done(self) -> None:
        """Clear the line."""
        if self.shown:
            sys.stderr.write("\r" + " " * 60 + "\r")
            sys.stderr.flush()
