"""What the desk hands back for a question: the words, what they rest on, and the fields of the contract."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

Length = Literal["brief", "standard", "spoken"]
LENGTHS: tuple[Length, ...] = ("brief", "standard", "spoken")


@dataclass(frozen=True)
class Spoken:
    """The words for one part and what is in them: claims as plain data, caution classes, contacts."""

    text: str
    facts: tuple[str, ...] = ()
    claims: tuple[dict[str, Any], ...] = ()
    cautions: tuple[str, ...] = ()
    refer: tuple[str, ...] = ()


@dataclass(frozen=True)
class PartReply:
    """One of several questions in a text and its own answer."""

    text: str
    answered: bool
    entry: str | None
    answer: str
    reason: str = ""
    refer: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The part as plain data."""
        return {
            "text": self.text,
            "answered": self.answered,
            "entry": self.entry,
            "answer": self.answer,
            "reason": self.reason,
            "refer": list(self.refer),
        }


@dataclass(frozen=True)
class Reply:
    """The answer to a text, or the abstention. `near` offers entries when the text was not answered, or more to read.

    `reason` is empty for an answer, else why there is none: not-covered, other-field, unsure, which, referred, empty,
    language. `scores` shows how the best entries were scored.
    """

    answered: bool
    entry: str | None
    score: float
    answer: str
    parts: tuple[PartReply, ...] = ()
    facts: tuple[str, ...] = ()
    claims: tuple[dict[str, Any], ...] = ()
    cautions: tuple[str, ...] = ()
    refer: tuple[str, ...] = ()
    reason: str = ""
    near: tuple[dict[str, str], ...] = ()
    scores: tuple[dict[str, Any], ...] = ()
    length: str = "standard"
    place: str | None = None
    id: Any = field(default=None)

    def to_json(self) -> dict[str, Any]:
        """The reply with the field names of the contract, and some more."""
        return {
            "id": self.id,
            "answered": self.answered,
            "entry": self.entry,
            "score": round(self.score, 3),
            "answer": self.answer,
            "parts": [part.to_json() for part in self.parts],
            "facts": list(self.facts),
            "cautions": list(self.cautions),
            "refer": list(self.refer),
            "reason": self.reason,
            "near": list(self.near),
            "length": self.length,
            "place": self.place,
            "claims": list(self.claims),
            "scores": list(self.scores),
        }
