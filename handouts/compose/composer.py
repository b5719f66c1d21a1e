"""Names in braces in, runs out; every figure shown becomes a claim, every hazard met asks for its caution."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

from handouts.compose import prose
from handouts.compose.carriers import classes_named
from handouts.compose.cite import Brief, citation
from handouts.compose.phrase import NBSP, Phrase, day_words, part_words, statement_phrase
from handouts.compose.setting import Setting
from handouts.errors import BadContent
from handouts.model.document import Block, Claim, Const, Figure, Items, Notice, Runs, Text
from handouts.model.facts import Fact, Statement
from handouts.model.library import Library
from handouts.model.numerals import typed_figures
from handouts.model.season import Window
from handouts.model.times import MONTHS

T = TypeVar("T")
_MODIFIERS = ("low", "high", "bare")
_PUBLIC = ("published", "derived", "proxy", "common-practice", "own-observation", "given")


class Composer:
    """Collects the claims, sources and cautions of one document while its text is put together."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.library: Library = setting.library
        self.claims: dict[str, Claim] = {}
        self.constants: dict[str, None] = {}
        self.subjects: dict[str, None] = {}
        self.marks: dict[str, None] = {}
        self._file: Path | None = None
        self._line: int | None = None

    # -- text ------------------------------------------------------------------------------------------------------

    def inline(self, text: str, file: Path | None = None, line: int | None = None) -> Runs:
        """Turn one line of Markdown with names into runs. Raises BadContent for typed figures and unknown names."""
        return self._with_place(text, file, line, prose.inline)

    def blocks(self, text: str, file: Path | None = None, line: int | None = None) -> tuple[Block, ...]:
        """Turn a Markdown text with names into blocks."""
        return self._with_place(text, file, line, prose.blocks)

    def _with_place(self, text: str, file: Path | None, line: int | None, turn: Callable[[str, prose.Resolve], T]) -> T:
        self._file, self._line = file, line
        for figure in typed_figures(text):
            raise BadContent(
                "a figure is typed in the text",
                file=file,
                line=None if line is None else line + text.count("\n", 0, figure.at),
                found=figure.text,
                remedy="Name a fact in braces, or put the figure in `values:` with its basis.",
            )
        try:
            return turn(text, self.resolve)
        except BadContent as problem:
            if problem.file is None:
                problem.file, problem.line = file, line
            raise

    def const(self, text: str, role: str) -> Runs:
        """Turn a text that is not ours (a name, a title, a statement) into runs with its figures declared."""
        runs = prose.constants(text, role)  # type: ignore[arg-type]
        self.constants.update({run.text: None for run in runs if isinstance(run, Const)})
        return runs

    # -- names -----------------------------------------------------------------------------------------------------

    def resolve(self, name: str) -> Runs:
        """Return the runs a name in braces stands for. Raises BadContent with file and line."""
        path, _, modifier = name.partition("|")
        if modifier and modifier not in _MODIFIERS:
            raise self._bad(f"the modifier {modifier!r} is not known", "low, high or bare")
        if path.startswith("season."):
            return self._season(path)
        if path.startswith("place."):
            return self._place(path)
        fact = self.library.fact(path, self._file, self._line)
        return self.fact(fact, fact.preferred, modifier or None, name)

    def fact(self, fact: Fact, statement: Statement, modifier: str | None = None, name: str | None = None) -> Runs:
        """Return a statement as a figure with its mark, and note its claim."""
        basis = statement.basis
        if basis.kind == "memory":
            raise self._bad(f"{fact.id} is known from memory only and may not be shown", "a fact with a public basis")
        owner = self.library.owner.get(fact.id, "")
        if owner in self.library.subjects:
            self.subjects[owner] = None
        for reference in statement.rests_on:
            self.library.reference(reference, statement.origin, statement.line)
        setting = self.setting
        phrase = statement_phrase(fact, statement, setting.system, setting.frosts, setting.year, modifier)
        shown, proxy = phrase.shown, None
        if basis.kind == "proxy":
            proxy = self.relative(basis.of)
            shown = f"{shown} in {proxy}"
        if fact.as_of is not None and basis.kind != "not-known" and not self._is_contact(fact.id):
            shown = f"{shown} (as of {MONTHS[fact.as_of.month - 1]} {fact.as_of.year})"
        kind = "derived" if phrase.parents else basis.kind
        marks = tuple(dict.fromkeys((kind, basis.kind))) if phrase.parents else (kind,)
        claim = Claim(
            id=name or fact.id,
            shown=shown,
            value=phrase.value,
            unit=phrase.unit,
            basis=kind,
            references=tuple(statement.rests_on),
            parents=(*((fact.id,) if phrase.parents else ()), *phrase.parents, *getattr(basis, "parents", ())),
            proxy=proxy,
            label=fact.label,
            detail=self._detail(statement, phrase),
            reviewed=self._reviewed(owner),
        )
        return (self._note(claim, phrase, tuple(mark for mark in marks if mark in _PUBLIC)),)

    def relative(self, of: str) -> str:
        """Return how a proxy is named in a sentence: "the spicebush swallowtail", "Wisconsin"."""
        if of in self.library.subjects:
            self.subjects[of] = None
            return f"the {self.library.subjects[of].names.common}"
        if of in self.library.regions:
            return self.library.regions[of].name
        return of

    def _detail(self, statement: Statement, phrase: Phrase) -> str:
        basis = statement.basis
        parts = [statement.conditions or ""]
        if basis.kind == "derived":
            parts.append(f"{basis.formula}; from {', '.join(basis.parents)}")
        elif basis.kind == "own-observation":
            parts.append(f"n = {basis.n}, {basis.period}, {basis.place}")
        elif basis.kind == "not-known":
            parts.append(f"looked for in: {basis.looked}")
        return "; ".join(filter(None, parts))

    def _reviewed(self, owner: str) -> str:
        for table in (self.library.subjects, self.library.plans, self.library.entries):
            if owner in table:
                return str(table[owner].reviewed)
        return ""

    def _season(self, path: str) -> Runs:
        parts = path.split(".")
        species, name = (parts[1], parts[2]) if len(parts) == 3 else (self.setting.species, parts[-1])
        self.library.subject(species, self._file, self._line)
        words = self.library.all_words().windows.get(name)
        if words is None:
            raise self._bad(f"there is no season window {name!r}", ", ".join(self.library.all_words().windows))
        window = self.setting.window(name, species)
        if window is None or not window.known:
            rule = self.library.facts.get(words.rule or "")
            if rule is not None and rule.preferred.time is not None:
                return self.fact(rule, rule.preferred)
            return (Text(words.unknown),)
        return (self.window(window, species, words.says),)

    def window(self, window: Window, species: str, says: str = "span") -> Figure:
        """Return a season window as a figure: thirds of months, never days."""
        assert window.low is not None
        assert window.high is not None
        middle = window.mid or window.low + (window.high - window.low) / 2
        low, high = part_words(window.low), part_words(window.high)
        if says == "span":
            shown = f"in {low}" if low == high else f"from {low} to {high}"
        elif says == "from":
            shown = f"from about {part_words(middle)}"
        elif says in ("by", "by-first"):
            shown = f"by about {part_words(window.said_by(says) or middle)}"
        else:
            shown = f"around {part_words(middle)}"
        if window.basis == "proxy" and window.proxy:
            shown = f"{shown}, going by the {window.proxy}"
        value = {
            "low": window.low.isoformat(),
            "mid": middle.isoformat(),
            "high": window.high.isoformat(),
        }
        claim = Claim(
            id=f"season.{species}.{window.id}",
            shown=shown,
            value=value,
            unit=None,
            basis=window.basis,
            references=tuple(item for item in window.inputs if "#" in item),
            parents=tuple(item for item in window.inputs if "#" not in item),
            proxy=window.proxy,
            label=window.label,
            detail=window.note,
        )
        marks = (window.basis,) if not window.proxy or window.basis == "proxy" else (window.basis, "proxy")
        phrase = Phrase(shown, value, None, f"{value['low']}/{value['high']}", "data")
        return self._note(claim, phrase, tuple(mark for mark in marks if mark in _PUBLIC))

    def _place(self, path: str) -> Runs:
        profile, name = self.setting.profile, path.removeprefix("place.")
        if name == "name":
            return self.const(profile.name or self.library.say("your-garden"), "name")
        if name == "zone":
            if not profile.zone:
                return (Text(self.library.say("your-zone")),)
            claim = Claim(path, f"zone{NBSP}{profile.zone}", profile.zone, None, "given", label="hardiness zone")
            return (self._note(claim, Phrase(claim.shown, profile.zone, None), ("given",)),)
        if name in ("last-freeze", "first-freeze"):
            side = name.removesuffix("-freeze")
            day = self.setting.frost(side)
            if day is None:
                return (Text(self.library.say(f"your-{name}")),)
            field = profile.freeze_field(side)
            assert field is not None
            shown = f"about {day_words(day)}"
            claim = Claim(
                path,
                shown,
                day.isoformat(),
                None,
                field.kind,
                label=self.library.say(f"label-{name}"),
                detail="; ".join(filter(None, (field.basis, field.source, field.period))),
            )
            phrase = Phrase(shown, day.isoformat(), None, day.isoformat(), "time")
            return (self._note(claim, phrase, (field.kind,)),)
        raise self._bad(f"there is no place value {name!r}", "name, zone, last-freeze or first-freeze")

    def figure(self, claim: Claim, machine: str | None = None, tag: str = "span", *, marked: bool = True) -> Figure:
        """Note a claim made elsewhere (a chart, a table) and return its figure."""
        marks = (claim.basis,) if marked and claim.basis in _PUBLIC else ()
        return self._note(claim, Phrase(claim.shown, claim.value, claim.unit, machine, tag), marks)  # type: ignore[arg-type]

    def _note(self, claim: Claim, phrase: Phrase, marks: tuple[str, ...]) -> Figure:
        claim_id, count = claim.id, 2
        while claim_id in self.claims and self.claims[claim_id].shown != claim.shown:
            claim_id = f"{claim.id}~{count}"
            count += 1
        noted = Claim(**{**claim.__dict__, "id": claim_id, "digest": self._digest(claim)})
        self.claims.setdefault(claim_id, noted)
        self.marks.update(dict.fromkeys(marks))
        return Figure(claim_id, claim.shown, marks, phrase.machine, phrase.tag)

    def _digest(self, claim: Claim) -> str:
        stated = [
            [name, self.library.references[name].model_dump(mode="json", exclude={"locator"})]
            for name in claim.references
            if name in self.library.references
        ]
        body = [claim.id.partition("|")[0], claim.value, claim.unit, claim.basis, claim.proxy, claim.parents, stated]
        return hashlib.sha256(json.dumps(body, sort_keys=True, default=str).encode()).hexdigest()[:16]

    def _bad(self, problem: str, expected: str) -> BadContent:
        return BadContent(problem, file=self._file, line=self._line, expected=expected)

    # -- what must stand beside the text ---------------------------------------------------------------------------

    def cautions_for(self, text: str, extra: list[str]) -> list[str]:
        """Return the hazard classes of `extra`, of the subjects used so far and of the names standing in `text`."""
        named = [*extra, *self.library.classes_of(self.subjects), *classes_named(self.library, text)]
        return list(dict.fromkeys(named))

    def notice(self, hazard: str, length: str = "full") -> Notice:
        """Return the caution of a hazard class as a block, with who to turn to."""
        caution = self.library.caution(hazard)
        text = caution.full if length == "full" else caution.short
        turn: list[Runs] = [self.contact(name) for name in caution.turn_to] if length == "full" else []
        runs = self.inline(text, caution.origin, caution.line)
        return Notice(hazard, caution.name, runs, tuple(turn), "full" if length == "full" else "short")

    def contact(self, name: str) -> Runs:
        """Return a contact's name and, where it has one with a public basis, its phone number."""
        subject = self.library.subject(name)
        fact = self.library.facts.get(f"{name}.phone")
        runs: Runs = (Text(subject.names.common[:1].upper() + subject.names.common[1:]),)
        if fact is not None and fact.preferred.basis.kind not in ("memory", "not-known"):
            runs = (*runs, Text(": "), *self.fact(fact, fact.preferred))
        return runs

    def sources(self, *, brief: Brief = None) -> tuple[Runs, ...]:
        """Return the numbered source list, each source once in reading order.

        Those of phone numbers stand on the claims sheet only; `brief`, for sheets of paper, leaves out how each source
        was reached.
        """
        known = [self.library.sources[name] for name in self.source_ids()]
        return tuple(self.const(citation(source, brief=brief), "cite") for source in known)

    def source_ids(self) -> list[str]:
        """Return the ids of the sources in the order of their list."""
        named = dict.fromkeys(
            reference.partition("#")[0]
            for claim in self.claims.values()
            for reference in claim.references
            if not self._is_contact(claim.id)
        )
        return [name for name in named if name in self.library.sources]

    def _is_contact(self, claim: str) -> bool:
        owner = self.library.subjects.get(claim.partition(".")[0])
        return owner is not None and owner.kind == "contacts"

    def numbered(self, items: Iterable[Runs], role: str) -> Items:
        """Return a numbered list; its numbers are constants of the document."""
        listed = tuple(items)
        self.constants.update(dict.fromkeys(str(number) for number in range(1, len(listed) + 1)))
        return Items(listed, ordered=True, role=role)

    def key(self) -> Items | None:
        """Return the key of the basis marks that this document uses; it names every relative and region."""
        named = [claim.proxy.split(", ") for claim in self.claims.values() if claim.proxy]
        relatives = dict.fromkeys(one for several in named for one in several)
        used = {claim.basis for claim in self.claims.values()} | set(self.marks) | ({"proxy"} if relatives else set())
        words = self.library.all_words().marks
        lines: list[Runs] = []
        for name, entry in words.items():
            if name in used:
                line: Runs = (Text(f"{entry['mark']} {entry['name']}: {entry['explained']}"),)
                if name == "proxy" and relatives:
                    line = (*line, Text(": "), *self.const(", ".join(relatives), "name"))
                lines.append(line)
        return Items(tuple(lines), role="key") if lines else None


def words_of(blocks: tuple[Block, ...]) -> str:
    """Return all visible words of some blocks, for the search for carriers."""
    return re.sub(r"\s+", " ", " ".join(_block_words(blocks)))


def _block_words(blocks: tuple[Block, ...]) -> list[str]:
    from handouts.model.document import Blank, Heading, Para, Picture, Slot, Table

    said: list[str] = []
    for block in blocks:
        if isinstance(block, Heading | Para | Notice):
            said.append(prose.plain(block.runs))
        elif isinstance(block, Items):
            said.extend(prose.plain(item) for item in block.items)
        elif isinstance(block, Table):
            said.extend((block.caption, *block.head))
            said.extend(prose.plain(cell) for row in block.rows for cell in row)
        elif isinstance(block, Picture):
            said.extend(
                (block.title, block.alt, prose.plain(block.caption), " ".join(re.findall(r">([^<]+)<", block.svg)))
            )
        elif isinstance(block, Slot):
            said.append(prose.plain(block.title))
            said.extend(_block_words(block.blocks))
        elif isinstance(block, Blank):
            said.append(block.label)
    return said
