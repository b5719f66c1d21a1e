"""The recall over the shipped content: moved windows, words and numbers from outside, and the correction."""

from __future__ import annotations

import html
import json
import re

import pytest

from handouts import build
from handouts.editions import record
from handouts.editions.compare import says_the_same
from handouts.editions.record import State
from tests.editions import small
from tests.editions.conftest import LINK, change
from tests.editions.test_status import pages_of

SUMMER = ("low: 9, high: 18", "low: 10, high: 17")


def affected(text):
    """What a recall's JSON names: kind -> ids of what has changed."""
    return {one["kind"]: {change["id"] for change in one["changes"]} for one in json.loads(text)["affected"]}


def states(club, fact):
    """The kinds of documents of the kit that show a fact, and under which ids."""
    found = {}
    for item in club.listed.values():
        names = {claim["id"] for claim in item["claims"] if re.split(r"[|~]", claim["id"])[0] == fact}
        if names:
            found[item["kind"]] = names
    return found


def test_nothing_changed_nothing_listed(made_club, run):
    """A kit just made has nothing to recall: nothing on standard output, also nothing that could not be checked."""
    code, out, err = run("recall", "--club", made_club.folder)
    assert (code, out) == (0, "")
    assert err.strip() == "6 editions and 0 from outside were looked through; nothing has changed."
    assert json.loads(run("recall", "--json", "--club", made_club.folder)[1])["affected"] == []


def test_one_changed_fact_names_the_papers_that_show_it(club, run, content):
    """A fact that no window rests on: exactly the documents of the kit that show it, by kit.json."""
    fact = "loose-chrysalis.wait"
    change(content / "practices" / "loose-chrysalis.yml", "low: 24, high: 48", "low: 24, high: 72")
    code, out, _ = run("recall", "--json", "--club", club.folder, "--content", content)
    assert code == 0
    assert affected(out) == states(club, fact)
    assert run("recall", "--strict", "--club", club.folder, "--content", content)[0] == 1


def test_a_moved_window_says_so(club, run, content):
    """A later turn to winter rest moves the windows that rest on it; old and new words stand with the reason."""
    path = content / "species" / "spicebush-swallowtail.yml"
    before, after = path.read_text(encoding="utf-8").split("    ohio-south:", 1)
    new = re.sub(r"(low|high): (1\d(?:\.\d+)?)", lambda match: f"{match[1]}: {float(match[2]) - 0.3:g}", after, count=2)
    assert new != after
    path.write_text(f"{before}    ohio-south:{new}", encoding="utf-8")
    out = json.loads(run("recall", "--json", "--club", club.folder, "--content", content)[1])
    changes = [change for one in out["affected"] for change in one["changes"]]
    assert changes
    assert {change["why"] for change in changes if change["id"].startswith("season.")} == {"season window moved"}
    moved = [change for change in changes if change["id"] == "season.black-swallowtail.overwinter-from"]
    assert all(change["old_value"] != change["new_value"] for change in moved)
    facts = {change["id"] for change in changes if not change["id"].startswith(("season.", "place.day-length"))}
    assert all(name.startswith("spicebush-swallowtail.critical-day-length") for name in facts), facts


def test_a_corrected_frost_date_moves_what_was_counted_from_it(club, run):
    """When the club corrects its place file, dates on earlier papers are recalled; stage times are not."""
    change(club.folder / "places" / "millrace-hollow.yml", "last_freeze: 04-24", "last_freeze: 05-20")
    found = affected(run("recall", "--json", "--club", club.folder)[1])
    names = set().union(*found.values())
    assert any(name.startswith("season.black-swallowtail.to-warmth") for name in names)
    assert not [name for name in names if name.startswith("black-swallowtail.")]


def test_a_place_that_is_gone_is_still_known(club, run):
    """The record keeps the place's fields: without the place file nothing changes and nothing is left unchecked."""
    (club.folder / "places" / "millrace-hollow.yml").unlink()
    code, out, err = run("recall", "--club", club.folder)
    assert (code, out) == (0, "")
    assert len(err.splitlines()) == 1


def test_an_older_edition_stays_listed_when_the_kit_is_made_anew(club, content):
    """What was handed out stays out there: after a new kit the old editions are listed and the new ones are not."""
    change(content / "species" / "black-swallowtail.yml", *SUMMER)
    where = build.folders(content, club.folder)
    event = club.root / "event.yml"
    change(event, "documents: [handout, talk-notes, faq-sheet, poster, calendar, claims]", "documents: [faq-sheet]")
    build.kit(event, club.root / "new", where)
    loaded = build.library(where)
    from handouts.editions.recall import recall

    found = recall(record.read_all(club.editions), small.today(loaded))
    new = json.loads((club.root / "new" / "kit.json").read_text(encoding="utf-8"))["documents"][0]["edition"]
    names = {one.item.id for one in found.affected}
    assert club.edition("faq-sheet") in names
    assert new not in names


def test_videos_are_entered_with_the_facts_they_state(club, run, content):
    """`enter` keeps what a video says today; words that differ from ours are listed from the start."""
    common = ("--date", "2026-05-01", "--club", club.folder)
    video = ("enter", "winter-video", "--kind", "video", "--title", "Winter", "--link", "https://example.org/v")
    assert run(*video, "--states", "black-swallowtail.pupa.summer", "--states", "loose-chrysalis.wait", *common)[0] == 0
    sheet = ("enter", "old-sheet", "--kind", "sheet", "--title", "An old sheet")
    assert run(*sheet, "--states", "winter-store.check-every=every day", *common)[0] == 0
    code, out, _ = run("recall", "--json", "--club", club.folder)
    assert affected(out) == {"sheet": {"winter-store.check-every"}}
    change(content / "species" / "black-swallowtail.yml", *SUMMER)
    code, out, _ = run("recall", "--json", "--club", club.folder, "--content", content)
    found = affected(out)
    assert found["video"] == {"black-swallowtail.pupa.summer"}
    assert found["sheet"] == {"winter-store.check-every"}
    code, _, err = run(*video, "--states", "black-swallowtail.pupa.summer", *common)
    assert code == 2
    assert "winter-video.yml" in err


@pytest.mark.parametrize(
    ("said", "same"),
    [
        ({"shown": "4 to 9 days"}, True), ({"shown": "4-9 days"}, True), ({"shown": "About four to nine days"}, True),
        ({"shown": "4\u20139\u00a0days"}, True), ({"shown": "4 to 10 days"}, False), ({"shown": "a week"}, False),
        ({"value": {"low": "4", "high": "9"}}, True), ({"value": "4-9"}, True), ({"value": "4 to 9"}, True),
        ({"value": "4"}, False), ({"value": {"low": "4", "high": "8"}}, False),
        ({"value": {"low": "96", "high": "216"}, "unit": "h"}, True),
    ],
)  # fmt: skip
def test_words_and_numbers_from_outside_are_compared_by_meaning(said, same, tmp_path):
    """Hyphens, dashes, spaces, small number words and other units of time play no part; other figures do."""
    loaded = small.library(small.start(), tmp_path)
    fact = loaded.facts["test-moth.egg"]
    state = State(fact=fact.id, **said)
    assert says_the_same(state, fact.preferred, small.today(loaded), "") is same


@pytest.mark.parametrize(
    ("fact", "said", "same"),
    [
        ("test-herb.spacing", {"shown": "61 cm"}, True), ("test-herb.spacing", {"shown": "24 inches"}, True),
        ("test-herb.spacing", {"value": "61", "unit": "cm"}, True),
        ("test-herb.spacing", {"value": "50", "unit": "cm"}, False),
        ("test-herb.habit", {"value": "A low bush"}, True), ("test-herb.habit", {"value": "a tree"}, False),
        ("test-herb.sow-indoors", {"shown": "6-8 weeks before your last freeze"}, True),
        ("test-herb.sow-indoors", {"value": {"low": "8 wk before last freeze", "to": "6 wk before last freeze"}}, True),
        ("test-herb.sow-indoors", {"value": "early May"}, False),
    ],
)  # fmt: skip
def test_the_other_unit_and_other_kinds_of_values_count_too(fact, said, same, tmp_path):
    """Metric words for a US fact, terms and times are compared as well."""
    loaded = small.library(small.start(), tmp_path)
    state = State(fact=fact, **said)
    assert says_the_same(state, loaded.facts[fact].preferred, small.today(loaded), "") is same


@pytest.fixture
def corrected(club, run, content):
    """The correction of a changed fact, a video that states it, and a new caution of a plant."""
    run("enter", "winter-video", "--kind", "video", "--title", "Winter 101", "--link", "https://example.org/v",
        "--states", "black-swallowtail.pupa.summer", "--date", "2026-05-01", "--club", club.folder)  # fmt: skip
    change(content / "species" / "black-swallowtail.yml", *SUMMER)
    change(content / "plants" / "parsley.yml", "carries: []", "carries: [phototoxic-sap]")
    out = club.root / "out"
    code, _, err = run("recall", "--out", out, "--club", club.folder, "--content", content)
    assert code == 0, err
    return club, out, content


def test_the_correction_says_what_it_was_and_what_it_is(corrected):
    """Notice, comment and page name the old and the new words, the editions and the video, and carry the caution."""
    club, out, _ = corrected
    assert {path.name for path in out.iterdir()} == {
        "correction-notice.pdf", "correction-notice.html", "correction-comment.txt", "corrections.html",
    }  # fmt: skip
    for name in ("correction-notice.html", "corrections.html"):
        text = html.unescape(re.sub(r"<[^>]+>", " ", (out / name).read_text(encoding="utf-8"))).replace("\u00a0", " ")
        words = " ".join(text.split())
        for part in (
            "9 to 18 days",
            "10 to 17 days",
            club.edition("handout"),
            "Winter 101",
            "sap that makes skin burn",
        ):
            assert part in words, (name, part)
        assert club.edition("claims") not in words
    printed = " ".join(" ".join(pages_of(out / "correction-notice.pdf")).split())
    assert club.edition("handout") in printed
    comments = (out / "correction-comment.txt").read_text(encoding="utf-8").split("\n\n\n")
    assert ["Winter 101" in one for one in comments] == [False, True]
    assert ["Wear gloves" in one for one in comments] == [True, False]
    assert all(len(one.split()) < 130 for one in comments)


def test_the_correction_keeps_the_promises_of_every_output(corrected):
    """`inspect` finds no error on the finished correction."""
    club, out, content = corrected
    found = build.inspect(sorted(out.iterdir()), build.folders(content, club.folder))
    assert not [item for item in found if item.level == "error"], "\n".join(map(str, found))


def test_with_nothing_changed_the_page_says_so(made_club, run, tmp_path):
    """The page that the code points to stands from the first day; there is no notice and no comment."""
    assert run("recall", "--out", tmp_path / "out", "--club", made_club.folder)[0] == 0
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["corrections.html"]
    assert "has changed so far" in (tmp_path / "out" / "corrections.html").read_text(encoding="utf-8")


def test_every_sheet_leads_to_the_corrections_page(made_club):
    """The link stands in words on each sheet, beside the code; calendar and claims sheet carry none."""
    for item in made_club.manifest["documents"]:
        if item["format"] == "html":
            text = (made_club.kit / item["file"]).read_text(encoding="utf-8")
            carried = item["kind"] != "claims"
            assert (f'href="{LINK}"' in text) is carried, item["file"]
            assert ("QR code for millrace.example.org/fix" in text) is carried
    assert any("millrace.example.org/fix" in page for page in pages_of(next(made_club.kit.glob("*-handout.pdf"))))


def test_the_kit_with_link_and_status_keeps_its_promises(made_club):
    """`inspect` finds no error on a kit with status lines and codes."""
    found = build.inspect(sorted(made_club.kit.iterdir()), build.folders(None, made_club.folder))
    assert not [item for item in found if item.level == "error"], "\n".join(map(str, found))
