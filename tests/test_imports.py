"""Arrows between the rooms go one way, and the heavy libraries stay out of quick commands."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "handouts"
BASE = {"errors", "files", "yamltext", "paths", "units", "pictures", "reading", "syllables", "mending"}
MAY = {
    "model": BASE,
    "load": BASE | {"model"},
    "season": BASE | {"model"},
    "place": BASE | {"model", "season"},
    "charts": BASE | {"model", "season"},
    "compose": BASE | {"model", "place", "season", "charts"},
    "render": BASE | {"model"},
    "inspect": BASE | {"model"},
    "check": BASE | {"model", "compose", "inspect"},
    "shelf": BASE | {"model", "compose", "place", "season", "charts", "load", "render", "build", "answer", "show"},
    "answer": BASE | {"model", "compose", "place", "season"},
    "routine": BASE | {"model", "answer", "desk"},
}


def imported(path):
    """The rooms and modules of the package that a file imports, each with the whole name."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        names += [item.name for item in node.names] if isinstance(node, ast.Import) else []
        for name in names:
            parts = name.split(".")
            if parts[0] == "handouts" and len(parts) > 1:
                yield parts[1], name


@pytest.mark.parametrize("room", MAY)
def test_a_room_imports_only_rooms_before_it(room):
    """The import table of the design holds: no arrow turns back."""
    for path in (PACKAGE / room).rglob("*.py"):
        for other, name in imported(path):
            assert other in MAY[room] | {room}, f"{path} imports {name}"


@pytest.mark.parametrize("command", [["--help"], ["check", "--help"], ["answer", "--help"], ["doctor", "--json"]])
def test_quick_commands_do_not_import_the_page_engine(command):
    """--help, check, answer and doctor start without WeasyPrint."""
    code = (
        "import sys; from handouts.cli import cli\n"
        f"try: cli.main({command!r}, standalone_mode=False, obj={{}})\n"
        "except BaseException as e: print(repr(e), file=sys.stderr)\n"
        "assert 'weasyprint' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
