"""Guards and an understood question in, the verdict out: refer to people, pin or forbid entries, or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from handouts.answer.lines import Line, check_names, parse_line, spread
from handouts.answer.typed import mapping, typed
from handouts.answer.understand import NEGATED, Understood
from handouts.answer.vocabulary import Vocabulary
from handouts.errors import BadContent
from handouts.model.facts import Id
from handouts.model.located import Located
from handouts.yamltext import read_yaml

# a concept counts for a guard even where the story only mentions it, but not where it is denied
ENOUGH = 0.55
WANTED_KIND = "ask"


class GuardRecord(Located):
    """One guard as it stands in the file."""

    does: Literal["refer", "refuse", "pin", "forbid"]
    when: list[str] = []
    unless: list[str] = []
    asked: Literal["yes", "no"] = "no"
    says: str = ""
    contacts: list[Id] = []
    cautions: list[Id] = []
    see: list[Id] = []
    entries: list[Id] = []
    firm: Literal["yes", "no"] = "yes"
    learned: str = ""


@dataclass(frozen=True)
class Guard:
    """A guard with its lines read."""

    id: str
    record: GuardRecord
    when: tuple[Line, ...]
    unless: tuple[Line, ...]

    @property
    def firm(self) -> bool:
        """Whether it stands however sure an answer is."""
        return self.record.firm == "yes"


@dataclass(frozen=True)
class Verdict:
    """What the guards decided: those that refer, refuse or pin, in their order; what is forbidden by any of them.

    To refuse: the question belongs to another field, whatever words it shares with this one.
    """

    refer: tuple[Guard, ...] = ()
    refuse: tuple[Guard, ...] = ()
    pin: tuple[Guard, ...] = ()
    forbidden: frozenset[str] = frozenset()
    names: tuple[str, ...] = ()


def load_guards(path: Path, vocabulary: Vocabulary) -> tuple[Guard, ...]:
    """Read the guards. Raises BadContent for unknown concepts and for a referral without words or contacts."""
    table = mapping(read_yaml(path).get("guards"), path, 1, "`guards`")
    guards: list[Guard] = []
    for name, value in table.items():
        record = typed(GuardRecord, mapping(value, path, table.lines[name], name), path)
        if record.does == "refer" and not (record.says and record.contacts):
            raise BadContent("a referral needs `says` and `contacts`", file=path, line=table.lines[name], found=name)
        if not record.when and not record.learned:
            raise BadContent("a guard needs `when` or `learned`", file=path, line=table.lines[name], found=name)
        if record.does in ("pin", "forbid") and not record.entries:
            raise BadContent(f"a guard that can {record.does} needs `entries`", file=path, line=table.lines[name])
        when, unless = (
            tuple(spread(parse_line(text), vocabulary) for text in lines) for lines in (record.when, record.unless)
        )
        used = [concept for line in (*when, *unless) for group in line for concept in group]
        check_names(used, vocabulary, path, table.lines[name])
        guards.append(Guard(name, record, when, unless))
    return tuple(guards)


def judge(guards: tuple[Guard, ...], understood: Understood, weights: list[float], vocabulary: Vocabulary) -> Verdict:
    """Return what the guards say of a question; words of weight nought (another part's) do not count."""
    everywhere = concept_strengths(understood, weights)
    asking = concept_strengths(understood, _asking(understood, weights))
    wanted = {
        name: strength if vocabulary.concepts[name].kind != WANTED_KIND else asking.get(name, 0.0)
        for name, strength in everywhere.items()
    }
    refer: list[Guard] = []
    refuse: list[Guard] = []
    pin: list[Guard] = []
    forbidden: set[str] = set()
    names: list[str] = []
    for guard in guards:
        present = wanted if guard.record.asked == "yes" else everywhere
        if not any(_met(line, present) for line in guard.when) or any(_met(line, present) for line in guard.unless):
            continue
        names.append(guard.id)
        if guard.record.does == "refer":
            refer.append(guard)
        elif guard.record.does == "refuse":
            refuse.append(guard)
        elif guard.record.does == "pin":
            pin.append(guard)
        else:
            forbidden.update(guard.record.entries)
    return Verdict(tuple(refer), tuple(refuse), tuple(pin), frozenset(forbidden), tuple(names))


def _asking(understood: Understood, weights: list[float]) -> list[float]:
    """Return the weights with the story at nought; a text that asks nowhere asks everywhere."""
    if not any(clause.asks for clause in understood.clauses):
        return weights
    asking = [0.0] * len(weights)
    for clause in understood.clauses:
        if clause.asks:
            asking[clause.start : clause.end] = weights[clause.start : clause.end]
    return asking


def concept_strengths(understood: Understood, weights: list[float]) -> dict[str, float]:
    """Return the strongest undenied mention of each concept among the words that count at all."""
    present: dict[str, float] = {}
    denied = {
        (hit.concept.removeprefix(NEGATED), hit.start) for hit in understood.hits if hit.concept.startswith(NEGATED)
    }
    for hit in understood.hits:
        if hit.concept.startswith(NEGATED) or max(weights[hit.start : hit.end], default=0.0) <= 0:
            continue
        strength = hit.weight * (2.0 if (hit.concept, hit.start) in denied else 1.0)
        present[hit.concept] = max(present.get(hit.concept, 0.0), strength)
    return present


def _met(line: Line, present: Mapping[str, float]) -> bool:
    return all(any(present.get(name, 0.0) >= ENOUGH for name in group) for group in line)
