"""A decision, a place and a length in, the words of the reply out: entry or referral, cautions, contacts, sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from handouts.answer.base import Base
from handouts.answer.guard import Guard
from handouts.answer.reply import Length, Spoken
from handouts.compose.carriers import classes_named
from handouts.compose.composer import Composer, words_of
from handouts.model.document import Block, Claim, Figure, Items, Notice, Para, Run, Runs, Styled
from handouts.model.records import Entry

BRIEF_WORDS, BRIEF_WITH_CAUTION = 60, 90
# whose figure it is stands in words beside it; a published one has its source below, a relative's name is in the phrase
_SAID = ("common-practice", "own-observation")
_LOCAL = re.compile(r"\{(?:season|place)\.")


class Speaker:
    """Says one entry or one referral with a composer made for the asker's place."""

    def __init__(self, base: Base, composer: Composer, length: Length, *, place_known: bool) -> None:
        self.base = base
        self.composer = composer
        self.length = length
        self.place_known = place_known
        self._marked: set[str] = set()
        self._practice = False

    def entry(self, entry: Entry) -> Spoken:
        """Say an entry at the wanted length with the cautions that must travel with it."""
        source = {"brief": entry.brief, "standard": entry.standard, "spoken": entry.spoken}[self.length]
        body = self.composer.blocks(source, entry.origin, entry.line)
        # cautions of the names that stand in the words come first: those may never be left out
        named = classes_named(self.base.library, words_of(body))
        self.composer.subjects.update(dict.fromkeys(entry.subjects))
        asked = self.composer.cautions_for(words_of(body), list(entry.cautions))
        parts = self._texts(body)
        about = self.base.library.classes_of(entry.subjects)
        cautions = self._cautions(parts, named, asked, whole={*entry.cautions, *about})
        if self.length == "standard":
            parts += self.contacts(entry.refer)
        hint = self.base.say("local-dates")
        if not self.place_known and _LOCAL.search(source) and self.length == "standard":
            parts.append(hint)
        parts += self._shown(entry.id, parts, cautions)
        return self._spoken(parts, cautions, entry.refer)

    def _shown(self, name: str, parts: list[str], cautions: list[tuple[str, str]]) -> list[str]:
        """Return the line that names the club's own video or sheet; in a short reply only where there is room."""
        shown = self.base.shown.get(name)
        if shown is None:
            return []
        line = f"{self.base.say('shown')} {shown.title if self.length == 'spoken' else shown.words}."
        said = sum(len(text.split()) for text in (*parts, *(words for _, words in cautions), line))
        room = BRIEF_WITH_CAUTION if cautions else BRIEF_WORDS
        return [] if self.length == "brief" and said + 2 > room else [line]

    def referral(self, guard: Guard) -> Spoken:
        """Say whom to turn to, and nothing that could be taken for a how-to."""
        record = guard.record
        body = self.composer.blocks(record.says, record.origin, record.line)
        named = classes_named(self.base.library, words_of(body))
        parts = self._texts(body)
        lines = [_words(self.composer.contact(name)) for name in record.contacts]
        contacts = f"{self.base.say('turn-to')} {'; '.join(lines)}."
        asked = list(dict.fromkeys([*record.cautions, *named]))
        cautions = self._cautions([*parts, contacts], record.cautions, asked, whole={*record.cautions})
        return self._spoken([*parts, contacts], cautions, record.contacts)

    # -- cautions --------------------------------------------------------------------------------------------------

    def _cautions(
        self, parts: list[str], must: Sequence[str], asked: Sequence[str], whole: set[str]
    ) -> list[tuple[str, str]]:
        """Return caution classes and their words; in a short reply those of `must` first, the rest as room allows."""
        full = self.length == "standard"
        said: dict[str, str] = {}
        todo = list(dict.fromkeys([*must, *asked]))
        room = BRIEF_WITH_CAUTION - sum(len(part.split()) for part in parts) - 2
        while todo:
            hazard = todo.pop(0)
            if hazard in said:
                continue
            notice = self.composer.notice(hazard, "full" if full and hazard in whole else "short")
            words = self._words(notice.runs)
            if self.length == "brief" and hazard not in must and len(words.split()) > room:
                continue
            said[hazard] = words
            room -= len(words.split())
            # a caution that names a carrier brings that carrier's own
            todo += [other for other in self.composer.cautions_for(words, []) if full and other not in said]
        return list(said.items())

    # -- text ------------------------------------------------------------------------------------------------------

    def _texts(self, blocks: Iterable[Block]) -> list[str]:
        texts: list[str] = []
        for block in blocks:
            if isinstance(block, Para):
                texts.append(self._words(block.runs))
            elif isinstance(block, Items):
                marks = [f"{number}. " if block.ordered else "- " for number in range(1, len(block.items) + 1)]
                lines = [mark + self._words(item) for mark, item in zip(marks, block.items, strict=True)]
                texts.append("\n".join(lines) if self.length == "standard" else " ".join(lines))
        return texts

    def _words(self, runs: Runs) -> str:
        return _words(runs, self._mark)

    def _mark(self, figure: Figure) -> str:
        claim = self.composer.claims.get(figure.claim)
        if claim is None or claim.id in self._marked:
            return ""
        if claim.id.startswith("season.") and claim.proxy:
            self._marked.add(claim.id)
            return f" ({self.base.say('judged-from')} {self._relative(claim.proxy)})"
        if not any(char.isdigit() for char in claim.shown):
            return ""
        for basis in _SAID:
            if basis in (claim.basis, *figure.marks):
                self._marked.add(claim.id)
                self._practice = True
                return f" ({self.base.say(basis)})"
        return ""

    def _relative(self, proxy: str) -> str:
        """Return how the ones that stand in are named: "the spicebush swallowtail", "Wisconsin"."""
        names = {subject.names.common for subject in self.base.library.subjects.values()}
        parts = (part.strip() for part in proxy.split(","))
        return ", ".join(f"the {part}" if part in names else part for part in parts)

    def contacts(self, names: Iterable[str]) -> list[str]:
        """Return the line that names who to turn to; none for no names."""
        lines = [_words(self.composer.contact(name)) for name in names]
        return [f"{self.base.say('turn-to')} {'; '.join(lines)}."] if lines else []

    def _spoken(self, parts: list[str], cautions: list[tuple[str, str]], refer: Iterable[str]) -> Spoken:
        texts = list(parts)
        if cautions:
            lines = [line for _, line in cautions]
            lead = self.base.say("caution")
            if self.length == "standard":
                texts.append("\n".join([lead, *(f"- {line}" for line in lines)]))
            else:
                texts.append(f"{lead} {' '.join(lines)}")
        if self.length == "standard":
            if self._practice:
                texts.append(self.base.say("practice-explained"))
            sources = [_words(line) for line in self.composer.sources()]
            if sources:
                listed = [f"{number}. {line}" for number, line in enumerate(sources, 1)]
                texts.append("\n".join([self.base.say("sources"), *listed]))
        text = ("\n\n" if self.length == "standard" else " ").join(texts)
        claims = [claim for claim in self.composer.claims.values() if _plain(claim.shown) in text]
        return Spoken(
            text,
            tuple(dict.fromkeys(_fact(claim) for claim in claims if not claim.id.startswith("place."))),
            tuple(_claim_json(claim) for claim in claims),
            tuple(hazard for hazard, _ in cautions),
            tuple(refer),
        )


def words_of_notice(notice: Notice) -> str:
    """Return a caution as plain text."""
    return _words(notice.runs)


def _words(runs: Runs, mark: Any = None) -> str:
    """Return runs as plain text with ordinary blanks; `mark` may add words behind a figure."""
    return _plain("".join(_word(run, mark) for run in runs))


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u00ad", "")


def _word(run: Run, mark: Any) -> str:
    if isinstance(run, Styled):
        return _words(run.runs, mark)
    if isinstance(run, Figure):
        return run.shown + (mark(run) if mark else "")
    return run.text


def _fact(claim: Claim) -> str:
    return claim.id.partition("|")[0].partition("~")[0]


def _claim_json(claim: Claim) -> dict[str, Any]:
    return {
        "id": claim.id,
        "shown": _plain(claim.shown),
        "value": claim.value,
        "unit": claim.unit,
        "basis": claim.basis,
        "references": list(claim.references),
        "parents": list(claim.parents),
        "proxy": claim.proxy,
        "digest": claim.digest,
    }
