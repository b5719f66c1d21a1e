"""The handout in large print: the finished handout in, the same blocks, claims and edition out as another kind."""

from __future__ import annotations

from dataclasses import replace

from handouts.compose.composer import Composer
from handouts.compose.kinds import handout
from handouts.model.document import Document
from handouts.model.records import Plan

KIND = "handout-large-print"


def enlarge(document: Document) -> Document:
    """Return a handout as its large-print edition; every word and figure stays, so the edition's id stays too."""
    return replace(document, kind=KIND)


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the handout of a plan and return it in large print."""
    return enlarge(handout.build(composer, plan))
