"""The words folder in, the field's concepts out: a tree of terms that finds them in a row of words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from pydantic import Field

from handouts.answer.spell import Speller, distance, sound
from handouts.answer.typed import mapping, typed
from handouts.answer.words import stem, tokens
from handouts.errors import BadContent
from handouts.model.facts import Id
from handouts.model.located import Located
from handouts.yamltext import read_yaml

GAP = "~"
EXACT = "="
GAP_WORDS = 4
FOREIGN_KINDS = ("near", "aside", "foreign")
# how much a word weighs when a misspelling could stand for two
_TERM, _TEXT, _PLAIN = 4, 2, 1


class ConceptRecord(Located):
    """One concept as it stands in the file; lists are texts with commas."""

    preferred: str
    also: str = ""
    misspelt: str = ""
    broader: str = ""
    related: str = ""


class EverydayRecord(Located):
    """Small words, contractions, irregular forms and right spellings, each a text with spaces or commas."""

    light: str
    stop: str
    ours: str
    negators: str
    contractions: str
    forms: str
    known: str
    areas: str = ""


class LanguageRecord(Located):
    """A language the tool recognizes: its small words and the one sentence said in it."""

    name: str
    words: str
    says: str = Field(min_length=10)


@dataclass(frozen=True)
class Concept:
    """A concept with its kind and the concepts it is one of."""

    id: Id
    kind: str
    preferred: str
    broader: tuple[str, ...] = ()
    narrower: tuple[str, ...] = ()
    related: tuple[str, ...] = ()


@dataclass(frozen=True)
class Match:
    """A term found: which concepts it names and which words it covers (from, up to)."""

    concepts: tuple[str, ...]
    start: int
    end: int
    words: int


@dataclass(slots=True)
class _Node:
    next: dict[str, _Node] = field(default_factory=dict)
    gap: _Node | None = None
    concepts: tuple[str, ...] = ()


def listed(text: str) -> list[str]:
    """Return the items of a text with commas."""
    return [item for part in text.split(",") if (item := part.strip())]


@dataclass
class Vocabulary:
    """Concepts, the tree of their terms, the everyday words and the speller."""

    concepts: dict[str, Concept]
    languages: dict[str, LanguageRecord]
    light: frozenset[str]
    stop: frozenset[str]
    negators: frozenset[str]
    contractions: dict[str, tuple[str, ...]]
    forms: dict[str, str]
    weights: dict[str, int]
    ours: frozenset[str] = frozenset()
    fixes: dict[str, str] = field(default_factory=dict)
    areas: frozenset[str] = frozenset()
    root: _Node = field(default_factory=_Node)
    _speller: Speller | None = None

    # -- words -----------------------------------------------------------------------------------------------------

    @property
    def speller(self) -> Speller:
        """The speller over all words learned so far."""
        if self._speller is None:
            self._speller = Speller(self.weights, self.fixes)
        return self._speller

    def learn(self, words: Iterable[str], weight: int = _TEXT) -> None:
        """Count words of the base as rightly spelled."""
        for word in words:
            if self.weights.get(word, 0) < weight:
                self.weights[word] = weight
        self._speller = None

    def expand(self, raw: Sequence[str]) -> list[str]:
        """Write contractions out and drop possessive endings."""
        out: list[str] = []
        for word in raw:
            if word in self.contractions:
                out.extend(self.contractions[word])
            elif "'" in word:
                head, _, tail = word.partition("'")
                out.append(head)
                if tail == "t":
                    out.append("not")
            else:
                out.append(word)
        return out

    def stem(self, word: str) -> str:
        """Return the stem of a word, irregular forms first."""
        form = self.forms.get(word)
        return stem(form if form is not None else word)

    # -- terms -----------------------------------------------------------------------------------------------------

    def add_term(self, concept: str, term: str) -> None:
        """Let a term name a concept."""
        node = self.root
        parts = term.split(GAP)
        for index, part in enumerate(parts):
            if index:
                if node.gap is None:
                    node.gap = _Node()
                node = node.gap
            words = self.expand(tokens(part))
            kept = [word for word in words if word not in self.light]
            # "this year" must not shrink to "year": one bare word keeps its small companions
            kept = words if len(parts) == 1 and len(kept) < 2 else kept
            exact = part.strip().startswith(EXACT)
            for word in kept:
                node = node.next.setdefault(EXACT + word if exact else self.stem(word), _Node())
        if node is not self.root and concept not in node.concepts:
            node.concepts = (*node.concepts, concept)

    def matches(self, words: Sequence[str], breaks: frozenset[int] = frozenset()) -> Iterator[Match]:
        """Yield the terms standing in a row of words, left to right, the longest first, none inside another.

        No term reaches over the positions in `breaks` (the first word of a new sentence).
        """
        stems = [self.stem(word) for word in words]
        yield from self._within(words, stems, range(len(words)), breaks)

    def _within(
        self, words: Sequence[str], stems: Sequence[str], spots: range, breaks: frozenset[int]
    ) -> Iterator[Match]:
        at, first = spots.start, self.root.next
        while at < spots.stop:
            if stems[at] not in first and EXACT + words[at] not in first:
                at += 1
                continue
            path, concepts = self._longest(words, stems, at, spots.stop, breaks)
            if not concepts:
                at += 1
                continue
            end = path[-1] + 1
            yield Match(concepts, at, end, len(path))
            # the words a gap passed over may hold terms of their own
            for left, right in pairwise(path):
                if right - left > 1:
                    yield from self._within(words, stems, range(left + 1, right), breaks)
            at = end

    def _longest(
        self, words: Sequence[str], stems: Sequence[str], start: int, stop: int, breaks: frozenset[int]
    ) -> tuple[tuple[int, ...], tuple[str, ...]]:
        """Return the spots of the longest term that starts at `start`, and its concepts."""
        best: tuple[tuple[int, ...], tuple[str, ...]] = ((), ())
        todo: list[tuple[_Node, int, tuple[int, ...]]] = [(self.root, start, ())]
        while todo:
            node, at, path = todo.pop()
            if node.concepts and (len(path), -path[-1]) >= (len(best[0]), -best[0][-1] if best[0] else 0):
                same = best[1] if path == best[0] else ()
                best = (path, tuple(dict.fromkeys((*same, *node.concepts))))
            if node.gap is not None:
                for spot in range(at, min(at + GAP_WORDS + 1, stop)):
                    if spot in breaks and spot > start:
                        break
                    todo.extend((after, spot + 1, (*path, spot)) for after in self._steps(node.gap, words, stems, spot))
            if at < stop and node.next and (at == start or at not in breaks):
                if at > start and words[at] in self.light:
                    todo.append((node, at + 1, path))
                for key in (stems[at], EXACT + words[at]):
                    if key in node.next:
                        todo.append((node.next[key], at + 1, (*path, at)))
        return best

    @staticmethod
    def _steps(node: _Node, words: Sequence[str], stems: Sequence[str], at: int) -> Iterator[_Node]:
        for key in (stems[at], EXACT + words[at]):
            if key in node.next:
                yield node.next[key]

    def lineage(self, concept: str) -> tuple[str, ...]:
        """Return the concepts a concept is one of, nearest first."""
        found: dict[str, None] = {}
        todo = list(self.concepts[concept].broader)
        while todo:
            name = todo.pop(0)
            if name not in found and name != concept:
                found[name] = None
                todo.extend(self.concepts[name].broader)
        return tuple(found)

    def foreign(self, concept: str) -> bool:
        """Whether the concept belongs to another field."""
        return self.concepts[concept].kind in FOREIGN_KINDS


def load_vocabulary(folders: Iterable[Path]) -> Vocabulary:
    """Read the words of a content folder and of the folders after it, which may only add concepts.

    Raises BadContent or BadInput with file and line.
    """
    roots = list(folders)
    base = roots[0]
    path = base / "everyday.yml"
    everyday = typed(EverydayRecord, read_yaml(path), path)
    concepts, terms = _concepts([root / "concepts.yml" for root in roots])
    plain = [
        word for text in (everyday.light, everyday.stop, everyday.negators, everyday.known) for word in text.split()
    ]
    pairs = [item.partition("=") for item in listed(everyday.contractions)]
    forms = dict(item.split("=", 1) for item in listed(everyday.forms))
    vocabulary = Vocabulary(
        concepts=concepts,
        languages=_languages(base / "languages.yml"),
        light=frozenset(everyday.light.split()),
        stop=frozenset(everyday.stop.split()),
        negators=frozenset(everyday.negators.split()),
        contractions={short.strip(): tuple(long.split()) for short, _, long in pairs},
        forms=forms,
        weights={},
    )
    vocabulary.ours = frozenset(vocabulary.stem(word) for word in everyday.ours.split())
    vocabulary.learn(everyday.ours.split(), _TERM)
    vocabulary.learn(plain, _PLAIN)
    vocabulary.learn(forms, _PLAIN)
    vocabulary.learn((word for _, _, long in pairs for word in long.split()), _PLAIN)
    areas = {name for concept, spelled, _ in terms if concept in listed(everyday.areas) for name in spelled}
    vocabulary.areas = frozenset(areas)
    for concept, spelled, misspelt in terms:
        for term in spelled:
            vocabulary.add_term(concept, term)
            vocabulary.learn((word for word in tokens(term) if word.isalpha()), _TERM)
        for term in misspelt:
            vocabulary.add_term(concept, term)
            wrong, single = term.lstrip(EXACT), [word for word in spelled if word.isalpha()]
            if wrong.isalpha() and single:
                key = sound(wrong)
                alike = [word for word in single if sound(word) == key]
                near = alike or [word for word in single if word[0] == wrong[0]] or single
                vocabulary.fixes[stem(wrong)] = min(near[:4], key=lambda word: (distance(wrong, word, 6), word))
    return vocabulary


def _concepts(paths: list[Path]) -> tuple[dict[str, Concept], list[tuple[str, list[str], list[str]]]]:
    records: dict[str, tuple[str, ConceptRecord, Path]] = {}
    for path in paths:
        if not path.is_file():
            continue
        for kind, group in read_yaml(path).items():
            for name, data in mapping(group, path, None, f"the kind {kind!r}").items():
                if name in records:
                    raise BadContent(f"the concept {name!r} stands twice", file=path)
                records[name] = (kind, typed(ConceptRecord, mapping(data, path, None, name), path), path)
    narrower: dict[str, list[str]] = {}
    for name, (_, record, path) in records.items():
        for other in (*listed(record.broader), *listed(record.related)):
            if other not in records:
                raise BadContent(f"there is no concept {other!r}", file=path, line=record.line, found=name)
        for other in listed(record.broader):
            narrower.setdefault(other, []).append(name)
    concepts = {
        name: Concept(
            name,
            kind,
            record.preferred,
            tuple(listed(record.broader)),
            tuple(narrower.get(name, ())),
            tuple(listed(record.related)),
        )
        for name, (kind, record, _) in records.items()
    }
    terms = [
        (name, [record.preferred, *listed(record.also)], listed(record.misspelt))
        for name, (_, record, _) in records.items()
    ]
    return concepts, terms


def _languages(path: Path) -> dict[str, LanguageRecord]:
    table = mapping(read_yaml(path).get("languages"), path, 1, "`languages`")
    return {
        name: typed(LanguageRecord, mapping(value, path, table.lines[name], name), path)
        for name, value in table.items()
    }
