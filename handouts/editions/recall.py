"""What a club has given out in, what of it has changed since out: which editions, sheets and videos, from what to what.

Something has changed when the digest of a figure is no longer the same: its value, how it is known, or what its sources
state. A figure's place on the page, its wording and the prose around it play no part.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass, field
from typing import Any

from handouts.compose.phrase import NBSP
from handouts.editions.compare import plain, says_the_same
from handouts.editions.current import NoTelling, Today
from handouts.editions.record import Edition, Outside, Records, State, Stated, kept
from handouts.model.document import Claim

VALUE, BASIS, WITHDRAWN = "value changed", "basis changed", "fact withdrawn"
CAUTION, WINDOW = "caution class added", "season window moved"


@dataclass(frozen=True)
class Change:
    """One thing an item states that is no longer so.

    `id` is the figure's id, or that of the subject a caution was added to. `claim` is what stands today (None when it
    is taken back), `caution` the hazard class that was added. `same_words` says that a reader of the page sees no
    difference: only the days behind the words moved, or what a source states.
    """

    id: str
    label: str
    why: tuple[str, ...]
    old: str | None
    old_value: Any = None
    old_basis: str | None = None
    claim: Claim | None = None
    caution: str | None = None
    same_words: bool = False
    days: bool = False

    @property
    def new(self) -> str | None:
        """The words of today."""
        return self.claim.shown if self.claim is not None else None

    def to_json(self) -> dict[str, Any]:
        """The change as plain data."""
        return {
            "id": self.id,
            "label": self.label,
            "why": ", ".join(self.why),
            "old": self.old,
            "new": self.caution or self.new,
            "old_value": self.old_value,
            "new_value": kept(self.claim.value) if self.claim is not None else None,
            "unit": self.claim.unit if self.claim is not None else None,
            "old_basis": self.old_basis,
            "new_basis": self.claim.basis if self.claim is not None else None,
            "same_words": self.same_words,
        }


@dataclass(frozen=True)
class Affected:
    """An edition, or a video, sheet or post from outside, that states something that has changed."""

    item: Edition | Outside
    changes: tuple[Change, ...]

    @property
    def what(self) -> str:
        """edition, video, sheet or post."""
        return "edition" if isinstance(self.item, Edition) else self.item.kind

    def to_json(self) -> dict[str, Any]:
        """The item and its changes as plain data."""
        item = self.item
        edition = item if isinstance(item, Edition) else None
        return {
            "id": item.id,
            "what": self.what,
            "kind": item.kind,
            "title": item.title,
            "date": item.date.isoformat(),
            "topic": edition.topic if edition else None,
            "place": edition.place if edition else None,
            "status": edition.status if edition else None,
            "handed_out": places_of(item),
            "link": None if isinstance(item, Edition) else item.link,
            "file": str(item.origin),
            "changes": [change.to_json() for change in self.changes],
        }


@dataclass(frozen=True)
class Recall:
    """All that is affected, how much was looked through, and what could not be told."""

    affected: tuple[Affected, ...]
    editions: int
    outside: int
    notes: tuple[str, ...] = field(default=())

    def to_json(self) -> dict[str, Any]:
        """The recall as plain data."""
        return {
            "affected": [one.to_json() for one in self.affected],
            "checked": {"editions": self.editions, "outside": self.outside},
            "notes": list(self.notes),
        }


def places_of(item: Edition | Outside) -> list[str]:
    """Return where an item was handed out, as far as said."""
    if isinstance(item, Outside):
        return []
    said = [item.handed_out, *(given.handed_out for given in item.again)]
    return list(dict.fromkeys(text for text in said if text))


def recall(found: Records, today: Today) -> Recall:
    """Hold everything recorded against today's facts. Raises BadContent when the library itself does not hold."""
    affected: list[Affected] = []
    notes: list[str] = []
    for edition in found.editions:
        changes = _of_edition(edition, today, notes)
        if changes:
            affected.append(Affected(edition, tuple(changes)))
    for outside in found.outside:
        changes = _of_outside(outside, today, notes)
        if changes:
            affected.append(Affected(outside, tuple(changes)))
    return Recall(tuple(affected), len(found.editions), len(found.outside), tuple(dict.fromkeys(notes)))


# -- editions ----------------------------------------------------------------------------------------------------------


def _of_edition(edition: Edition, today: Today, notes: list[str]) -> list[Change]:
    changes: list[Change] = []
    for old in edition.claims:
        try:
            now = today.claim(old, edition.made_for, edition.kind, edition.topic)
        except NoTelling as reason:
            notes.append(f"{edition.origin}: {old.id} was not checked: {reason}")
            continue
        change = _changed(old, now, days=edition.kind == "calendar")
        if change is not None and not any(_alike(change, other) for other in changes):
            changes.append(change)
    library = today.library
    for subject, carried in edition.subjects.items():
        if subject in library.subjects:
            had = {*carried, *edition.cautions}
            changes.extend(
                _added(today, subject, [name for name in library.subjects[subject].carries if name not in had])
            )
    return changes


def _alike(one: Change, other: Change) -> bool:
    """Whether two figures of a page say one thing: a window in text and chart, a fact twice in the same words."""
    first, second = (change.id.partition("|")[0].partition("~")[0] for change in (one, other))
    if first != second or one.why != other.why:
        return False
    return one.old_value == other.old_value if first.startswith("season.") else one.old == other.old


def _changed(old: Stated, now: Claim | None, *, days: bool) -> Change | None:
    window = old.id.startswith("season.")
    if now is None:
        gone = WINDOW if window else WITHDRAWN
        return Change(old.id, old.label or old.id, (gone,), _words(old.shown), old.value, old.basis)
    moved = kept(now.value) != kept(old.value) or (now.unit or None) != (old.unit or None)
    if not moved and now.digest == old.digest:
        return None
    known = (now.basis, now.proxy) != (old.basis, old.proxy)
    why = ((WINDOW if window else VALUE,) if moved else ()) + ((BASIS,) if known or not moved else ())
    same_words = _words(now.shown) == _words(old.shown) and not known
    return Change(
        old.id,
        now.label or old.label or old.id,
        why,
        _words(old.shown),
        kept(old.value),
        old.basis,
        now,
        same_words=same_words and not days,
        days=days and window and _words(now.shown) == _words(old.shown),
    )


def _added(today: Today, subject: str, classes: list[str]) -> list[Change]:
    library = today.library
    names = library.subjects[subject].names
    return [
        Change(subject, names.common, (CAUTION,), None, caution=name) for name in classes if name in library.cautions
    ]


def _words(text: str) -> str:
    return text.replace(NBSP, " ")


# -- videos, sheets and posts from outside -----------------------------------------------------------------------------


def _of_outside(entry: Outside, today: Today, notes: list[str]) -> list[Change]:
    changes = [change for state in entry.states if (change := _state(entry, state, today, notes)) is not None]
    library = today.library
    if entry.carried is not None:
        for subject in dict.fromkeys(state.base.partition(".")[0] for state in entry.states):
            if subject in library.subjects:
                new = [name for name in library.subjects[subject].carries if name not in entry.carried]
                changes.extend(_added(today, subject, new))
    return changes


def _state(entry: Outside, state: State, today: Today, notes: list[str]) -> Change | None:
    library = today.library
    modifier = state.fact.partition("|")[2]
    said = state.shown or _value_words(state.value)
    fact = library.facts.get(state.base)
    claims = list(today.fact_claims(state.base, modifier, today.setting())) if fact is not None else []
    if fact is None and state.digest is None:
        near = difflib.get_close_matches(state.base, library.facts, n=1, cutoff=0.8)
        hint = f"; if it was mistyped, did you mean {near[0]!r}?" if near else ""
        notes.append(f"{entry.origin}:{state.line}: there is no fact {state.base!r} today{hint}")
    if fact is None or not claims:
        return Change(
            state.fact, fact.label if fact else state.fact, (WITHDRAWN,), said, kept(state.value), state.basis
        )
    now = claims[0]
    if state.digest is not None:
        moved = state.value is not None and kept(state.value) != kept(now.value)
        if not moved and now.digest == state.digest:
            return None
    elif state.shown is None and state.value is None:
        notes.append(f"{entry.origin}:{state.line}: {state.fact} was not checked: write what it said as `shown`")
        return None
    else:
        moved = not says_the_same(state, fact.preferred, today, modifier)
    known = state.basis is not None and state.basis != now.basis
    if not moved and not known and state.digest is None:
        return None
    why = ((VALUE,) if moved else ()) + ((BASIS,) if known or not moved else ())
    same = said is not None and plain(said) == plain(now.shown) and not known
    return Change(state.fact, now.label, why, said, kept(state.value), state.basis, now, same_words=same)


def _value_words(value: Any) -> str | None:
    if value is None:
        return None
    if isinstance(value, dict):
        ends = [str(value[key]) for key in ("low", "high", "about", "exactly", "from", "to", "at") if key in value]
        return " to ".join(dict.fromkeys(ends))
    return str(value)
