"""Single wrong edits of the real content, kept as data: each is caught by its own rule, at its own place."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from .mutating import CONTENT, ROOT, TODAY, mirror, mutations, new_findings, swap

ALL = mutations()
NEAR = 10


def points_at(finding, mutation):
    """Whether a finding stands in the edited file at the edited record (or where the mutation's data says)."""
    file = Path(finding.file or "")
    if mutation.at_file or mutation.at:
        where = mutation.at_file or mutation.file
        if where not in str(file):
            return False
        if mutation.at is None:
            return True
        whole = CONTENT / where if (CONTENT / where).is_file() else ROOT / file
        text = mutation.after() if where == mutation.file else whole.read_text(encoding="utf-8")
        return finding.line is not None and mutation.at in text.splitlines()[finding.line - 1]
    first, last = mutation.lines()
    return str(file).endswith(mutation.file) and first - NEAR <= (finding.line or 0) <= last + NEAR


@pytest.mark.parametrize("mutation", ALL, ids=lambda item: item.name)
def test_a_wrong_edit_is_caught_by_its_rule(mutation, base, known, tmp_path):
    """The rule finds the edit, at its level, in its file and at its record."""
    found = new_findings(base, known, mutation, tmp_path / "content")
    told = "\n".join(map(str, found)) or "nothing new is found"
    caught = [item for item in found if item.rule == mutation.rule and item.level == mutation.level]
    assert caught, told
    assert any(points_at(item, mutation) for item in caught), told


def test_there_are_enough_mutations_and_no_two_alike():
    """At least a hundred edits, of every folder of the content, for at least forty rules."""
    edits = {(item.file, item.find, item.replace, item.delete, item.write, item.append, item.rule) for item in ALL}
    assert len(edits) == len(ALL) >= 100
    folders = {item.file.split("/")[0] for item in ALL}
    assert folders >= {path.name for path in CONTENT.iterdir() if path.is_dir()}
    assert len({item.rule for item in ALL}) >= 40


@pytest.mark.parametrize("mutation", ALL[::110], ids=lambda item: item.name)
def test_the_command_finds_it_too(mutation, tmp_path):
    """What the quick way finds, `handouts check --json` on a whole edited copy finds as well, and exits with 1."""
    content = mirror(tmp_path / "content")
    swap(content, mutation)
    command = [sys.executable, "-m", "handouts", "check", "--json", "--content", str(content), "--today", str(TODAY)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    found = json.loads(done.stdout)
    assert done.returncode == (1 if any(item["level"] == "error" for item in found) else 0), done.stderr
    where = mutation.at_file or mutation.file
    assert any(item["rule"] == mutation.rule and where in str(item["file"]) for item in found)
