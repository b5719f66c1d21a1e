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
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from handouts.errors import BadContent

# columns with this mark are reasons not to answer
ASIDE = "~"
OUTSIDE = "~outside"
# a step is a byte, MIDDLE for nought; a field of a row taken as one number is so many bytes wide, and a factor is taken
# as a whole number up to FINE: 255 * FINE * the features of a thousand words stay far below what a field holds
MOST, MIDDLE, FIELD, FINE = 127, 128, 8, 1 << 20
# so many rows are kept as numbers
MADE_MOST = 4096


@dataclass(frozen=True)
class Learned:
    """The learned weights. `telling` says how rare each feature is, `scale` what one step of its row is worth."""

    columns: tuple[str, ...]
    rows: Mapping[str, int]
    telling: array[float]
    scale: array[float]
    offsets: array[float]
    steps: memoryview
    about: Mapping[str, Any]
    data: bytes = field(repr=False)
    made: dict[int, int] = field(default_factory=dict, compare=False, repr=False)

    def __getstate__(self) -> bytes:
        """The weights as the bytes of their file."""
        return self.data

    def __setstate__(self, state: bytes) -> None:
        self.__dict__.update(read_learned(state).__dict__)

    def logits(self, found: Mapping[str, float]) -> tuple[dict[str, float], dict[str, float]]:
        """Return how well each column fits (a logit), and how much each known feature of the question counts.

        A row is one long number with a field for each column, so that one multiplication serves all columns at once.
        """
        rows, telling = self.rows, self.telling
        known = {name: weight * telling[rows[name]] for name, weight in found.items() if name in rows}
        length = sum(weight * weight for weight in known.values()) ** 0.5 or 1.0
        known = {name: weight / length for name, weight in known.items()}
        factors = [(rows[name], weight * self.scale[rows[name]]) for name, weight in known.items()]
        fine = FINE / max((factor for _, factor in factors), default=1.0)
        total = whole = 0
        for row, factor in factors:
            times = round(factor * fine)
            total += times * self._row(row)
            whole += times
        fields = array("Q")
        fields.frombytes(total.to_bytes(FIELD * len(self.columns), "little"))
        if sys.byteorder == "big":
            fields.byteswap()
        middle = whole * MIDDLE
        pairs = zip(self.columns, self.offsets, fields, strict=True)
        return {name: offset + (value - middle) / fine for name, offset, value in pairs}, known

    def _row(self, row: int) -> int:
        """Return a row as one number, its first column in the lowest field."""
        made = self.made.get(row)
        if made is None:
            width = len(self.columns)
            fields = bytearray(FIELD * width)
            fields[::FIELD] = self.steps[row * width : (row + 1) * width]
            made = int.from_bytes(fields, "little")
            if len(self.made) >= MADE_MOST:
                self.made.clear()
            self.made[row] = made
        return made

    def because(self, column: str, known: Mapping[str, float], most: int = 3) -> tuple[str, ...]:
        """Return the features that spoke most for a column, most telling first."""
        at, width, rows = self.columns.index(column), len(self.columns), self.rows
        shares = {
            name: weight * self.scale[rows[name]] * (self.steps[rows[name] * width + at] - MIDDLE)
            for name, weight in known.items()
        }
        best = sorted(shares.items(), key=lambda item: (-item[1], item[0]))[:most]
        return tuple(name for name, share in best if share > 0)


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
    scales, steps = array("f"), bytearray()
    for row in weights:
        kept = list(row)
        scale = max((abs(value) for value in kept), default=0.0) / MOST or 1.0
        scales.append(scale)
        steps.extend(round(value / scale) + MIDDLE for value in kept)
    table = list(names)
    head = {"columns": list(columns), "features": len(table), **about}
    with path.open("wb") as stream:
        stream.write(json.dumps(head, sort_keys=True).encode() + b"\n")
        stream.write(json.dumps(table).encode() + b"\n")
        for values in (array("f", telling), scales, array("f", offsets)):
            if sys.byteorder == "big":
                values.byteswap()
            stream.write(values.tobytes())
        stream.write(steps)


def load_learned(path: Path) -> Learned:
    """Read the weights. Raises BadContent when the file is missing or is not what it should be."""
    try:
        return read_learned(path.read_bytes())
    except (OSError, ValueError, KeyError, TypeError) as problem:
        raise BadContent(
            "the learned weights cannot be read",
            file=path,
            expected="the file that `python -m tests.questions.learn` writes",
        ) from problem


def read_learned(data: bytes) -> Learned:
    """Read the weights from the bytes of their file. Raises ValueError, KeyError or TypeError."""
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
    telling, scale, offsets = parts
    steps = memoryview(data)[at:]
    if len(names) != count or len(steps) != count * width or len(offsets) != width:
        raise ValueError
    return Learned(columns, dict(zip(names, range(count), strict=True)), telling, scale, offsets, steps, head, data)
