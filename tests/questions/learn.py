"""Practice questions in, the learned weights out: `python -m tests.questions.learn` writes `content/words/learned.bin`.

Needs scikit-learn (the extra `learn`). The answers' own ways to ask and all questions that may be tuned on are turned
into the features the answer desk sees; a linear model (multinomial logistic regression) learns which of them speak for
which answer, and for which reason not to answer. How sure to be is learned from questions of writers the model has not
seen: the lots of the pool are left out by turns.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import Any

import numpy as np

from handouts import build, paths
from handouts.answer.base import learn_words
from handouts.answer.features import Bearings, bearings, features
from handouts.answer.focus import weigh_words
from handouts.answer.gate import OUTCOMES, signs
from handouts.answer.learned import ASIDE, OUTSIDE, save_learned
from handouts.answer.rank import Ranking, ordered
from handouts.answer.topics import load_topics, ways_to_ask
from handouts.answer.understand import Understood, understand
from handouts.answer.vocabulary import Vocabulary, load_vocabulary

HERE = Path(__file__).parent
SOURCES = ("questions.jsonl", "second.jsonl", "third.jsonl", "practice.jsonl", "pool.jsonl")
# never learned from: what the figures of the answers are taken from
KEPT_APART = frozenset({"held-out"})
# a feature must stand in so many questions; how freely the weights may grow; rounds of the solver
SEEN_LEAST, FREEDOM, ROUNDS = 3, 30.0, 150
FOLDS = 8
# an entry's share of careful questions starts from the usual share, as if it had been met with so many questions
CARE_WITHIN = 3


@dataclass(frozen=True)
class Row:
    """One question: its features and what they were taken from, its column, its labels (None: a way to ask)."""

    text: str
    found: dict[str, float]
    taken: Understood
    weights: list[float]
    column: str
    fold: int | None = None
    label: dict[str, Any] | None = None


def questions() -> list[dict[str, Any]]:
    """Return the labelled questions that may be learned from."""
    lines = [line for name in SOURCES for line in (HERE / name).read_text(encoding="utf-8").splitlines()]
    return [row for line in lines if (row := json.loads(line))["half"] not in KEPT_APART]


def digest() -> str:
    """Return a digest of everything the weights are made from."""
    content = paths.content_dir()
    made_of = blake2b(digest_size=16)
    files = [HERE / name for name in SOURCES]
    files += [content / "words" / name for name in ("concepts.yml", "everyday.yml", "topics.yml")]
    for path in (*files, *sorted((content / "faq").glob("*.yml"))):
        text = path.read_text(encoding="utf-8")
        if path.parent.name == "faq":  # of an entry only how it is asked for
            text = text.partition("\nsubjects:")[0]
        made_of.update(text.encode())
    return made_of.hexdigest()


def column_of(label: dict[str, Any]) -> str:
    """Return the column a labelled question belongs to."""
    if label["expect"] == "answer":
        return str(label["topics"][0])
    return OUTSIDE if label["expect"] == "abstain" else ASIDE + str(label["kind"])


def folds(labels: Sequence[dict[str, Any]]) -> dict[str, int]:
    """Return the fold of each question of the pool: whole lots together, lots of all kinds of outcome cut in pieces."""
    lots: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for label in labels:
        if label["half"] == "pool":
            lots[label["id"].partition("-")[0]].append(label)
    found = {}
    for number, (_, rows) in enumerate(sorted(lots.items())):
        mixed = sum(row["expect"] == "answer" for row in rows) < 0.8 * len(rows)
        for spot, row in enumerate(rows):
            found[row["id"]] = spot * FOLDS // len(rows) if mixed else number % FOLDS
    return found


def parts_of(taken: Understood) -> list[range]:
    """Return the clauses of both parts of a two-part text, cut after the first question; none if that is not plain."""
    asking = [number for number, clause in enumerate(taken.clauses) if clause.asks]
    if len(asking) != 2:
        return []
    cut = asking[0] + 1
    return [range(cut), range(cut, len(taken.clauses))]


def read_rows() -> tuple[list[Row], Vocabulary]:
    """Take all questions and ways to ask apart, as the answer desk does; also return the vocabulary."""
    library = build.library(paths.folders(None, None))
    words = library.root / "words"
    vocabulary, topics = load_vocabulary([words]), load_topics([words / "topics.yml"])
    learn_words(library, topics, vocabulary)

    def row(
        text: str, column: str, fold: int | None = None, label: dict[str, Any] | None = None, part: range | None = None
    ) -> Row:
        taken = understand(text, vocabulary)
        weights = weigh_words(taken, vocabulary, part)
        said = text if part is None else " ".join(taken.clauses[number].text for number in part)
        return Row(said, features(taken, weights), taken, weights, column, fold, label)

    labels = questions()
    fold_of = folds(labels)
    found = []
    for label in labels:
        fold = fold_of.get(label["id"])
        if label["style"] != "two-part":
            found.append(row(label["text"], column_of(label), fold, label))
        elif label["expect"] == "answer" and label.get("parts"):
            # each of two parts is learned as the desk sees it: its own clauses whole, the others faint
            for part, best in zip(parts_of(understand(label["text"], vocabulary)), label["parts"], strict=False):
                found.append(row(label["text"], best[0], fold, None, part))
    for name, entry in library.entries.items():
        found.extend(row(way, name) for way in ways_to_ask(entry, topics.get(name)))
    return [item for item in found if item.found], vocabulary


# columns, a row, its logits, its bearings
Tested = tuple[list[str], Row, Any, Bearings]


class Model:
    """A linear model over the features of some rows."""

    def __init__(self, rows: Sequence[Row]) -> None:
        """Fit the weights."""
        from sklearn.linear_model import LogisticRegression

        seen = Counter(name for row in rows for name in row.found)
        self.names = sorted(name for name, count in seen.items() if count >= SEEN_LEAST)
        self.spots = {name: spot for spot, name in enumerate(self.names)}
        self.telling = np.array([np.log((1 + len(rows)) / (1 + seen[name])) + 1 for name in self.names])
        self.solver = LogisticRegression(C=FREEDOM, max_iter=ROUNDS)
        self.solver.fit(self.table(rows), [row.column for row in rows])
        self.columns = [str(name) for name in self.solver.classes_]

    def table(self, rows: Sequence[Row]) -> Any:
        """Return the rows as a sparse table, each scaled to length one."""
        from scipy.sparse import csr_matrix

        starts: list[int] = [0]
        spots: list[int] = []
        values: list[float] = []
        for row in rows:
            known = [(self.spots[name], weight) for name, weight in row.found.items() if name in self.spots]
            weights = np.array([weight * self.telling[spot] for spot, weight in known])
            length = float(np.sqrt((weights**2).sum())) or 1.0
            spots.extend(spot for spot, _ in known)
            values.extend(weights / length)
            starts.append(len(spots))
        return csr_matrix((values, spots, starts), shape=(len(rows), len(self.names)))

    def logits(self, rows: Sequence[Row]) -> Any:
        """Return how well each column fits each row."""
        return self.solver.decision_function(self.table(rows))


def _left_out(job: tuple[list[Row], int, Vocabulary]) -> tuple[list[str], list[Row], Any, list[Bearings]]:
    rows, fold, vocabulary = job
    model = Model([row for row in rows if row.fold != fold])
    tested = [row for row in rows if row.fold == fold and row.label is not None]
    far = [bearings(row.taken, row.weights, model.spots, vocabulary) for row in tested]
    return model.columns, tested, model.logits(tested), far


def ranked(columns: Sequence[str], logits: Sequence[float], sharp: float) -> Ranking:
    """Return the logits of one question as the ranking the gate sees."""
    found = dict(zip(columns, map(float, logits), strict=True))
    return ordered({name: value for name, value in found.items() if name[0] != ASIDE}, found, sharp)


def sharpness(tested: Iterable[Tested]) -> float:
    """Return the factor by which the logits of unseen questions tell best how likely each entry is."""
    from scipy.optimize import minimize_scalar

    tables = []
    for columns, row, logits, _ in tested:
        if row.label is not None and row.label["expect"] == "answer":
            entries = [spot for spot, name in enumerate(columns) if name[0] != ASIDE]
            right = [number for number, spot in enumerate(entries) if columns[spot] in row.label["topics"]]
            tables.append((logits[entries], right))

    def cost(sharp: float) -> float:
        total = 0.0
        for logits, right in tables:
            odds = np.exp(sharp * (logits - logits.max()))
            total -= float(np.log(odds[right].sum() / odds.sum() + 1e-12))
        return total

    return float(minimize_scalar(cost, bounds=(0.2, 6.0), method="bounded").x)


def left_out(rows: Sequence[Row], vocabulary: Vocabulary, read: Any = _left_out) -> list[Tested]:
    """Return each question of the pool with the logits of a model that has seen nothing of its lot."""
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(read, [(list(rows), fold, vocabulary) for fold in range(FOLDS)]))
    return [(columns, *item) for columns, *parts in found for item in zip(*parts, strict=True)]


def fit_gate(tested: Sequence[Tested]) -> tuple[dict[str, Any], float]:
    """Return the gate (for each outcome an offset and a weight for each sign), and the sharpness."""
    from sklearn.linear_model import LogisticRegression

    sharp = sharpness(tested)
    seen, outcomes = [], []
    for columns, row, logits, far in tested:
        assert row.label is not None
        ranking = ranked(columns, logits, sharp)
        seen.append(signs(ranking, len(row.taken.words), far))
        right = ranking.entries[0].entry in row.label["topics"]
        expect = {"answer": "right" if right else "wrong", "abstain": "outside"}.get(row.label["expect"], "refer")
        outcomes.append(expect)
    table = np.array(seen)
    middle, spread = table.mean(0), table.std(0)
    solver = LogisticRegression(C=1.0, max_iter=1000).fit((table - middle) / spread, outcomes)
    gate = {}
    for name in OUTCOMES:
        spot = list(solver.classes_).index(name)
        weights = solver.coef_[spot] / spread
        gate[name] = [float(solver.intercept_[spot] - (weights * middle).sum()), *map(float, weights)]
    share = outcomes.count("right") / max(1, sum(name in ("right", "wrong") for name in outcomes))
    print(f"{len(tested)} questions of writers left out by turns: right entry first {share:.1%}")
    return gate, sharp


def care(rows: Sequence[Row]) -> tuple[dict[str, float], float]:
    """Return for each entry the share of its practice questions that carry the safety label, and that of all."""
    labels = [row.label for row in rows if row.label is not None and row.label["expect"] == "answer"]
    usual = sum(bool(label["safety"]) for label in labels) / max(1, len(labels))
    asked, careful = Counter(label["topics"][0] for label in labels), Counter[str]()
    careful.update(label["topics"][0] for label in labels if label["safety"])
    return {
        name: round((careful[name] + usual * CARE_WITHIN) / (count + CARE_WITHIN), 4) for name, count in asked.items()
    }, round(usual, 4)


def main() -> None:
    """Learn and write the file."""
    rows, vocabulary = read_rows()
    gate, sharp = fit_gate(left_out(rows, vocabulary))
    model = Model(rows)
    careful, usual = care(rows)
    about = {
        "gate": gate,
        "sharp": sharp,
        "care": careful,
        "care-usual": usual,
        "questions": len(rows),
        "made-of": digest(),
    }
    path = paths.content_dir() / "words" / "learned.bin"
    weights = model.solver.coef_.T
    save_learned(
        path, model.columns, model.names, map(float, model.telling), weights.tolist(),
        map(float, model.solver.intercept_), about,
    )  # fmt: skip
    print(f"{path}: {len(model.names)} features, {len(model.columns)} columns, {len(rows)} questions")


if __name__ == "__main__":
    main()
