"""Parts of a plan that single kinds of documents are made from: bench steps, the children's sheet, the video."""

from __future__ import annotations

from pydantic import Field

from handouts.model.facts import Id
from handouts.model.located import Located


class BenchStep(Located):
    """One step at the rearing shelf: what to do, and in words with names when, how often or how long."""

    do: str = Field(min_length=5)
    time: str | None = None


class Children(Located):
    """A plan for children: something to find, watch, draw and count, and what grown-up hands do.

    `draw` are the boxes to draw in, `count` the rows to count in; a caution of `cautions` is always carried.
    """

    title: str = Field(min_length=5)
    message: str
    do_this: list[str] = Field(min_length=3, max_length=7)
    picture: Id | None = None
    draw: list[str] = Field(min_length=2, max_length=6)
    count: list[str] = []
    wonder: list[str] = []
    grown_ups: list[str] = Field(min_length=3)
    cautions: list[Id] = []


class Scene(Located):
    """One part of a video: what is said, each point in one breath, what is read on the screen, what is shown."""

    title: str
    say: list[str] = Field(min_length=1)
    screen: list[str] = []
    show: list[str] = []


class Video(Located):
    """The plan as a video; description and comment stand alone where they are posted. `pace` names words a minute."""

    pace: str = Field(pattern=r"^\{[a-z0-9.-]+\}$")
    title: str = Field(min_length=5, max_length=100)
    scenes: list[Scene] = Field(min_length=2)
    description: str
    comment: str
