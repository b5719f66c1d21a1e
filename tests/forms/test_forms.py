"""Every form at every sort of place, on both papers: one sheet, clean, room to write, the same bytes twice."""

import json
import re
from itertools import pairwise

import pikepdf
import pypdfium2
import pypdfium2.raw as raw
import pytest

from handouts import build
from handouts.compose.composer import words_of
from handouts.compose.kinds.forms import NoSheet
from handouts.compose.prose import plain
from handouts.inspect.carriers import carriers_in
from handouts.inspect.print_rules import SHEETS
from handouts.model.document import Const, Figure, Slot, Table
from handouts.model.forms import FORMS, LYING
from handouts.reading import grade_of

from .conftest import PAPERS, PLACES, WHERE

KITS = [(place, paper) for place in PLACES for paper in PAPERS]
LEAST_ROW_MM = 8.0
# Sheets that ask people ask nothing else: a caution beside a question would answer it.
ASK_ONLY = ("sign-in", "evaluation")


def listed(folder):
    """The entries of a kit's manifest by file name."""
    return {item["file"]: item for item in json.loads((folder / "kit.json").read_text(encoding="utf-8"))["documents"]}


@pytest.mark.parametrize(("place", "paper"), KITS)
def test_every_form_is_one_sheet_as_it_should_lie(kit_of, place, paper):
    """Each form is one page of the paper asked for; the logs lie, the others stand."""
    folder, _ = kit_of(place, paper)
    kinds = {item["kind"] for item in listed(folder).values()}
    assert kinds == set(FORMS)
    for name, item in listed(folder).items():
        if not name.endswith(".pdf"):
            continue
        with pypdfium2.PdfDocument(folder / name) as document:
            assert len(document) == 1 == item["pages"], name
            width, height = document[0].get_size()
        assert sorted((round(width), round(height))) == sorted(round(side) for side in SHEETS[paper]), name
        assert (width > height) == (item["kind"] in LYING), name


@pytest.mark.parametrize(("place", "paper"), KITS)
def test_inspection_finds_nothing(kit_of, place, paper):
    """No form of any kit has a finding, warnings included."""
    folder, _ = kit_of(place, paper)
    found = build.inspect(sorted(folder.iterdir()), WHERE)
    assert not found, "\n".join(map(str, found))


@pytest.mark.parametrize(("place", "paper"), [("cold", "letter"), ("mild", "a4"), ("zone", "letter")])
def test_two_runs_give_the_same_bytes(kit_of, place, paper):
    """Made again, every form is the same, byte by byte."""
    first, _ = kit_of(place, paper)
    again, _ = kit_of(place, paper, run=2)
    assert first != again
    for path in sorted(first.iterdir()):
        assert (again / path.name).read_bytes() == path.read_bytes(), path.name


@pytest.mark.parametrize(("place", "paper"), KITS)
def test_lines_leave_room_to_write(kit_of, place, paper):
    """Between two ruled lines of a table, and of a tag, lie 8 mm or more."""
    folder, _ = kit_of(place, paper)
    for kind in set(FORMS) - {"evaluation"}:
        gaps = gaps_of(folder / f"overwintering-chrysalides-{kind}.pdf")
        assert len(gaps) >= 6, kind
        assert min(gaps) >= LEAST_ROW_MM - 0.04, (kind, min(gaps))  # lines are placed to a tenth of a point


def gaps_of(path):
    """The distances in mm of the ruled lines under each other in the last column of a PDF's page, below its head."""
    with pypdfium2.PdfDocument(path) as document:
        drawn = [item.get_bounds() for item in document[0].get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])]
    # longer ones are the rules of the page, higher ones are boxes
    lines = [
        (right, (bottom + top) / 2)
        for left, bottom, right, top in drawn
        if 15 < right - left < 300 and top - bottom < 3
    ]
    last = max(right for right, _ in lines)
    ruled = sorted({round(height, 1) for right, height in lines if last - right < 4}, reverse=True)
    below_head = ruled if path.stem.endswith("date-tags") else ruled[1:]
    return [(upper - lower) / 72 * 25.4 for upper, lower in pairwise(below_head)]


@pytest.mark.parametrize("kind", FORMS)
@pytest.mark.parametrize("place", PLACES)
def test_what_a_form_names_brings_its_caution(composed, library, kind, place):
    """Blank forms are let off by the inspection; ours carry the caution of all they name anyway."""
    made = composed(kind, place)
    if kind in ASK_ONLY:
        assert not made.cautions
        return
    named = carriers_in(library, words_of(made.blocks))
    wanted = {hazard for subject in named for hazard in library.subjects[subject].carries}
    assert wanted <= set(made.cautions), kind


@pytest.mark.parametrize("kind", FORMS)
def test_tables_have_heads_and_numbered_lines_are_form_figures(composed, kind):
    """Each table has a caption and a header to each column or row; line numbers are declared figures of the form."""
    found = 0
    for table in tables_of(composed(kind).blocks):
        found += 1
        assert table.caption.strip()
        assert all(cell.strip() for cell in table.head)
        for row in table.rows:
            assert row[0], table.caption
            if table.head:
                assert len(row) == len(table.head)
            first = row[0][0]
            if isinstance(first, Const):
                assert first.role == "form"
    assert found


def tables_of(blocks):
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Slot):
            yield from tables_of(block.blocks)


def test_pdf_tables_are_tagged_with_their_headers(kit_of):
    """In the file itself, each table has header cells, and each data cell points at one."""
    folder, _ = kit_of("cold", "letter")
    for kind in FORMS:
        with pikepdf.open(folder / f"overwintering-chrysalides-{kind}.pdf") as pdf:
            tags = list(walk(pdf.Root.StructTreeRoot))
        heads, cells = tags.count("/TH"), tags.count("/TD")
        assert heads and cells, kind
        assert tags.count("/Table") == tags.count("/Caption"), kind


def walk(node):
    """Yield the type of every element of a tag tree."""
    if not isinstance(node, pikepdf.Dictionary):
        return
    if "/S" in node:
        yield str(node.S)
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        yield from walk(kid)


@pytest.mark.parametrize("species", ["black-swallowtail", "monarch", "zebra-swallowtail"])
def test_every_mark_is_explained(composed, library, species):
    """Each mark behind a figure of a form has its line in the key at the foot."""
    for kind in ("date-tags", "rearing-log", "sowing-plan"):
        made = composed(kind, species=species)
        keys = [plain(line)[0] for block in made.blocks if slot(block) == "key" for line in block.blocks[0].items]
        marks = {library.all_words().marks[name]["mark"] for run in figures(made.blocks) for name in run.marks}
        assert marks <= set(keys), kind
        assert marks or species == "zebra-swallowtail", kind


def slot(block):
    return block.name if isinstance(block, Slot) else ""


def figures(blocks):
    """Yield every figure of some blocks."""
    for block in blocks:
        if isinstance(block, Slot):
            yield from figures(block.blocks)
        rows = block.rows if isinstance(block, Table) else [getattr(block, "items", (getattr(block, "runs", ()),))]
        yield from (run for row in rows for cell in row for run in cell if isinstance(run, Figure))


def test_a_zone_alone_names_no_date(composed):
    """Where only the zone is known no form shows a date of the year; the sowing plan has boxes for the freezes."""
    for kind in FORMS:
        made = composed(kind, "zone")
        ids = {claim.id for claim in made.claims}
        assert not {name for name in ids if name.startswith(("season.", "place.last", "place.first", "sowing."))}, kind
    boxes = [block.label for block in composed("sowing-plan", "zone").blocks if hasattr(block, "label")]
    assert "My last freeze" in boxes


def test_a_place_brings_its_own_dates(composed):
    """Tags and logs of a cold and a mild place differ in their season, not in what holds everywhere."""
    for kind, window in (("date-tags", "overwinter-from"), ("winter-log", "to-cold-by")):
        cold, mild = ({claim.id: claim.value for claim in composed(kind, place).claims} for place in ("cold", "mild"))
        name = f"season.black-swallowtail.{window}"
        assert name in cold
        assert cold.get(name) != mild.get(name)
    cold, mild = (
        {claim.id: claim.value for claim in composed("date-tags", place).claims} for place in ("cold", "mild")
    )
    assert cold["black-swallowtail.pupa.summer"] == mild["black-swallowtail.pupa.summer"]


@pytest.mark.parametrize("kind", FORMS)
@pytest.mark.parametrize("species", ["monarch", "eastern-tiger-swallowtail", "anise-swallowtail", "painted-lady"])
def test_other_species_get_their_own_forms_or_a_plain_refusal(composed, library, kind, species):
    """A form is made for any species; only the winter log has no meaning for one that does not winter as chrysalis."""
    if kind == "winter-log" and species in ("monarch", "painted-lady"):
        with pytest.raises(NoSheet, match="does not pass the winter"):
            composed(kind, species=species)
        return
    made = composed(kind, species=species)
    foreign = {claim.id for claim in made.claims if claim.id.startswith("black-swallowtail.")}
    assert not foreign
    assert not any(claim.basis == "memory" for claim in made.claims)
    if kind in ("date-tags", "rearing-log"):
        assert library.subject(species).names.common in made.title


def test_what_is_not_known_of_a_species_is_said(composed, library):
    """Tags for a species whose summer time is not known say so, and print no number."""
    made = composed("date-tags", species="zebra-swallowtail")
    assert library.facts["zebra-swallowtail.pupa.summer"].preferred.basis.kind == "not-known"
    assert "is not known" in words_of(made.blocks)
    assert not any(claim.unit == "d" for claim in made.claims)
    assert "not known for this kind" in words_of(composed("rearing-log", species="zebra-swallowtail").blocks)


def test_a_crowded_foot_leaves_fewer_lines_not_more_pages(composed):
    """With less room a form is composed with fewer lines, down to a useful number."""
    for kind, least in (("rearing-log", 6), ("winter-log", 6), ("sign-in", 8)):
        full, half = (next(tables_of(composed(kind, strip=strip).blocks)) for strip in (1.0, 0.5))
        assert least <= len(half.rows) < len(full.rows), kind


def test_the_words_of_forms_are_short_and_plain(library):
    """No sentence has more than 25 words, and together they read at grade 7 or below."""
    said = []
    for form in library.all_words().forms.values():
        lines = [form.lead, *form.says.values(), *(text for lines in form.lists.values() for text in lines)]
        said.extend(re.sub(r"\{[^{}]+\}", "some days", line).replace("*", "") for line in lines)
    for text in said:
        for sentence in re.split(r"(?<=[.!?:])\s+", text):
            assert len(sentence.split()) <= 25, sentence
    assert grade_of([text for text in said if text.endswith(".")], []) <= 7.0
