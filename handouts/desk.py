"""Questions in, replies out: one from the command line or standard input, or a file of JSON lines to another."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

from handouts.answer.base import Base, load_base
from handouts.answer.clean import BYTE_LIMIT
from handouts.answer.comments import Comment, Comments
from handouts.answer.decide import Decision, decide
from handouts.answer.kept import kept
from handouts.answer.reply import LENGTHS, Length, PartReply, Reply, Spoken
from handouts.answer.say import BRIEF_WITH_CAUTION, Speaker, words_of_notice
from handouts.answer.streams import Aside, Bar
from handouts.answer.understand import Understood
from handouts.compose.carriers import classes_named
from handouts.compose.composer import Composer
from handouts.compose.setting import Setting
from handouts.errors import BadInput, HandoutsError
from handouts.files import ready_folder
from handouts.model.season import Season
from handouts.paths import Folders
from handouts.season.profile import Profile

# so many entries are shown with their scores
SCORED = 3


@dataclass
class Counts:
    """How many questions of a file were answered and how many were not."""

    answered: int = 0
    refused: int = 0


@dataclass(frozen=True)
class Stock:
    """What a desk works with: the base, the year of its dates, the usual species, a place of which nothing is known."""

    base: Base
    year: int
    species: str
    nowhere: Profile


def load_stock(where: Folders) -> Stock:
    """Load the content and build the base. Raises BadContent or BadInput."""
    from handouts import build
    from handouts.place.known import Known

    base = load_base(build.library(where))
    base.vocabulary.speller.ready()
    year = build.default_year(base.library)
    return Stock(base, year, build.DEFAULT_SPECIES, build.place_profile(Known(), where, year))


class Desk:
    """A loaded base with its caches; one desk answers any number of questions."""

    def __init__(self, where: Folders, *, near: Path | None = None, keep: bool = False) -> None:
        """Load the base; with `keep` from the cache folder the user named, where nothing has changed since."""
        self.where = where
        roots = (where.content,) if where.club is None else (where.content, where.club)
        stock: Stock = kept(roots, lambda: load_stock(where)) if keep else load_stock(where)
        self.stock = stock
        self.base = stock.base
        self.near = near or Path.cwd()
        self.year = stock.year
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

    def chosen(self, names: Sequence[str], place: str | None, length: Length, day: date | None) -> Reply:
        """Say the entries a person chose for a comment, as if the desk had found them. Raises BadInput."""
        for name in names:
            if name not in self.base.library.entries:
                raise BadInput(f"there is no answer {name!r}", expected="the name of a file in faq/")
        decisions = tuple(Decision("", "answer", name, 1.0, "") for name in names)
        spoken = [self._say("answer", name, (), place, length, day) for name in names]
        if len(decisions) == 1:
            return self._single(decisions[0], spoken[0], length, place)
        return self._several(decisions, spoken, length, place)

    def lacking(self, text: str, hazards: Iterable[str]) -> list[str]:
        """Return the words of each caution that a text written by hand needs and does not carry.

        It needs those of `hazards` and those of every plant or substance it names.
        """
        library = self.base.library
        plain = _flat(text)
        needed = dict.fromkeys([*hazards, *classes_named(library, text)])
        setting = self._setting(None, None, self.stock.species)
        missing = []
        for hazard in needed:
            forms = [words_of_notice(Composer(setting).notice(hazard, form)) for form in ("short", "full")]
            if not any(_flat(form) in plain for form in forms):
                missing.append(forms[0])
        return missing

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
            scores=self._scores(decision),
            length=length,
            place=place,
        )

    def _scores(self, decision: Decision) -> tuple[dict[str, object], ...]:
        if decision.ranking is None:
            return ()
        return tuple(item.to_json() for item in self.base.ranker.explained(decision.ranking, SCORED))

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
        said = self._say(decision.does, name, species, place, length, day)
        if decision.does == "answer" and self.base.topics[name].outlook:
            return self._looked_ahead(said, name, understood, species, place, length, day)
        return said

    def _looked_ahead(
        self,
        said: Spoken,
        name: str,
        understood: Understood,
        species: tuple[str, ...],
        place: str | None,
        length: Length,
        day: date | None,
    ) -> Spoken:
        """Begin an answer with the outlook of the chrysalis, where the question says when it formed."""
        from handouts.desk_outlook import formed_on, with_outlook

        year = day.year if day is not None else self.year
        kind = self._kinds(name, species)[0]
        formed = formed_on(understood, kind, self.base, year)
        if formed is None:
            return said
        profile, units = self._profile(place, year)
        system = "metric" if units == "metric" else "us"
        return with_outlook(said, self.base, profile, formed, kind, system, length, day)

    def _kinds(self, name: str, species: tuple[str, ...]) -> list[str]:
        """Return the species an entry is said for: those of its own that the question names, else all of its own."""
        subjects = self.base.library.subjects
        entry = self.base.library.entries.get(name)
        own = (
            [item for item in entry.subjects if item in subjects and subjects[item].kind == "species"] if entry else []
        )
        return [item for item in own if item in species] or own or [self.stock.species]

    def _make_spoken(
        self, does: str, name: str, species: tuple[str, ...], place: str | None, length: Length, day: date | None
    ) -> Spoken:
        library = self.base.library
        entry = library.entries.get(name) if does == "answer" else None
        composer = Composer(self._setting(place, day, self._kinds(name if does == "answer" else "", species)[0]))
        speaker = Speaker(self.base, composer, length, place_known=place is not None)
        if entry is not None:
            return speaker.entry(entry)
        return speaker.referral(next(guard for guard in self.base.guards if guard.id == name))

    def _setting(self, place: str | None, day: date | None, species: str) -> Setting:
        year = day.year if day is not None else self.year
        profile, units = self._profile(place, year)
        return Setting(
            library=self.base.library,
            profile=profile,
            season_of=self._season_of(place, year),
            species=species,
            year=year,
            start=day,
            system="metric" if units == "metric" else "us",
        )

    def _abstention(self, decision: Decision, length: Length) -> Spoken:
        base = self.base
        if decision.language is not None:
            return self._in_english(decision.language.says, decision.near)
        texts = [base.say(decision.reason or "not-covered")]
        near = [base.library.entries[name].question for name in decision.near]
        if near and decision.reason in ("unsure", "which"):
            lead = "" if decision.reason == "which" else base.say("near")
            listed = "\n".join(f"- {question}" for question in near)
            texts.append(f"{lead}\n{listed}".strip() if length == "standard" else f"{lead} {' '.join(near)}".strip())
        refer = () if decision.reason in ("empty", "which") else (base.say("ask-instead"),)
        return Spoken(("\n\n" if length == "standard" else " ").join(texts), refer=refer)

    def _in_english(self, says: str, near: Sequence[str]) -> Spoken:
        """Say a language's one sentence and offer entries by their English questions, with whom the first refers to."""
        entries = [self.base.library.entries[name] for name in near]
        composer = Composer(self._setting(None, None, self.stock.species))
        refer = _union(tuple(entry.refer) for entry in entries[:1])
        listed = "\n".join(f"- {entry.question}" for entry in entries)
        contacts = Speaker(self.base, composer, "standard", place_known=False).contacts(refer)
        texts = [f"{says} ({self.base.say('language')})", listed, *contacts]
        whom = _union([refer, (self.base.say("ask-instead"),)])
        return Spoken("\n\n".join(text for text in texts if text), refer=whom)

    # -- place -----------------------------------------------------------------------------------------------------

    def _place_in(self, understood: Understood) -> str | None:
        """Return a place that the text itself names well enough: a zone with its half."""
        zone = understood.slots.zone
        return f"zone={zone}" if zone and not zone.isdigit() else None

    def _make_profile(self, place: str | None, year: int) -> tuple[Profile, str | None]:
        club = self.base.library.club
        if place is None:
            return self.stock.nowhere, club.units if club else None
        from handouts import build

        known = build.known_place(place, self.near, self.where)
        return build.place_profile(known, self.where, year), known.units or (club.units if club else None)

    def _make_season_of(self, place: str | None, year: int) -> Callable[[str, int], Season]:
        """Return a function that makes the seasons of a place; nothing is worked out before it is asked."""

        @lru_cache(maxsize=1)
        def seasons() -> Callable[[str, int], Season]:
            from handouts import build

            found: Callable[[str, int], Season] = build.season_of(self.base.library, self._profile(place, year)[0])
            return found

        return lambda species, when: seasons()(species, when)


def _flat(text: str) -> str:
    return " ".join(text.lower().split())


def _union(groups: Iterator[tuple[str, ...]] | Any) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for group in groups for item in group))


# -- the two forms -----------------------------------------------------------------------------------------------------


def answer_one(
    question: str,
    stream: IO[bytes] | None,
    where: Folders,
    *,
    place: str | None = None,
    length: str = "standard",
    day: str | date | None = None,
) -> Reply:
    """Answer one question; see `answer_text`."""
    return answer_text(question, stream, Desk(where), place=place, length=length, day=day)[0]


def answer_text(
    question: str,
    stream: IO[bytes] | None,
    desk: Desk,
    *,
    place: str | None = None,
    length: str = "standard",
    day: str | date | None = None,
) -> tuple[Reply, str]:
    """Answer one question and return its text too; "-" reads it from `stream` (UTF-8, at most one megabyte).

    Raises BadInput for a place, day or length that cannot be read, and BadContent for content that does not fit.
    """
    text = _read_stream(stream) if question == "-" and stream is not None else question
    if len(text.encode(errors="replace")) > BYTE_LIMIT:
        raise BadInput("the question is too long", expected="at most one megabyte of text")
    wanted, when = read_length(length), read_day(day, "--date")
    return desk.reply(text, place, wanted, when), text


def answer_file(
    source: Path,
    target: Path,
    where: Folders | Desk,
    *,
    place: str | None = None,
    length: str = "standard",
    day: str | date | None = None,
    note: Callable[[str, Reply], None] | None = None,
) -> Counts:
    """Answer a file of comments (JSON lines {id, text, optional place, date}, or CSV) into one of JSON lines.

    Returns how many were answered. `note` is told each text and its reply.

    Lines are read, answered and written one by one, aside, and the file is renamed at the end: a line that cannot be
    read stops the run with one BadInput that names it, and nothing is left behind.
    """
    wanted, when = read_length(length), read_day(day, "--date")
    desk = where if isinstance(where, Desk) else Desk(where)
    if target.is_dir():
        raise BadInput("the output path is a folder", file=target, expected="a file name")
    ready_folder(target.parent)
    counts = Counts()
    comments, bar = Comments(source), Bar(source)
    with Aside(target) as out:
        for number, comment, reply in replies(desk, comments, place, wanted, when):
            out.write(json.dumps(replace(reply, id=comment.id).to_json(), ensure_ascii=False, default=str) + "\n")
            if note is not None:
                note(comment.text, reply)
            counts.answered += reply.answered
            counts.refused += not reply.answered
            bar.show(number, comments.read)
        bar.done()
    return counts


def replies(
    desk: Desk, comments: Comments, place: str | None, length: Length, day: date | None
) -> Iterator[tuple[int, Comment, Reply]]:
    """Yield each comment with its number and its reply. Raises BadInput with the line of what cannot be read."""
    for number, comment in enumerate(comments, 1):
        when = read_day(comment.date, "date", comments.source, comment.line) if comment.date else day
        try:
            reply = desk.reply(comment.text, comment.place or place, length, when)
        except BadInput as problem:
            raise replace_where(problem, comments.source, comment.line) from None
        yield number, comment, reply


def replace_where(problem: BadInput, file: Path, line: int) -> HandoutsError:
    """Return the refusal with the line of the questions file it came from."""
    found = problem.found or (str(problem.file) if problem.file else None)
    return BadInput(problem.problem, file=file, line=line, found=found, expected=problem.expected)


def read_length(text: str) -> Length:
    """Read the name of a length. Raises BadInput."""
    for length in LENGTHS:
        if text == length:
            return length
    raise BadInput("there is no such length", found=text, expected=", ".join(LENGTHS))


def read_day(text: Any, what: str, file: Path | None = None, line: int | None = None) -> date | None:
    """Read a day as YYYY-MM-DD; none is none. Raises BadInput with file and line."""
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
