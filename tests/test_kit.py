"""The kit end to end: one event file becomes all documents, traceable, right for the place, the same bytes twice."""

import html
import json
import re
import shutil
from pathlib import Path

import pytest

from handouts import build
from handouts.errors import BadInput

ROOT = Path(__file__).parent.parent
EVENT = ROOT / "demo" / "event.yml"
SOUTH = "lat=-35.3,lon=149.1,last-freeze=09-20,first-freeze=05-05,name=A southern garden"


def make(tmp_path, place=None, event=EVENT):
    out = tmp_path / "kit"
    build.kit(event, out, build.folders(None, ROOT / "demo" / "club"), place)
    return out, json.loads((out / "kit.json").read_text(encoding="utf-8"))


def event_with(tmp_path, **changes):
    """The demo event with some lines changed."""
    text = EVENT.read_text(encoding="utf-8")
    for key, value in changes.items():
        text = re.sub(rf"^{key}:.*$", f"{key}: {value}", text, flags=re.M)
    path = tmp_path / "event.yml"
    path.write_text(text, encoding="utf-8")
    return path


def shown_in(path):
    """Return (id, text) of every element with data-fact in an HTML file."""
    text = path.read_text(encoding="utf-8")
    return [(a, html.unescape(b)) for a, b in re.findall(r'data-fact="([^"]+)"[^>]*>([^<]*)<', text)]


def test_the_demo_kit_holds_every_document(demo_kit):
    """Handout, talk notes, FAQ sheet, poster, calendar and claims, in the formats of each kind."""
    names = {path.name.removeprefix("overwintering-chrysalides-") for path in demo_kit.iterdir()}
    assert {
        "handout.pdf", "handout.html", "talk-notes.pdf", "talk-notes.html", "talk-notes.txt", "faq-sheet.pdf",
        "faq-sheet.html", "faq-sheet.txt", "poster.pdf", "poster.html", "calendar.ics", "claims.pdf", "claims.html",
        "kit.json",
    } <= names  # fmt: skip
    pages = {item["kind"]: item["pages"] for item in manifest_of(demo_kit)["documents"] if item["format"] == "pdf"}
    assert pages["handout"] == 2
    assert pages["poster"] == 1


def manifest_of(folder):
    return json.loads((folder / "kit.json").read_text(encoding="utf-8"))


def test_two_runs_give_the_same_bytes(demo_kit, tmp_path):
    """A second run writes the same bytes, file by file."""
    again, _ = make(tmp_path)
    for path in sorted(demo_kit.iterdir()):
        assert (again / path.name).read_bytes() == path.read_bytes(), path.name


def test_every_figure_of_the_pages_is_a_claim_with_its_text(demo_kit):
    """data-fact ids are claims of the same document, and their text equals the claim's shown."""
    for item in manifest_of(demo_kit)["documents"]:
        if item["format"] != "html":
            continue
        claims = {claim["id"]: claim["shown"] for claim in item["claims"]}
        for name, text in shown_in(demo_kit / item["file"]):
            assert claims.get(name) == text, f"{item['file']}: {name}"


def test_no_claim_rests_on_memory_and_relatives_are_named(demo_kit):
    """A memory value never appears; a proxy is shown with the other's name."""
    for item in manifest_of(demo_kit)["documents"]:
        for claim in item["claims"]:
            assert claim["basis"] != "memory"
            if claim["basis"] == "proxy" and not claim["id"].startswith("season."):
                assert claim["proxy"] in claim["shown"]


def test_a_changed_place_changes_all_that_depends_on_it(demo_kit, tmp_path):
    """Windows, freeze dates and day lengths move with the place; stage times stay."""
    _, other = make(tmp_path, "lat=46.8,lon=-92.1,zone=4b,last-freeze=05-24,first-freeze=09-28,name=A cold garden")
    before, after = (
        {claim["id"]: claim["value"] for item in one["documents"] for claim in item["claims"]}
        for one in (manifest_of(demo_kit), other)
    )
    for name in ("season.black-swallowtail.to-cold-by", "season.black-swallowtail.overwinter-from",
                 "season.black-swallowtail.to-warmth", "place.day-length.06-21|hours"):  # fmt: skip
        assert before[name] != after[name], name
    assert before["black-swallowtail.pupa.summer"] == after["black-swallowtail.pupa.summer"]


def test_a_zone_alone_gives_weeks_and_boxes_but_no_dates(tmp_path):
    """Zone only: no date and no day length anywhere, weeks from the reader's own frosts, boxes to write in."""
    out, manifest = make(tmp_path, "zone=5b")
    for path in out.glob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert "<time" not in text, path.name
    claims = {claim["id"] for item in manifest["documents"] for claim in item["claims"]}
    assert not {name for name in claims if name.startswith(("season.", "place.day-length", "place.last"))}
    poster = html.unescape((out / "overwintering-chrysalides-poster.html").read_text(encoding="utf-8"))
    assert "1 to 5 weeks after your first freeze" in poster.replace("\u00a0", " ")
    assert "my last freeze" in poster.lower()


def test_the_southern_side_works(tmp_path):
    """South of the equator the turn to winter rest falls after the December solstice."""
    _, manifest = make(tmp_path, SOUTH)
    claims = {claim["id"]: claim["value"] for item in manifest["documents"] for claim in item["claims"]}
    assert claims["season.black-swallowtail.overwinter-from"]["mid"][5:7] in ("02", "03")


def test_polar_latitudes_are_refused_in_words_not_in_tracebacks(tmp_path):
    """Beyond the polar circle the kit is made, and says what is not known there."""
    _, manifest = make(tmp_path, "lat=69.6,lon=18.9,name=A polar garden")
    claims = {claim["id"] for item in manifest["documents"] for claim in item["claims"]}
    assert "season.black-swallowtail.overwinter-from" not in claims


def test_metric_readers_get_metric_first(tmp_path):
    """With units: metric the metric value comes first."""
    shutil.copytree(ROOT / "demo" / "club", tmp_path / "club")
    _, manifest = make(tmp_path, event=event_with(tmp_path, units="metric", paper="a4"))
    shown = {claim["id"]: claim["shown"] for item in manifest["documents"] for claim in item["claims"]}
    text = shown["winter-store.cold-store"].replace("\u00a0", " ")
    assert text == "about 3.5 °C (38 °F)"
    assert {item["paper"] for item in manifest["documents"]} == {"a4", "a3"}


def test_a_failed_run_leaves_the_old_kit_alone(tmp_path, monkeypatch):
    """When something fails, no file of the earlier kit is lost or half-written."""
    out = tmp_path / "kit"
    out.mkdir()
    old = out / "overwintering-chrysalides-handout.html"
    old.write_text("old", encoding="utf-8")
    with pytest.raises(BadInput):
        build.kit(EVENT, out, build.folders(None, ROOT / "demo" / "club"), "zone=99z")
    assert [path.name for path in out.iterdir()] == [old.name]
    assert old.read_text(encoding="utf-8") == "old"


def test_the_calendars_dates_are_those_of_the_windows(demo_kit):
    """Each window's entry starts and ends on the claim's low and high."""
    text = (demo_kit / "overwintering-chrysalides-calendar.ics").read_bytes().decode("utf-8")
    claims = {
        claim["id"]: claim["value"]
        for item in manifest_of(demo_kit)["documents"]
        if item["kind"] == "calendar"
        for claim in item["claims"]
    }
    starts = set(re.findall(r"DTSTART;VALUE=DATE:(\d{8})", text))
    for name, value in claims.items():
        if name.startswith("season."):
            assert value["low"].replace("-", "") in starts, name


def test_the_demo_kit_keeps_its_promises(demo_kit):
    """`inspect` finds nothing on any file of the demo kit."""
    found = build.inspect(sorted(demo_kit.iterdir()), build.folders(None, ROOT / "demo" / "club"))
    assert not found, "\n".join(map(str, found))
