"""Takes files and folders, prints one line a file and what was found below it: `python -m tests.validators PATH…`.

Ends with 0 when every file passed all its checkers, 1 when something was found, 2 when a checker is not installed or
there was nothing to check.
"""

import argparse
import sys
from pathlib import Path

from tests.validators import axe, pdfua, vnu

CHECKERS = (pdfua, axe, vnu)
SUFFIXES = {checker.SUFFIX for checker in CHECKERS}


def collect(paths: list[Path]) -> list[Path]:
    """Return the files to check: those named, and the PDF and HTML files of the folders named."""
    files: list[Path] = []
    for path in paths:
        inside = sorted(item for item in path.rglob("*") if item.suffix in SUFFIXES) if path.is_dir() else [path]
        files += [item for item in inside if item not in files]
    return files


def main(arguments: list[str] | None = None) -> int:
    """Check and print; return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.validators", description=__doc__)
    parser.add_argument("paths", nargs="+", type=Path, metavar="PATH", help="a .pdf or .html file, or a folder")
    files = collect(parser.parse_args(arguments).paths)
    bad = [path for path in files if path.suffix not in SUFFIXES or not path.is_file()]
    if bad or not files:
        named = ", ".join(map(str, bad)) or "the folders named"
        print(f"no PDF or HTML file: {named}", file=sys.stderr)
        return 2
    reasons = {checker.NAME: reason for checker in CHECKERS if (reason := checker.missing())}
    for name, reason in reasons.items():
        print(f"{name} cannot run: {reason}", file=sys.stderr)
    passed: dict[Path, list[str]] = {path: [] for path in files}
    found: dict[Path, list[str]] = {path: [] for path in files}
    for checker in CHECKERS:
        if checker.NAME in reasons:
            continue
        for path, lines in checker.check([path for path in files if path.suffix == checker.SUFFIX]).items():
            passed[path].append(checker.NAME)
            found[path] += [f"{checker.NAME}: {line}" for line in lines]
    for path in files:
        verdict = "FAIL" if found[path] else "ok" if passed[path] else "not checked"
        print(f"{verdict:4}  {path}  ({', '.join(passed[path]) or 'no checker'})")
        for line in found[path]:
            print(f"      {line}")
    if any(found.values()):
        return 1
    asked = {checker.NAME for checker in CHECKERS if any(path.suffix == checker.SUFFIX for path in files)}
    return 2 if asked & set(reasons) else 0


if __name__ == "__main__":
    sys.exit(main())
