"""Every edition is a draft, approved or withdrawn: kept beside it, said on its pages, and no part of its id."""

from __future__ import annotations

import html
import json
import re

import pypdfium2
import pytest

from handouts import build
from handouts.editions import approve as status
from handouts.editions import record
from tests.editions.conftest import ROOT, change

DRAFT = "Draft, not yet approved"
SIGNED = ("--name", "Ana Ruiz", "--role", "Extension educator", "--date", "2027-08-30")


def pages_of(path):
    """The text of each page of a PDF."""
    document = pypdfium2.PdfDocument(path)
    texts = [page.get_textpage().get_text_range() for page in document]
    document.close()
    return texts


def compose(root, kind):
    """Compose one paper of the demo's event for a club, without rendering it."""
    where = build.folders(None, root / "club")
    loaded = build.library(where)
    known = build.known_place("millrace-hollow", root, where)
    order = build.Order("overwintering-chrysalides", "black-swallowtail", build.place_profile(known, where, 2028), 2028)
    return build.compose(loaded, order, kind)


def line_of(document):
    """The words of the edition line."""
    return "".join(getattr(run, "text", "") for run in document.edition_line)


def test_a_kit_is_recorded_as_drafts_with_what_it_states(made_club):
    """Each document of the kit has its record: event, place, where handed out, and every claim with its digest."""
    listed = made_club.listed
    assert {path.stem for path in made_club.editions.glob("*.yml")} == set(listed)
    for name, item in listed.items():
        found = record.read_edition(made_club.editions / f"{name}.yml")
        assert (found.status, found.kind, found.topic) == ("draft", item["kind"], item["topic"])
        assert found.date.isoformat() == "2027-09-18"
        assert found.place == "Millrace Hollow (invented)"
        assert found.handed_out == "the library, main hall"
        assert [(one.id, one.digest) for one in found.claims] == [
            (claim["id"], claim["digest"]) for claim in item["claims"]
        ]
        for one, claim in zip(found.claims, item["claims"], strict=True):
            assert (one.shown, one.unit, one.basis) == (claim["shown"], claim["unit"], claim["basis"])
            assert one.value == record.kept(claim["value"])


def test_a_draft_says_so_on_each_page(made_club):
    """Each page of each PDF, the top and the foot of each HTML page and text, and each calendar entry."""
    for item in made_club.manifest["documents"]:
        assert item["status"] == "draft"
        path = made_club.kit / item["file"]
        if item["format"] == "pdf":
            assert all(DRAFT in text for text in pages_of(path)), path.name
        elif item["format"] == "ics":
            text = path.read_bytes().decode().replace("\r\n ", "")
            assert text.count("BEGIN:VEVENT") == text.replace("\\,", ",").count(DRAFT) > 3
        else:
            words = html.unescape(re.sub(r"<[^>]+>", "", path.read_text(encoding="utf-8")))
            assert len(re.findall(DRAFT.replace(" ", r"\s+"), words)) == 2, path.name


def test_without_a_folder_of_editions_no_page_speaks_of_a_status(demo_kit):
    """A club that keeps no editions has papers without a status, and nothing is written into its folder."""
    for path in demo_kit.iterdir():
        if path.suffix in (".html", ".txt", ".ics"):
            assert DRAFT not in path.read_text(encoding="utf-8"), path.name
    assert {item["status"] for item in json.loads((demo_kit / "kit.json").read_text())["documents"]} == {None}
    assert not (ROOT / "demo" / "club" / "editions").exists()


def test_the_id_depends_on_blocks_and_claims_alone(club, run):
    """Draft, approved, withdrawn or without a record: the same edition; each says what it is."""
    drafted = compose(club.root, "handout")
    path = club.editions / f"{drafted.edition}.yml"
    ground = record.Ground(species="black-swallowtail", year=2028, place={"zone": "6b"})
    loaded = build.library(build.folders(None, club.folder))
    given = record.Given(date="2027-09-18")
    made = record.new_edition(drafted, ground, status.subjects_of(loaded, drafted), given)
    path.write_bytes(record.written(made))
    signed = record.Approval(name="Ana Ruiz", role="Extension educator", date="2027-08-30")
    for _, files in [status.approve(club.editions, [made.id], signed)]:
        for target, data in files.items():
            target.write_bytes(data)
    approved = compose(club.root, "handout")
    taken = record.Withdrawal(why="The printer cut off a row.", date="2027-09-01")
    for target, data in status.withdraw(club.editions, [made.id], taken)[1].items():
        target.write_bytes(data)
    withdrawn = compose(club.root, "handout")
    (club.editions / f"{made.id}.yml").unlink()
    club.editions.rename(club.folder / "elsewhere")
    bare = compose(club.root, "handout")
    assert {drafted.edition, approved.edition, withdrawn.edition, bare.edition} == {made.id}
    assert line_of(drafted).endswith(f"{DRAFT}.")
    assert line_of(approved).endswith("Approved by Ana Ruiz, Extension educator, 2027-08-30.")
    assert line_of(withdrawn).endswith("Withdrawn 2027-09-01: The printer cut off a row.")
    assert [one.extra.get("status-line") for one in (approved, bare)] == ["", None]
    assert withdrawn.extra["status-line"].startswith("Withdrawn")
    assert "2027-08-30" in approved.constants
    assert DRAFT not in line_of(bare)


def test_a_changed_text_starts_as_a_draft_again(club, run):
    """An approved handout whose text changes becomes a new edition, and that one is a draft; others stay."""
    loaded = build.library(build.folders(None, club.folder))
    drafted = compose(club.root, "handout")
    ground = record.Ground(species="black-swallowtail", year=2028, place={"zone": "6b"})
    made = record.new_edition(drafted, ground, status.subjects_of(loaded, drafted), record.Given(date="2027-09-18"))
    approval = {"name": "Ana Ruiz", "role": "Extension educator", "date": "2027-08-30"}
    made = made.model_copy(update={"status": "approved", "approved": record.Approval(**approval)})
    (club.editions / f"{made.id}.yml").write_bytes(record.written(made))
    signed = compose(club.root, "handout")
    before = compose(club.root, "faq-sheet").edition
    entry = (ROOT / "content" / "plans" / "overwintering-chrysalides.yml").read_text(encoding="utf-8")
    plans = club.folder / "plans"
    plans.mkdir()
    assert "do_this:\n" in entry
    new = entry.replace("do_this:\n", "do_this:\n  - Look at each one.\n", 1) + "\nreplaces: true\nreason: A test.\n"
    (plans / "overwintering-chrysalides.yml").write_text(new, encoding="utf-8")
    handout = compose(club.root, "handout")
    assert handout.edition != signed.edition
    assert (signed.extra["status"], handout.extra["status"]) == ("approved", "draft")
    assert compose(club.root, "faq-sheet").edition == before


def test_approving_a_kit_signs_all_its_editions(club, run):
    """`approve kit.json` signs every edition; what stood in the files beside the status stays as it was."""
    path = club.editions / f"{club.edition('handout')}.yml"
    change(path, "kind: handout", "# seen on the table\nkind: handout")
    code, out, err = run("approve", club.kit / "kit.json", *SIGNED, "--club", club.folder)
    assert (code, len(out.splitlines())) == (0, 6), err
    for one in record.read_all(club.editions).editions:
        assert one.status == "approved"
        assert one.approved.name == "Ana Ruiz"
    assert "# seen on the table\n" in path.read_text(encoding="utf-8")
    assert run("approve", club.kit / "kit.json", *SIGNED, "--club", club.folder)[0] == 0
    code, out, _ = run("editions", "--club", club.folder)
    assert out.count("approved by Ana Ruiz") == 6
    code, _, err = run("approve", club.edition("handout"), "--name", "Bo Li", "--role", "Helper", "--club", club.folder)
    assert code == 2
    assert "approved already" in err


def test_a_withdrawn_edition_is_not_approved_again(club, run):
    """Withdrawing keeps the reason and the day; approving it later is refused with the reason."""
    name = club.edition("poster")
    assert run("withdraw", name, "--why", "A row was cut off.", "--date", "2027-09-01", "--club", club.folder)[0] == 0
    found = record.find(club.editions, name)
    assert (found.status, found.withdrawn.why) == ("withdrawn", "A row was cut off.")
    code, _, err = run("approve", name, *SIGNED, "--club", club.folder)
    assert code == 2
    assert "A row was cut off" in err


def test_what_has_changed_since_is_not_approved(club, run, content):
    """An edition that states something that has changed is refused with exit code 1, and stays a draft."""
    change(content / "species" / "black-swallowtail.yml", "low: 9, high: 18", "low: 10, high: 20")
    code, _, err = run("approve", club.edition("handout"), *SIGNED, "--club", club.folder, "--content", content)
    assert code == 1
    assert "has changed" in err
    assert record.find(club.editions, club.edition("handout")).status == "draft"


def test_a_second_event_is_added_to_the_same_edition(club):
    """The same sheet made for another day is one edition with two events; the same event again changes nothing."""
    loaded = build.library(build.folders(None, club.folder))
    found = record.find(club.editions, club.edition("handout"))
    again = record.given_again(found, record.Given(date="2027-10-02", event="Open garden", handed_out="the gate"))
    path = club.editions / f"{found.id}.yml"
    path.write_bytes(record.rewritten(path, again, ("again",)))
    kept = record.read_edition(path)
    assert [str(one.date) for one in kept.again] == ["2027-10-02"]
    assert [one.digest for one in kept.claims] == [one.digest for one in found.claims]
    same = record.Given(date="2027-10-02", event="Open garden", handed_out="the gate")
    assert record.given_again(kept, same) is None
    first = record.Given(date=found.date, event=found.event, handed_out=found.handed_out)
    assert record.given_again(kept, first) is None
    assert loaded.club is not None


def test_the_same_input_gives_the_same_bytes_and_records_nothing_twice(club):
    """A second run writes the same kit and leaves the records alone, also when some are approved."""
    before = {path.name: path.read_bytes() for path in club.editions.iterdir()}
    made = build.kit(club.root / "event.yml", club.root / "again", build.folders(None, club.folder))
    for path in sorted(club.kit.iterdir()):
        assert (club.root / "again" / path.name).read_bytes() == path.read_bytes(), path.name
    assert {path.name: path.read_bytes() for path in club.editions.iterdir()} == before
    assert not [path for path in made.files if path.parent == club.editions]


@pytest.mark.parametrize(
    "text", ["Tab\there", 'Quote " and \\ back', "No\u00a0break, 25 \u00b0C \u2013 \U0001f98b", "no", "#x", "1e3"]
)
def test_words_survive_being_written_and_read(text, made_club, tmp_path):
    """Titles of any letters come back as they were."""
    found = record.read_all(made_club.editions).editions[0]
    path = tmp_path / f"{found.id}.yml"
    changed = found.model_copy(update={"title": text, "place": text})
    path.write_bytes(record.written(changed))
    assert record.read_edition(path).title == text
    assert record.alike(record.read_edition(path), changed)
