"""The shipped content with one edit: a mutation in, the findings that it alone brings about out.

Only the edited file is read again; its records take the place of the old ones in a copy of the library. Where a rule
looks into the folder itself (words, places), the whole tree is copied and read again.
"""

import shutil
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import yaml

from handouts.check import check_all
from handouts.load import load_library

ROOT = Path(__file__).parents[2]
CONTENT = ROOT / "content"
DATA = ROOT / "tests" / "data" / "mutations.yml"
TODAY = date(2026, 11, 28)
TABLES = ("subjects", "facts", "sources", "references", "cautions", "entries", "plans", "regions")
READ_WHOLE = ("words", "places")


@dataclass(frozen=True)
class Mutation:
    """One edit of one file, the rule that must catch it, and where the finding must point."""

    file: str
    rule: str
    why: str
    find: str | None = None
    replace: str = ""
    delete: bool = False
    write: str | None = None
    append: str | None = None
    level: str = "error"
    at_file: str | None = None
    at: str | None = None

    @property
    def name(self):
        """A short name for the test's id."""
        return f"{Path(self.file).stem}: {self.why}"

    def before(self):
        """The file as shipped ("" for a new one)."""
        path = CONTENT / self.file
        return path.read_text(encoding="utf-8") if path.is_file() else ""

    def after(self):
        """The file as edited."""
        if self.write is not None:
            return self.write
        before = self.before()
        if self.append is not None:
            return f"{before.rstrip()}\n\n{self.append}\n"
        assert before.count(self.find) == 1, f"{self.file} holds {before.count(self.find)} times: {self.find!r}"
        return before.replace(self.find, self.replace)

    def lines(self):
        """The first and the last line that the edit touches."""
        old, new = self.before().splitlines(), self.after().splitlines()
        first = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new)))
        tail = next((i for i, (a, b) in enumerate(zip(old[::-1], new[::-1], strict=False)) if a != b), 0)
        return first + 1, max(first + 1, len(new) - tail)


def mutations():
    """All mutations of the data file."""
    return [Mutation(**item) for item in yaml.safe_load(DATA.read_text(encoding="utf-8"))["mutations"]]


def mirror(folder):
    """Copy the content to `folder`, so that one file can be swapped for another."""
    shutil.copytree(CONTENT, folder)
    return folder


def swap(folder, mutation):
    """Put the edited file in place of its link (or take it away)."""
    target = folder / mutation.file
    target.unlink(missing_ok=True)
    if not mutation.delete:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(mutation.after(), encoding="utf-8")


def edited(base, mutation, folder):
    """The library with the one edit."""
    if mutation.file.split("/")[0] in READ_WHOLE:
        mirror(folder)
        swap(folder, mutation)
        return load_library(folder)
    folder.mkdir(parents=True, exist_ok=True)
    swap(folder, mutation)
    path = CONTENT / mutation.file
    if path.suffix == ".md":
        path = path.with_suffix(".yml")
        (folder / path.relative_to(CONTENT)).write_bytes(path.read_bytes())
    elif path.parent.name == "plans" and not mutation.delete:
        (folder / mutation.file).with_suffix(".md").write_bytes(path.with_suffix(".md").read_bytes())
    small = load_library(folder)
    tables = {name: _merged(getattr(base, name), getattr(small, name), path) for name in TABLES}
    owner = {**{fact: base.owner[fact] for fact in tables["facts"] if fact in base.owner}, **small.owner}
    accepted = small.accepted if mutation.file == "accepted.yml" else base.accepted
    return replace(base, **tables, owner=owner, accepted=accepted, problems=[*base.problems, *small.problems])


def _merged(old, new, path):
    kept = {name: new.get(name, record) for name, record in old.items() if record.origin != path or name in new}
    return {**kept, **new}


def key_of(finding):
    """What makes two findings the same, wherever the file lies."""
    return finding.level, finding.rule, Path(finding.file or "").name, finding.key, finding.found


def new_findings(base, known, mutation, folder):
    """The findings that are not there without the edit."""
    return [finding for finding in check_all(edited(base, mutation, folder), TODAY) if key_of(finding) not in known]
