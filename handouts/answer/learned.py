"""A question's features in, how well each answer fits out: weights learned from the practice questions.

The file holds one row of small whole numbers for each feature, one column for each answer and for each reason not to
answer ("~outside", "~medical", ...). `python -m tests.questions.learn` makes it from the practice questions; nothing in
it was written by hand and nothing else is needed to use it.
"""

from __future__ import annotations

import json
import sys
from array import array
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handouts.errors import BadContent

# columns with this mark are reasons not to answer
ASIDE = "~"
OUTSIDE = "~outside"
MOST = 127


@dataclass(frozen=True)
class Learned:
    """The learned weights. `telling` says how rare each feature is, `scale` what one step of its row is worth."""

    columns: tuple[str, ...]
    rows: Mapping[str, int]
    telling: array[float]
    scale: array[float]
    offsets: array[float]
    steps: bytes
    about: Mapping[str, Any]

    def logits(self, found: Mapping[str, float]) -> tuple[dict[str, float], dict[str, float]]:
        """Return how well each column fits (a logit), and how much each known feature of the question counts."""
        rows, telling = self.rows, self.telling
        known = {name: weight * telling[rows[name]] for name, weight in found.items() if name in rows}
        length = sum(weight * weight for weight in known.values()) ** 0.5 or 1.0
        totals = list(self.offsets)
        table, width, scale = memoryview(self.steps).cast("b"), len(totals), self.scale
        for name, weight in known.items():
            row = rows[name]
            factor = weight / length * scale[row]
            start = row * width
            totals = [total + factor * step for total, step in zip(totals, table[start : start + width], strict=True)]
            known[name] = weight / length
        return dict(zip(self.columns, totals, strict=True)), known

    def because(self, column: str, known: Mapping[str, float], most: int = 3) -> tuple[str, ...]:
        """Return the features that spoke most for a column, most telling first."""
        at, width = self.columns.index(column), len(self.columns)
        table = memoryview(self.steps).cast("b")
        shares = {
            name: weight * self.scale[self.rows[name]] * table[self.rows[name] * width + at]
            for name, weight in known.items()
        }
        best = sorted(shares.items(), key=lambda item: (-item[1], item[0]))[:most]
        return tuple(name for name, share in best if share > 0)

    def rarity(self, feature: str) -> float:
        """Return how rare a feature is among the practice questions; nought for one that was never seen."""
        row = self.rows.get(feature)
        return 0.0 if row is None else self.telling[row]


def save_learned(
    path: Path,
    columns: Iterable[str],
    names: Iterable[str],
    telling: Iterable[float],
    weights: Iterable[Iterable[float]],
    offsets: Iterable[float],
    about: Mapping[str, Any],
) -> None:
    """Write the weights of each feature (one row for each of `names`), rounded to steps of their row's scale."""
    scales, steps = array("f"), array("b")
    for row in weights:
        kept = list(row)
        scale = max((abs(value) for value in kept), default=0.0) / MOST or 1.0
        scales.append(scale)
        steps.extend(round(value / scale) for value in kept)
    table = list(names)
    head = {"columns": list(columns), "features": len(table), **about}
    with path.open("wb") as stream:
        stream.write(json.dumps(head, sort_keys=True).encode() + b"\n")
        stream.write(json.dumps(table).encode() + b"\n")
        for values in (array("f", telling), scales, array("f", offsets)):
            if sys.byteorder == "big":
                values.byteswap()
            stream.write(values.tobytes())
        stream.write(steps.tobytes())


def load_learned(path: Path) -> Learned:
    """Read the weights. Raises BadContent when the file is missing or is not what it should be."""
    try:
        data = path.read_bytes()
        first = data.index(b"\n")
        second = data.index(b"\n", first + 1)
        head, names = json.loads(data[:first]), json.loads(data[first + 1 : second])
        columns = tuple(str(name) for name in head.pop("columns"))
        width, count, at = len(columns), int(head.pop("features")), second + 1
        parts: list[array[float]] = []
        for number in (count, count, width):
            values: array[float] = array("f")
            values.frombytes(data[at : at + 4 * number])
            if sys.byteorder == "big":
                values.byteswap()
            parts.append(values)
            at += 4 * number
        steps = data[at:]
        if len(names) != count or len(steps) != count * width or len(parts[2]) != width:
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError) as problem:
        raise BadContent(
            "the learned weights cannot be read",
            file=path,
            expected="the file that `python -m tests.questions.learn` writes",
        ) from problem
    telling, scale, offsets = parts
    rows = dict(zip(names, range(count), strict=True))
    return Learned(columns, rows, telling, scale, offsets, steps, head)
