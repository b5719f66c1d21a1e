"""All records in one place, looked up by id."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from handouts.errors import BadContent, HandoutsError
from handouts.model.facts import Fact, ReferenceValue, Source, Subject
from handouts.model.records import Accepted, Caution, Club, Entry, Plan, Region, Words

T = TypeVar("T")


@dataclass(eq=False)
class Library:
    """The content and the club's additions, typed. `problems` lists every file that did not fit its format."""

    root: Path
    club_root: Path | None = None
    subjects: dict[str, Subject] = field(default_factory=dict)
    facts: dict[str, Fact] = field(default_factory=dict)
    owner: dict[str, str] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    references: dict[str, ReferenceValue] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    entries: dict[str, Entry] = field(default_factory=dict)
    plans: dict[str, Plan] = field(default_factory=dict)
    regions: dict[str, Region] = field(default_factory=dict)
    words: Words | None = None
    accepted: Accepted = field(default_factory=Accepted)
    club: Club | None = None
    problems: list[HandoutsError] = field(default_factory=list)
    replaced: dict[str, str] = field(default_factory=dict)

    def fact(self, name: str, file: Path | None = None, line: int | None = None) -> Fact:
        """Return the fact `name`. Raises BadContent with the nearest known name."""
        return self._get(self.facts, name, "fact", file, line)

    def plan(self, name: str, file: Path | None = None, line: int | None = None) -> Plan:
        """Return the plan `name`. Raises BadContent."""
        return self._get(self.plans, name, "plan", file, line)

    def subject(self, name: str, file: Path | None = None, line: int | None = None) -> Subject:
        """Return the subject `name`. Raises BadContent."""
        return self._get(self.subjects, name, "subject", file, line)

    def entry(self, name: str, file: Path | None = None, line: int | None = None) -> Entry:
        """Return the FAQ entry `name`. Raises BadContent."""
        return self._get(self.entries, name, "FAQ entry", file, line)

    def caution(self, name: str, file: Path | None = None, line: int | None = None) -> Caution:
        """Return the caution of the class `name`. Raises BadContent."""
        return self._get(self.cautions, name, "caution", file, line)

    def reference(self, name: str, file: Path | None = None, line: int | None = None) -> ReferenceValue:
        """Return the reference value `source#key`. Raises BadContent."""
        return self._get(self.references, name, "reference", file, line)

    def say(self, label: str) -> str:
        """Return one of the tool's own words. Raises BadContent when the words file lacks it."""
        if self.words is None or label not in self.words.labels:
            raise BadContent(f"the words file has no label {label!r}", file=self.root / "words" / "en.yml")
        return self.words.labels[label]

    def all_words(self) -> Words:
        """Return the tool's own words. Raises BadContent when there are none."""
        if self.words is None:
            raise BadContent("the words file is missing", file=self.root / "words" / "en.yml")
        return self.words

    def source_of(self, reference: str) -> Source:
        """Return the source a reference id belongs to."""
        return self._get(self.sources, reference.partition("#")[0], "source", None, None)

    def classes_of(self, subjects: Iterable[str]) -> list[str]:
        """Return the hazard classes the subjects carry, in order, each once."""
        found: dict[str, None] = {}
        for name in subjects:
            if name in self.subjects:
                found.update(dict.fromkeys(self.subjects[name].carries))
        return list(found)

    @staticmethod
    def _get(table: dict[str, T], name: str, what: str, file: Path | None, line: int | None) -> T:
        if name in table:
            return table[name]
        near = difflib.get_close_matches(name, table, n=1, cutoff=0.6)
        raise BadContent(
            f"there is no {what} {name!r}",
            file=file,
            line=line,
            remedy=f"Did you mean {near[0]!r}?" if near else "Check the spelling.",
        )
