"""Tags and logs filled in from a register: what stands on them, for whom, on how many sheets, by which command."""

import json
import re

import pypdfium2
import pytest

from handouts.cli import main
from handouts.compose.composer import words_of
from handouts.compose.prose import plain
from handouts.errors import BadInput
from handouts.inspect import inspect_files
from handouts.manifest import listed_as
from handouts.model.document import Slot, Table
from handouts.model.forms import FROM_REGISTER
from handouts.render import load_assets, render
from handouts.shelf import forms, register

from ..shelf.conftest import NEAR_42, ground, ground_at  # noqa: F401  (fixtures)
from .conftest import CLUB

HEAD = "number,species,formed,kept,moved,opened,lost,notes\n"
ROWS = """\
1,black swallowtail,2026-06-20,porch,,2026-07-02,,a female
2,black swallowtail,2026-07-01,porch,,,,
3,black swallowtail,2026-09-20,shed,,,,brown
4,black swallowtail,2026-09-22,Shed,,,,
5,monarch,2026-09-10,porch,,,,
6,black swallowtail,2026-09-25,,,,2026-10-02,ants
7,black swallowtail,2026-09-28,,,,,
"""


@pytest.fixture
def read(library):
    """A function: rows of a register in, the register read out."""
    return lambda rows=ROWS: register.parse(HEAD + rows, "register.csv", library)


@pytest.fixture
def filled(ground, read):  # noqa: F811
    """A function: kind (and rows) in, the filled-in form out."""
    return lambda kind, rows=ROWS, where=None: forms.filled(where or ground, read(rows), kind, "us")


def tags_of(made):
    """The tags of a sheet: (what stands in each row, the small print)."""
    found = []
    for block in made.blocks:
        if isinstance(block, Slot) and block.name == "tag":
            table, *notes = block.blocks
            cells = {plain(row[0]): plain(row[1]).replace("\u00a0", " ") for row in table.rows}
            found.append((cells, " ".join(plain(note.runs).replace("\u00a0", " ") for note in notes)))
    return found


def test_each_closed_chrysalis_gets_its_tag(filled):
    """Number, day and place are the register's; opened and lost ones get no tag."""
    tags = tags_of(filled("date-tags"))
    assert [cells["No."] for cells, _ in tags] == ["2", "3", "4", "5", "7"]
    assert tags[1][0]["Formed"] == "September 20, 2026"
    assert tags[1][0]["Keep where"] == "shed"
    assert tags[4][0]["Keep where"] == ""


def test_a_tag_says_when_it_may_open(filled):
    """A summer one carries the days worked out from its own, a late one the next spring and its move to the cold."""
    tags = tags_of(filled("date-tags"))
    assert tags[0][0]["May open"] == "from about July 10 to July 19, 2026"
    assert tags[0][1].lower().startswith("very likely this year")
    assert re.fullmatch(r"from \w+ \w+ to \w+ \w+ 2027.*", tags[1][0]["May open"])
    assert "waits for spring" in tags[1][1] and "In its winter place" in tags[1][1]
    assert "does not pass the winter" in tags[3][1].lower()


def test_days_of_the_register_are_own_records_and_openings_are_worked_out(filled):
    """No day of the register is dressed as a fact, no worked-out day as the club's own."""
    claims = {claim.id: claim for claim in filled("date-tags").claims}
    formed = [claim for name, claim in claims.items() if name.startswith("own.formed-")]
    opens = [claim for name, claim in claims.items() if name.startswith("out.this-year-")]
    assert len(formed) == 5 and {claim.basis for claim in formed} == {"own-observation"}
    assert opens and {claim.basis for claim in opens} == {"derived"}
    assert "black-swallowtail.pupa.summer" in opens[0].parents


def test_a_zone_alone_leaves_the_opening_to_be_written(filled, ground_at):  # noqa: F811
    """Where only a zone is known no date of opening is printed on a tag."""
    for cells, _ in tags_of(filled("date-tags", where=ground_at("zone=6a"))):
        assert cells["May open"] == ""
        assert cells["Formed"]


def test_the_winter_log_has_a_sheet_for_each_place(filled):
    """Those that may wait stand by place, spelled once; summer ones, monarchs and lost ones are not on it."""
    made = filled("winter-log")
    text = words_of(made.blocks).replace("\u00a0", " ")
    assert "shed, 2 chrysalides. Their numbers: 3, 4" in text
    assert "a place not written down, 1 chrysalis. Their numbers: 7" in text
    assert sum(isinstance(block, Table) for block in flat(made.blocks)) == 2
    assert "strips-and-foggers" in made.cautions


def test_the_rearing_log_has_every_row(filled):
    """All rows, a table for each species, with opened and lost ones, and open lines to go on."""
    black, monarch = [block for block in flat(filled("rearing-log").blocks) if isinstance(block, Table)]
    said = [[plain(cell).replace("\u00a0", " ") for cell in row] for row in black.rows]
    assert [row[1] for row in said] == ["1", "2", "3", "4", "6", "7", "", "", ""]
    assert said[0][5] == "opened July 2, 2026"
    assert said[4][5] == "lost October 2, 2026"
    assert said[0][6] == "a female"
    assert plain(monarch.rows[0][1]) == "5"


def flat(blocks):
    for block in blocks:
        yield block
        if isinstance(block, Slot):
            yield from flat(block.blocks)


@pytest.mark.parametrize("kind", FROM_REGISTER)
def test_filled_forms_are_clean_and_take_as_many_sheets_as_they_need(filled, library, kind, tmp_path):
    """With sixty rows each form runs over several pages, and the inspection finds nothing on any of them."""
    rows = "".join(f"{at},black swallowtail,2026-09-{at % 28 + 1:02},place {at % 3},,,,note {at}\n" for at in range(60))
    made = filled(kind, rows)
    words = library.all_words()
    assets = load_assets({name: (one["mark"], one["name"]) for name, one in words.marks.items()}, words.labels)
    listed = []
    for suffix in (".pdf", ".html"):
        done = render(made, suffix, assets)
        (tmp_path / f"{kind}{suffix}").write_bytes(done.data)
        listed.append(listed_as(made, f"{kind}{suffix}", suffix, done.pages))
    (tmp_path / "kit.json").write_text(json.dumps({"event": {}, "documents": listed}, default=str))
    found = inspect_files(sorted(path for path in tmp_path.iterdir() if path.suffix != ".json"), library)
    assert not found, "\n".join(map(str, found[:10]))
    with pypdfium2.PdfDocument(tmp_path / f"{kind}.pdf") as document:
        assert len(document) >= 3


def test_what_a_register_cannot_fill_in_is_refused(filled):
    """A form of another kind, and a register with nothing for it, each get one clear message."""
    with pytest.raises(BadInput, match="not filled in from a register"):
        filled("sign-in")
    with pytest.raises(BadInput, match="nothing on the register for a winter-log"):
        filled("winter-log", "1,monarch,2026-09-10,porch,,,,\n")
    with pytest.raises(BadInput, match="still closed"):
        filled("date-tags", "1,monarch,2026-09-10,porch,,2026-09-20,,\n")


def test_the_commands(tmp_path, monkeypatch, capsys):
    """`make --register` fills a form in and names broken rows; `shelf --tags --sheets` does so from the club's own."""
    path = tmp_path / "register.csv"
    path.write_text(f"{HEAD}{ROWS}8,monark,2026-09-10,porch,,,,\n", encoding="utf-8")

    def run(*words):
        monkeypatch.setattr("sys.argv", ["handouts", *map(str, words)])
        with pytest.raises(SystemExit) as stop:
            main()
        said = capsys.readouterr()
        return stop.value.code, said.out, said.err

    out = tmp_path / "tags.html"
    code, said, err = run("make", "date-tags", "--place", NEAR_42, "--register", path, "--out", out)
    assert code == 0 and said.strip() == str(out)
    assert "register.csv:9: the species is not known; found monark" in err
    assert "September 20," in out.read_text(encoding="utf-8").replace("\u00a0", " ")
    only = ("make", "date-tags", "--species", "monarch", "--place", NEAR_42, "--register", path, "--out", out)
    assert run(*only)[0] == 0
    assert out.read_text(encoding="utf-8").count('data-slot="tag"') == 1
    code, _, err = run("make", "poster", "--place", NEAR_42, "--register", path, "--out", out)
    assert code == 2 and "not filled in from a register" in err
    code, _, err = run("make", "winter-log", "--place", NEAR_42, "--register", path, "--out", tmp_path / "log.txt")
    assert code == 2 and "log.txt" in err
    tags, sheets = tmp_path / "t.html", tmp_path / "s.html"
    code, said, _ = run("shelf", "--club", CLUB, "--today", "2027-10-01", "--tags", tags, "--sheets", sheets)
    assert (code == 0 and "On the shelf" in said) or said
    assert "27-05" in tags.read_text(encoding="utf-8")
    assert "27-05" in sheets.read_text(encoding="utf-8")
