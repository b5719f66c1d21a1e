"""The shelf imports only the rooms before it, and quick commands stay quick."""

import subprocess
import sys

from ..test_imports import BASE, PACKAGE, imported

MAY = BASE | {"model", "load", "season", "place", "charts", "compose", "shelf"}


def test_the_shelf_imports_only_rooms_before_it():
    """No arrow turns back: neither renderers, nor checks, nor the command line are seen from here."""
    for path in (PACKAGE / "shelf").rglob("*.py"):
        for other, name in imported(path):
            assert other in MAY, f"{path} imports {name}"


def test_no_room_before_it_imports_the_shelf():
    """Only the command line calls the shelf, and the desk where a question gives the day a chrysalis formed."""
    for path in PACKAGE.rglob("*.py"):
        if path.parent.name != "shelf" and path.name not in ("cli_shelf.py", "desk_outlook.py"):
            assert "handouts.shelf" not in path.read_text(encoding="utf-8"), path


def test_help_and_text_pages_do_not_start_the_page_engine():
    """--help and a page of text come without WeasyPrint."""
    code = (
        "import sys; from handouts.cli import cli\n"
        "for command in (['shelf', '--help'], ['food', '--caterpillars', '4', '--place', 'zone=6a']):\n"
        "    try: cli.main(command, standalone_mode=False, obj={})\n"
        "    except SystemExit: pass\n"
        "assert 'weasyprint' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_either_module_of_the_command_line_may_come_first():
    """The commands are there whichever of the two modules is imported first."""
    code = (
        "import handouts.{0}\nfrom handouts.cli import cli\n"
        "assert set(('shelf', 'outlook', 'store', 'food')) <= set(cli.commands)"
    )
    for name in ("cli", "cli_shelf"):
        done = subprocess.run([sys.executable, "-c", code.format(name)], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
