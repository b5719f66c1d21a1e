"""Things that take stretches of a row come in; the lane for each goes out, so that nothing meets anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Generic, TypeVar

T = TypeVar("T")
Span = tuple[float, float]
_MOST_CHOICES = 4096  # beyond it, first fit alone decides


@dataclass(frozen=True)
class Option(Generic[T]):
    """One way to draw a thing: the stretches it takes, bar and words, and what the caller needs to draw it."""

    spans: tuple[Span, ...]
    what: T


def pack(things: Sequence[Sequence[Option[T]]], gap: float) -> list[tuple[int, Option[T]]]:
    """Return lane and option of each thing: the first lane, and in it the first option, that keeps `gap` free."""
    lanes: list[list[Span]] = []
    placed: list[tuple[int, Option[T]]] = []
    for options in things:
        for lane in range(len(lanes) + 1):
            if lane == len(lanes):
                lanes.append([])
            fit = next((option for option in options if _free(lanes[lane], option.spans, gap)), None)
            if fit is not None:
                lanes[lane] += fit.spans
                placed.append((lane, fit))
                break
    return placed


def pack_tight(things: Sequence[Sequence[Option[T]]], gap: float) -> list[tuple[int, Option[T]]]:
    """Like `pack`, but of all choices of options the one with the fewest lanes; earlier options win ties."""
    count = 1
    for options in things:
        count *= len(options)
    if count > _MOST_CHOICES:
        return pack(things, gap)
    best: tuple[tuple[int, int], list[tuple[int, Option[T]]]] | None = None
    for choice in product(*(range(len(options)) for options in things)):
        placed = pack([[options[at]] for options, at in zip(things, choice, strict=True)], gap)
        cost = (max((lane for lane, _ in placed), default=-1), sum(choice))
        if best is None or cost < best[0]:
            best = (cost, placed)
    return best[1] if best is not None else []


def _free(taken: Sequence[Span], wanted: Sequence[Span], gap: float) -> bool:
    return all(b + gap <= c or d + gap <= a for a, b in taken for c, d in wanted)
