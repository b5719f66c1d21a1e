"""The contributors' recipes, followed literally on a copy of the tree, give a document and a picture that work."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests import test_pictures

ROOT = Path(__file__).parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def part(title):
    """Return the text of one section of the guide."""
    return re.split(r"^#{2,3} ", GUIDE[GUIDE.index(f"### {title}\n") + 4 :], flags=re.M)[0]


def block(text, language):
    """Return the one fenced block of a language."""
    (found,) = re.findall(rf"^```{language}\n(.*?)^```", text, flags=re.M | re.S)
    return found


@pytest.fixture
def copy(tmp_path):
    """A copy of what makes a document."""
    for name in ("handouts", "templates", "content"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def run(copy, *words):
    """Run the copy's command; return its output, or fail with its message."""
    command = [sys.executable, "-c", "import sys; from handouts.cli import main; sys.exit(main())", *words]
    done = subprocess.run(command, cwd=copy, env={"PYTHONPATH": str(copy)}, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_kind_is_added_as_written(copy):
    """The module and the lines of the table give a kind that an event may ask for and `inspect` finds nothing in."""
    text = part("To add a kind of document")
    (copy / "handouts/compose/kinds/week_card.py").write_text(block(text, "python"), encoding="utf-8")
    rows = re.findall(r"^\| `([^`]+)` \| `([^`]+)` \| `([^`]+)` \|$", text, re.M)
    assert len(rows) >= 4
    for name, after, line in rows:
        path = copy / name
        before = path.read_text(encoding="utf-8")
        assert before.count(f"{after}\n") == 1, f"{name}: {after}"
        path.write_text(before.replace(f"{after}\n", f"{after}\n{line}\n"), encoding="utf-8")
    (copy / "event.yml").write_text(
        "title: A card\ndate: 2027-03-06\nstart: '10:00'\nminutes: 45\npeople: 12\naudience: gardeners\n"
        "place: {zone: 6a}\ntopics: [overwintering-chrysalides]\ndocuments: [week-card]\n",
        encoding="utf-8",
    )
    run(copy, "kit", "event.yml", "--out", "kit")
    files = sorted(path.name for path in (copy / "kit").glob("*week-card*"))
    assert files == ["overwintering-chrysalides-week-card.html", "overwintering-chrysalides-week-card.pdf"]
    found = run(copy, "inspect", "--json", *(f"kit/{name}" for name in files))
    assert found.strip() == "[]"


def test_a_picture_is_added_as_written(copy):
    """The drawing is safe and in our hand, and a plan that names it shows it with its words."""
    text = part("To add a picture")
    drawing = block(text, "svg")
    assert test_pictures.findings("twig", drawing) == []
    (copy / "templates/pictures/twig.svg").write_text(drawing, encoding="utf-8")
    with (copy / "templates/pictures/pictures.yml").open("a", encoding="utf-8") as listed:
        listed.write(block(text, "yaml"))
    plan = copy / "content/plans/overwintering-chrysalides.yml"
    before = plan.read_text(encoding="utf-8")
    plan.write_text(re.sub(r"^picture: .*$", "picture: twig", before, count=1, flags=re.M), encoding="utf-8")
    run(copy, "make", "handout", "--place", "zone=6a", "--content", "content", "--out", "sheet.html")
    page = (copy / "sheet.html").read_text(encoding="utf-8")
    assert "rough twig" in page
    assert "Give caterpillars something rough and upright to hang from." in page
