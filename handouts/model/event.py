"""A workshop: title, day, place, people, topics."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from handouts.model.facts import Day, Id
from handouts.model.forms import FORMS
from handouts.model.located import Located

# What an event gets when it names no documents, and all that it may name.
USUAL = ("handout", "talk-notes", "faq-sheet", "poster", "calendar", "claims")
DOCUMENTS = (
    *USUAL,
    "handout-large-print",
    "bench-card",
    "childrens-sheet",
    "video-notes",
    "place-sheet",
    *FORMS,
)


class EventFile(Located):
    """One event file. `place` is a file name, a name in the club's places, inline text, or the fields themselves."""

    title: str = Field(min_length=3, max_length=200)
    date: Day
    start: str | None = None
    minutes: Annotated[int, Field(ge=5, le=480)] = 30
    people: Annotated[int, Field(ge=1, le=5000)] = 12
    audience: str | None = Field(default=None, max_length=400)
    place: Any
    topics: list[Id] = Field(min_length=1, max_length=20)
    species: list[Id] = []
    documents: list[str] = list(USUAL)
    large_print: bool = True
    units: Literal["us", "metric"] | None = None
    paper: Literal["letter", "a4"] | None = None
    poster_paper: Literal["tabloid", "letter", "a3", "a4"] | None = None
    handed_out: str | None = None
    notes: str | None = None

    @field_validator("start")
    @classmethod
    def _clock(cls, text: str | None) -> str | None:
        if text is not None and not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", text):
            raise ValueError(f"{text!r} is no time of day; expected HH:MM, such as 18:30")
        return text

    @field_validator("documents")
    @classmethod
    def _kinds(cls, kinds: list[str]) -> list[str]:
        for kind in kinds:
            if kind not in DOCUMENTS:
                raise ValueError(f"{kind!r} is no kind of document; expected one of {', '.join(DOCUMENTS)}")
        return kinds

    @property
    def kinds(self) -> list[str]:
        """The kinds to make: those named, and beside a handout its large-print edition unless that is not wanted."""
        large = self.large_print and "handout" in self.documents and "handout-large-print" not in self.documents
        return [
            kind
            for named in self.documents
            for kind in ((named, "handout-large-print") if large and named == "handout" else (named,))
        ]

    def facts(self) -> dict[str, Any]:
        """The event with the field names of `kit.json`."""
        return {
            "title": self.title,
            "date": self.date.isoformat(),
            "start": self.start,
            "minutes": self.minutes,
            "people": self.people,
            "audience": self.audience,
            "topics": self.topics,
            "units": self.units or "us",
            "paper": self.paper or "letter",
        }
