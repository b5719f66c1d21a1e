"""The outside validators: what we render passes them, what is broken does not, and without them nothing breaks."""

import subprocess
import sys
from contextlib import suppress
from functools import partial
from pathlib import Path

import pytest

from handouts import build
from handouts.compose.kinds import FORMATS
from handouts.compose.kinds.forms import NoSheet
from handouts.model.forms import FORMS, FROM_REGISTER
from handouts.render import render
from handouts.shelf import register
from handouts.shelf.forms import filled
from handouts.shelf.outlook import Ground
from handouts.shelf.words import read_words
from tests.validators import __main__ as command
from tests.validators import axe, pdfua, vnu

ROOT = Path(__file__).resolve().parents[2]
HEAD = (
    '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A page</title>'
    '<meta name="viewport" content="width=device-width"></head><body><main><h1>A page</h1>'
)
FOOT = "</main></body></html>"
DOT = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' width='9' height='9'%3E%3C/svg%3E"
MILD = "lat=34.7,lon=-82.8,zone=8a,last-freeze=03-30,first-freeze=11-04"
# Each breaks one thing, and the clause or rule that must be named for it.
BROKEN_PDF = {
    "untagged": ("<p>Words.</p>", "7.1-11"),
    "a picture without words": (f'<p><img src="{DOT}"></p>', "7.3-1"),
    "a tag inside a link": ('<p><a href="https://example.org">See <b>this</b></a></p>', "7.18.5-1"),
    "a heading level left out": ("<h3>Far down</h3>", "7.4.2-1"),
    "a header cell over two columns": ("<table><tr><th colspan=2>Both<tr><td>1<td>2</table>", "7.5-1"),
}
BROKEN_AXE = {
    "pale words": ('<p style="color:#aaa">Pale.</p>', "color-contrast"),
    "a picture without words": (f'<img src="{DOT}">', "image-alt"),
    "a link without words": ('<p>To <a href="#x"></a>.</p>', "link-name"),
    "a wide box": ('<p style="width:400px">Wide.</p>', "scrolls sideways at 320 px: the page is 4"),
    "cut words": (f'<p style="height:1em;overflow:hidden">{"Words. " * 40}</p>', "cuts off what a box holds"),
    "words cut only when spaced": (
        '<p style="height:1.2em;line-height:1.2;overflow:hidden">Words.</p>',
        "cuts off what a box holds at 320 px with wider text spacing",
    ),
    "an outside file": ('<img alt="A dot" src="https://example.org/dot.png">', "asks for another file"),
}
BROKEN_VNU = {
    "tags out of order": ("<p><b>Bold</p>", "Unclosed element “b”"),
    "an unknown property": ('<p style="colour:red">Red.</p>', "“colour”"),
    "the same id twice": ('<p id="x">1</p><p id="x">2</p>', "Duplicate ID"),
    "a section without a heading": ("<section><p>Words.</p></section>", "Section lacks heading"),
}


@pytest.fixture(scope="session", params=[pdfua, axe, vnu], ids=lambda checker: checker.NAME)
def checker(request):
    """Each checker that can run here; one that cannot is skipped with the reason, before any document is made."""
    return installed(request.param)


def installed(checker):
    """Return the checker, or skip the test and say what is not installed."""
    reason = checker.missing()
    if reason:
        pytest.skip(f"{checker.NAME} not checked: {reason}")
    return checker


@pytest.fixture(scope="module")
def zone_only(tmp_path_factory):
    """A folder with every kind of document for a place of which only the zone is known."""
    out = tmp_path_factory.mktemp("zone")
    where = build.folders(None, None, out)
    for kind, suffixes in FORMATS.items():
        for suffix in {".pdf", ".html"} & set(suffixes):
            with suppress(NoSheet):  # a sheet of charts has nothing to draw there
                build.make(kind, None, "zone=5a", out / f"{kind}{suffix}", where)
    return out


def test_the_demo_kit_passes(checker, demo_kit):
    """Nothing is found in any file of the demo kit."""
    assert_clean(checker, demo_kit)


@pytest.fixture(scope="module")
def every_topic(tmp_path_factory):
    """A folder with the kinds that each topic words for itself, for a place with frost dates."""
    out = tmp_path_factory.mktemp("topics")
    where = build.folders(None, None, out)
    for topic in build.library(where).plans:
        for kind in ("handout-large-print", "bench-card", "childrens-sheet", "video-notes"):
            for suffix in (".pdf", ".html"):
                build.make(kind, topic, MILD, out / f"{topic}-{kind}{suffix}", where)
    return out


def test_the_kinds_of_every_topic_pass(checker, every_topic):
    """Nothing is found in the large print, the bench card, the children's sheet and the video notes of any topic."""
    assert_clean(checker, every_topic)


@pytest.fixture(scope="module")
def forms(tmp_path_factory):
    """A folder with all forms for a place with frost dates, and those that the demo's register fills in."""
    out = tmp_path_factory.mktemp("forms")
    club = ROOT / "demo" / "club"
    where = build.folders(None, club, out)
    loaded = build.library(where)
    for kind in FORMS:
        for suffix in (".pdf", ".html"):
            build.make(kind, None, "millrace-hollow", out / f"{kind}{suffix}", where)
    known = build.known_place("millrace-hollow", out, where)
    profile = build.place_profile(known, where, 2027)
    ground = Ground(loaded, read_words(loaded), profile, partial(build.season_of, loaded))
    rows = register.read(club / "register.csv", loaded)
    for kind in FROM_REGISTER:
        for suffix in (".pdf", ".html"):
            sheet = filled(ground, rows, kind, "us")
            (out / f"filled-{kind}{suffix}").write_bytes(render(sheet, suffix, build.assets_of(loaded)).data)
    return out


def test_every_form_passes_blank_and_filled_in(checker, forms):
    """Nothing is found in any form with dates, nor in those made from a register."""
    assert_clean(checker, forms)


def test_every_kind_passes_where_only_the_zone_is_known(checker, zone_only):
    """Nothing is found in any kind of document with boxes to write in instead of dates."""
    assert_clean(checker, zone_only)


def assert_clean(checker, folder):
    """Fail with the findings of the checker on the folder's files, of which there must be some."""
    files = sorted(folder.glob(f"*{checker.SUFFIX}"))
    assert len(files) >= 5, f"too few {checker.SUFFIX} files in {folder}"
    found = checker.check(files)
    assert set(found) == set(files)
    lines = [f"{path.name}: {line}" for path, lines in found.items() for line in lines]
    assert not lines, "\n".join(lines)


def test_broken_pdfs_are_caught(tmp_path):
    """Each broken PDF is caught by the clause it breaks, a file that is no PDF is caught, and a sound one passes."""
    weasyprint = pytest.importorskip("weasyprint")
    installed(pdfua)
    pages = {name: body for name, (body, _) in BROKEN_PDF.items()} | {"sound": "<p>Words.</p>"}
    for name, body in pages.items():
        variant = None if name == "untagged" else "pdf/ua-1"
        weasyprint.HTML(string=HEAD + body + FOOT).write_pdf(tmp_path / f"{name}.pdf", pdf_variant=variant)
    (tmp_path / "no pdf.pdf").write_bytes(b"Words.")
    found = {path.stem: lines for path, lines in pdfua.check(sorted(tmp_path.glob("*.pdf"))).items()}
    assert found.pop("sound") == []
    assert found.pop("no pdf")[0].startswith("cannot be read")
    for name, (_, clause) in BROKEN_PDF.items():
        assert any(line.startswith(f"{clause} ×") for line in found[name]), (name, found[name])


@pytest.mark.parametrize(("checker", "broken"), [(axe, BROKEN_AXE), (vnu, BROKEN_VNU)], ids=["axe-core", "Nu checker"])
def test_broken_pages_are_caught(checker, broken, tmp_path):
    """Each broken page is caught by its rule and by that alone; a sound page passes."""
    installed(checker)
    pages = {name: body for name, (body, _) in broken.items()} | {"sound": "<p>Words.</p>"}
    for name, body in pages.items():
        (tmp_path / f"{name}.html").write_text(HEAD + body + FOOT, encoding="utf-8")
    found = {path.stem: lines for path, lines in checker.check(sorted(tmp_path.glob("*.html"))).items()}
    assert found.pop("sound") == []
    for name, (_, rule) in broken.items():
        assert any(rule in line for line in found[name]), (name, found[name])


def test_styles_for_paper_are_no_error(tmp_path):
    """What the Nu checker does not know of paper is let pass; a slip in the same style is not."""
    installed(vnu)
    styles = {"paper": "h1 { string-set: head content(); bookmark-level: 1 } .f { float: footnote }"}
    styles["slip"] = styles["paper"] + " p { string-sett: x }"
    for name, style in styles.items():
        page = HEAD.replace("</head>", f"<style>{style}</style></head>") + FOOT
        (tmp_path / f"{name}.html").write_text(page, encoding="utf-8")
    found = {path.stem: lines for path, lines in vnu.check(sorted(tmp_path.glob("*.html"))).items()}
    assert found["paper"] == []
    assert len(found["slip"]) == 1
    assert "string-sett" in found["slip"][0]


def test_the_command_prints_one_line_a_file(tmp_path):
    """Run as a module, the validators name each file once, say what is wrong below it and end with 1."""
    installed(axe)
    installed(vnu)
    (tmp_path / "broken.html").write_text(HEAD + "<p><b>Bold</p>" + FOOT, encoding="utf-8")
    (tmp_path / "sound.html").write_text(HEAD + FOOT, encoding="utf-8")
    run = [sys.executable, "-m", "tests.validators", str(tmp_path)]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    lines = [line for line in done.stdout.splitlines() if not line.startswith("      ")]
    assert [line.split()[0] for line in lines] == ["FAIL", "ok"]


def test_a_missing_tool_is_said(tmp_path, monkeypatch, capsys):
    """Where the tools are not installed, the command says what is missing, claims nothing and ends with 2."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("JAVA_HOME", raising=False)
    (tmp_path / "page.html").write_text(HEAD + FOOT, encoding="utf-8")
    assert command.main([str(tmp_path)]) == 2
    said = capsys.readouterr()
    assert "axe-core cannot run: no Node.js" in said.err
    assert "Nu checker cannot run: no Java" in said.err
    assert said.out.startswith("not checked")


def test_nothing_to_check_is_not_a_pass(tmp_path, capsys):
    """An empty folder or a file that is neither PDF nor HTML ends with 2, so that a wrong path never looks clean."""
    assert command.main([str(tmp_path)]) == 2
    (tmp_path / "words.txt").write_text("Words.", encoding="utf-8")
    assert command.main([str(tmp_path / "words.txt")]) == 2
    assert "words.txt" in capsys.readouterr().err
