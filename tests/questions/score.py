"""Labelled questions in, the score of the answers out: `python -m tests.questions.score [--half tuning]`.

Single questions are shown only of the sets that served for tuning; of the others nothing but totals is printed.
"""

from __future__ import annotations

import argparse
import json
import time
from pathlib import Path
from typing import Any

from handouts import build, paths
from handouts.answer.evidence import Tally
from handouts.desk import Desk

NAMES = (
    "questions.jsonl",
    "second.jsonl",
    "third.jsonl",
    "fourth.jsonl",
    "fifth.jsonl",
    "practice.jsonl",
    "pool.jsonl",
)
QUESTIONS = tuple(Path(__file__).with_name(name) for name in NAMES)
# the held-out half and the sets not yet used for tuning are looked at in totals only
SHOWN = ("tuning", "practice", "second", "third", "pool")


def rows(half: str) -> list[dict[str, Any]]:
    """Return the questions of one half."""
    lines = [line for path in QUESTIONS for line in path.read_text(encoding="utf-8").splitlines()]
    return [row for line in lines if (row := json.loads(line))["half"] == half]


def score(half: str, desk: Desk) -> tuple[Tally, list[tuple[dict[str, Any], str, str | None]]]:
    """Answer all questions of a half; return the tally and each question with its outcome and entry."""
    tally = Tally()
    found = []
    for row in rows(half):
        reply = desk.reply(row["text"], None, "brief", None)
        found.append((row, tally.add(row, reply), reply.entry))
    return tally, found


def main() -> None:
    """Print the score."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--half",
        choices=("tuning", "practice", "held-out", "second", "third", "fourth", "fifth", "pool"),
        default="tuning",
    )
    parser.add_argument("--misses", action="store_true", help="show what went wrong (never of the held-out half)")
    given = parser.parse_args()
    desk = Desk(build.Folders(paths.content_dir()))
    start = time.perf_counter()
    tally, found = score(given.half, desk)
    spent = (time.perf_counter() - start) / max(1, len(found)) * 1000
    print(f"{given.half}: {len(found)} questions, {spent:.1f} ms each\n")
    print("\n".join(tally.lines()))
    if given.half not in SHOWN:
        return
    for name, result, entry in tally.harmful:
        print(f"  {name} {result} {entry}")
    if given.misses:
        for row, result, entry in found:
            if result in ("wrong", "missed", "half", "leaked", "answered-entry"):
                print(f"{result:14} {row['id']} {row['style']:10} {entry} for {row['topics']} | {row['text']}")


if __name__ == "__main__":
    main()
