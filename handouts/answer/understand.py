"""A question as typed in, what it is about out: clauses, mended words, concepts (denied or not), figures."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from handouts.answer.clean import Language, clean, has_words, other_language
from handouts.answer.slots import Slots, find_slots
from handouts.answer.vocabulary import Vocabulary
from handouts.answer.words import plain_letters, tokens

WORD_LIMIT = 1000
NEGATED = "!"
# how much a hit counts: as found, mended by spelling, by way of a narrower concept, when negated
MENDED, BROADER, DENIED = 0.85, 0.6, 0.5
NEGATION_REACH = 4
# a figure with a measure may belong to anything in the text
HINTED, MEASURES = 0.4, frozenset({"size", "place-far", "duration", "measure"})
# who may have swallowed something, and who eats plants by rights
SWALLOWERS = frozenset({"child", "pet", "dog", "cat", "farm-animal", "grown-person"})
EATERS = frozenset({"caterpillar", "butterfly", "egg", "chrysalis", "predator", "wasp", "mouse", "ant"})
EATER_REACH = 3
# "how do i no" is "how do I know"
_KNOWERS = frozenset({"i", "you", "we", "to"})

_SENTENCE = re.compile(r"(?<=[.!?])[\"')\]]*\s+|\n+|(?<=[.!?])(?=[A-Z])|\s[\u2013\u2014-]{1,2}\s|;\s")
_STARTERS = (
    r"what|whats|when|where|why|how|which|who|whose|is|are|am|was|were|do|does|did|can|could|should|shall|will|would|may|must|"
    r"has|have|any|wat|wen|wich|shoud|shud|wats|if so|if not|isn't|aren't|won't|don't|doesn't"
)
_ASKS = re.compile(
    rf"^(?:(?:and|but|or|so|also|ok|okay|hi|hello|please|help|now|then|well|oh)[, ]+)*(?:{_STARTERS})\b|"
    r"\b(?:tell me|i wonder|wondering|wanted to know|want to know|would like to know|i'd like to know|need to know|"
    r"i would like to|any ideas?|any advice|please (?:help|look|tell)|what (?:should|do|can) (?:i|we)|"
    r"how (?:do|can|should) (?:i|we|you)|(?:should|can|could|may) (?:i|we) )",
    re.I,
)
# "in Ohio, where our last freeze is late" tells more of Ohio, it does not ask
_TELLS = (
    r"(?:where|when|which|who) "
    r"(?:i|we|it|he|she|they|my|our|his|her|its|their|the|there|gets?|got|came|comes|had)\b"
)
_CUT = re.compile(
    rf",? (?=(?:and|but|or) (?:also |then |if not,? |if so,? )?(?:{_STARTERS})\b)|, (?!{_TELLS})(?=(?:{_STARTERS})\b)",
    re.I,
)
# "If I want to raise ten, how many …" is one question
_CONDITION = re.compile(
    r"^(?:if|since|because|while|although|though|now that|once|as|after|before|until|given|assuming|seeing)\b"
    r"(?!\s+(?:so|not)\b)",
    re.I,
)
# "She named it Pickle": what follows is a name, not a pickle
_NAMED = re.compile(
    r"\b(?:named|name|names?(?: is| are)|call|called|calls|calling|naming|christened)"
    r"(?: (?:it|him|her|them|this one|that one|the \w+))? (?P<name>[A-Z][a-z]+)\b"
)
_GREETING = re.compile(
    r"^(?:hi|hello|hey|dear|greetings|thank|thanks|sorry|love your|good (?:morning|evening|afternoon))\b", re.I
)


@dataclass(frozen=True)
class Clause:
    """One stretch of the text: which words (from, up to), whether it asks, whether it only greets."""

    text: str
    start: int
    end: int
    asks: bool
    greets: bool


@dataclass(frozen=True)
class Hit:
    """A concept found at some words; `weight` is below 1 for a mended, broader or denied one."""

    concept: str
    start: int
    end: int
    weight: float


@dataclass(frozen=True)
class Understood:
    """A question taken apart."""

    text: str
    language: Language | None
    words: tuple[str, ...]
    stems: tuple[str, ...]
    clauses: tuple[Clause, ...]
    hits: tuple[Hit, ...]
    slots: Slots
    mended: tuple[tuple[str, str], ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to answer."""
        return not self.words

    def concepts(self) -> set[str]:
        """All concepts found, the negated ones with "!" before them."""
        return {hit.concept for hit in self.hits}

    def has(self, *names: str) -> bool:
        """Whether one of the concepts was found."""
        return any(hit.concept in names for hit in self.hits)


def understand(text: str, vocabulary: Vocabulary) -> Understood:
    """Take a question apart. Never raises for odd input: what cannot be read leaves an empty Understood."""
    plain = clean(text)
    if not has_words(plain):
        language = other_language(plain, vocabulary)
        return Understood(plain, language, (), (), (), (), Slots())
    words: list[str] = []
    clauses: list[Clause] = []
    mended: list[tuple[str, str]] = []
    fixed: set[int] = set()
    careful = _careful(plain, vocabulary)
    for part, asks, greets in _clauses(plain):
        start = len(words)
        for word in vocabulary.expand(tokens(part)):
            right = vocabulary.speller.correct(word, careful=careful)
            if right is None or right == word:
                words.append(word)
                continue
            mended.append((word, right))
            fixed.add(len(words))
            words.append(right)
        if len(words) > start:
            clauses.append(Clause(part, start, len(words), asks, greets))
        if len(words) >= WORD_LIMIT:
            break
    raw = vocabulary.expand(tokens(plain))
    stems = [vocabulary.stem(word) for word in words]
    slots = find_slots(plain_letters(plain))
    hits = _hits(vocabulary, words, clauses, fixed)
    hits += _typed_hits(vocabulary, raw, words, clauses, fixed)
    names = {match["name"].lower() for match in _NAMED.finditer(plain)}
    if names:
        hits = [hit for hit in hits if not names.issuperset(words[hit.start : hit.end])]
    hits += _swallowed(hits, words, vocabulary)
    hits = [_as_place(hit, words) for hit in hits]
    for name, at in slots.hints:
        spot = _where(plain, at, clauses)
        hits.append(Hit(name, spot, spot + 1, HINTED if name in MEASURES else 1.0))
    return Understood(
        plain,
        other_language(plain, vocabulary),
        tuple(words),
        tuple(stems),
        tuple(clauses),
        tuple(hits),
        slots,
        tuple(mended),
    )


def _careful(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a text is typed with care: it starts with a capital, ends with a stop and uses no slang short form."""
    words = [word for word in tokens(text) if word in vocabulary.contractions and "'" not in word]
    return text[0].isupper() and text[-1] in ".?!)\"'" and not words


def _clauses(text: str) -> Iterable[tuple[str, bool, bool]]:
    """Cut a text into sentences, and asking sentences again at "and what", "or should" and the like."""
    for sentence in _SENTENCE.split(text):
        sentence = sentence.strip()
        if not sentence:
            continue
        asks = sentence.endswith("?") or bool(_ASKS.search(sentence))
        greets = bool(_GREETING.match(sentence)) and not asks
        if not asks:
            yield sentence, False, greets
            continue
        if _CONDITION.match(sentence):
            yield sentence, True, False
            continue
        parts = [part.strip() for part in _CUT.split(sentence) if part.strip()]
        # "Zone 7a in Tennessee, what week …": what stands before the question tells, it does not ask
        asking = [bool(_ASKS.search(part)) for part in parts]
        for part, own in zip(parts, asking, strict=True):
            yield part, own or not any(asking), False


def _where(text: str, at: int, clauses: list[Clause]) -> int:
    """Return the word position a character offset falls on, near enough for weighing."""
    before = 0
    for clause in clauses:
        found = text.find(clause.text, before)
        if found < 0:
            continue
        if found <= at < found + len(clause.text):
            share = (at - found) / max(1, len(clause.text))
            return min(clause.end - 1, clause.start + int(share * (clause.end - clause.start)))
        before = found
    return 0


def _hits(vocabulary: Vocabulary, words: list[str], clauses: list[Clause], fixed: set[int]) -> list[Hit]:
    hits: list[Hit] = []
    breaks = frozenset(clause.start for clause in clauses)
    for match in vocabulary.matches(words, breaks):
        denied = _denied(vocabulary, words, match.start, breaks)
        weight = MENDED if any(spot in fixed for spot in range(match.start, match.end)) else 1.0
        for concept in match.concepts:
            hits.extend(_with_broader(vocabulary, concept, match.start, match.end, weight, denied))
    return hits


def _with_broader(
    vocabulary: Vocabulary, concept: str, start: int, end: int, weight: float, denied: bool
) -> Iterable[Hit]:
    if denied:
        yield Hit(NEGATED + concept, start, end, weight)
        weight *= DENIED
    yield Hit(concept, start, end, weight)
    for other in vocabulary.lineage(concept):
        yield Hit(other, start, end, weight * BROADER)


def _as_place(hit: Hit, words: list[str]) -> Hit:
    """ "zone 6a" says where somebody lives; it seldom asks what a zone is."""
    following = words[hit.end] if hit.end < len(words) else ""
    if hit.concept == "zone" and following[:1].isdigit():
        return replace(hit, weight=hit.weight * HINTED)
    return hit


def _swallowed(hits: list[Hit], words: list[str], vocabulary: Vocabulary) -> list[Hit]:
    """Find "the dog ate", "our two goats have eaten": a creature right before a verb of eating is the one who eats."""
    found: list[Hit] = []
    stages = {spot for hit in hits if hit.concept in EATERS for spot in range(hit.start, hit.end)}
    for verb in (hit for hit in hits if hit.concept == "swallow-verb"):
        for hit in hits:
            gap = range(hit.end, verb.start)
            near = hit.concept in SWALLOWERS and 0 <= verb.start - hit.end <= EATER_REACH
            if (
                near
                and not stages.intersection(gap)
                and not any(words[spot] in ("that", "who", "whose") for spot in gap)
            ):
                found.append(Hit("swallow-act", verb.start, verb.end, 1.0))
                break
    return found


def _denied(vocabulary: Vocabulary, words: list[str], at: int, breaks: frozenset[int]) -> bool:
    for spot in range(at - 1, max(-1, at - 1 - NEGATION_REACH), -1):
        if words[spot] in vocabulary.negators and not (words[spot] == "no" and spot and words[spot - 1] in _KNOWERS):
            return True
        if spot in breaks:
            return False
    return False


def _typed_hits(
    vocabulary: Vocabulary, raw: list[str], words: list[str], clauses: list[Clause], fixed: set[int]
) -> list[Hit]:
    """Find terms among the words as typed, for known misspellings that the speller read as another word."""
    if not fixed or len(raw) != len(words):
        return []
    hits: list[Hit] = []
    breaks = frozenset(clause.start for clause in clauses)
    for match in vocabulary.matches(raw, breaks):
        if any(spot in fixed for spot in range(match.start, match.end)):
            denied = _denied(vocabulary, words, match.start, breaks)
            for concept in match.concepts:
                hits.extend(_with_broader(vocabulary, concept, match.start, match.end, MENDED, denied))
    return hits
