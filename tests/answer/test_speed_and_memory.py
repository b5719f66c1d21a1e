"""A warm answer is quick, and a long file takes no more memory than a short one."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

from handouts.desk import Desk

ASKED = (
    "why did my caterpillar number {n} stop eating",
    "is chrysalis {n} dead or just asleep for the winter",
    "How do I get rid of beetles, {n} of them?",
    "when do I sow dill in zone 6a for {n} caterpillars, and how many plants do they need?",
    "my {n}th butterfly has crumpled wings",
)
# several times what is measured, for slow machines
MOST_MS = 25.0
MOST_GROWTH = 25_000_000


def test_a_warm_answer_is_quick(desk: Desk) -> None:
    """Once the base is loaded, an answer takes some thousandths of a second."""
    questions = [text.format(n=number) for number in range(20) for text in ASKED]
    desk.reply(questions[0], None, "standard", None)
    start = time.perf_counter()
    for text in questions:
        desk.reply(text, None, "standard", None)
    assert (time.perf_counter() - start) / len(questions) * 1000 < MOST_MS


MEASURE = """
import json, resource, sys
from itertools import cycle
from pathlib import Path
from handouts import desk, paths
from handouts.build import Folders

folder, asked = Path(sys.argv[1]), json.loads(sys.argv[2])
for lines in (100, 1000):
    source, texts = folder / f"{lines}.jsonl", cycle(asked)
    rows = (json.dumps({"id": n, "text": next(texts).format(n=n)}) for n in range(lines))
    source.write_text("\\n".join(rows) + "\\n")
    counts = desk.answer_file(source, folder / f"{lines}.out", Folders(paths.content_dir()), length="brief")
    assert counts.answered + counts.refused == lines
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""


def test_memory_stays_flat(tmp_path: Path) -> None:
    """After a hundred lines a thousand take hardly more memory (measured as the peak of a process of its own)."""
    command = [sys.executable, "-c", MEASURE, str(tmp_path), json.dumps(ASKED)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    few, many = (int(line) for line in done.stdout.split())
    assert many - few < MOST_GROWTH
    assert len((tmp_path / "1000.out").read_text().splitlines()) == 1000
