"""The field manual says what is so: its tables match the records and outputs, its recipes run as written."""

import json
import re
import shutil
from datetime import date
from pathlib import Path

import pytest

from handouts import build
from handouts.check import check_all
from handouts.load import load_library
from handouts.model.event import EventFile
from handouts.model.finding import Finding
from handouts.place.known import KEYS

ROOT = Path(__file__).parent.parent
MANUAL = (ROOT / "content" / "README.md").read_text(encoding="utf-8")
TODAY = date(2026, 11, 25)


def table_after(heading):
    """Return the first column of the first table after `heading`."""
    rest = MANUAL[MANUAL.index(heading) :]
    names = []
    for line in rest.splitlines():
        if line.startswith("| `"):
            names.append(re.match(r"\| `([^`]+)`", line)[1])
        elif names:
            break
    return set(names)


def test_event_fields_are_documented():
    """The event file's table lists exactly the fields that are read."""
    assert table_after("## The event file") == set(EventFile.model_fields)


def test_place_fields_are_documented():
    """The place file's table lists exactly the fields that are read."""
    assert table_after("## The place file") == set(KEYS)


def test_finding_fields_are_documented():
    """The findings' table lists exactly the fields that are printed."""
    assert table_after("`handouts check --json`") == set(Finding("error", "x").to_json())


def test_place_and_season_json_are_documented():
    """The tables of place and season list exactly the fields that are printed."""
    where = build.Folders(ROOT / "content")
    place = "lat=39.2,lon=-86.4,last-freeze=04-24,first-freeze=10-22"
    known = build.known_place(place, ROOT, where)
    assert table_after("`handouts place --json`") == set(build.place_profile(known, where, 2027).to_json())
    (season,) = build.seasons(where, place, [], 2027)
    assert table_after("`handouts season --json`") == set(season.to_json())
    assert table_after("An entry of `windows`") == set(season.to_json()["windows"][0])


def test_every_warning_is_explained():
    """No warning of the shipped content lacks its line in the manual."""
    explained = table_after("## The warnings of `check`")
    found = check_all(load_library(ROOT / "content"), TODAY)
    assert {finding.rule for finding in found if finding.level == "warning"} <= explained


@pytest.fixture
def copy(tmp_path):
    """A copy of the content to change."""
    shutil.copytree(ROOT / "content", tmp_path / "content")
    return tmp_path


def recipes():
    """Return the recipes: title -> files to write."""
    found = {}
    for part in re.split(r"^### ", MANUAL[MANUAL.index("## Recipes") :], flags=re.M)[1:]:
        title = part.splitlines()[0]
        found[title] = re.findall(r"^```yaml (\S+)\n(.*?)^```", part, flags=re.M | re.S)
    return found


@pytest.mark.parametrize("title", list(recipes()))
def test_recipes_run_as_written(title, copy):
    """Each recipe's files are written to a copy of the content, which stays without errors."""
    names = list(recipes())
    for earlier in names[: names.index(title) + 1]:
        for name, text in recipes()[earlier]:
            if earlier == "Accept a disagreement":
                source = copy / "content/references/example-lovage.yml"
                source.write_text(source.read_text().replace(", locator: second paragraph", ""), encoding="utf-8")
            (copy / name).write_text(text, encoding="utf-8")
    errors = [item for item in check_all(load_library(copy / "content"), TODAY) if item.level == "error"]
    assert not errors, "\n".join(map(str, errors))


def test_a_topic_of_another_kind_becomes_a_handout(copy):
    """The pea plan, added as data alone, is composed and rendered for a zone-only reader."""
    for name, text in recipes()["Add a topic of another kind"]:
        (copy / name).write_text(text, encoding="utf-8")
    out = copy / "peas.html"
    build.make("handout", "sowing-peas", "zone=7a", out, build.Folders(copy / "content"))
    assert "4 to 6 weeks before your last freeze" in out.read_text(encoding="utf-8").replace("\u00a0", " ")


def test_kit_json_is_documented(demo_kit):
    """The tables of kit.json list exactly its fields."""
    manifest = json.loads((demo_kit / "kit.json").read_text(encoding="utf-8"))
    assert table_after("`kit.json`:") == set(manifest)
    entry = manifest["documents"][0]
    assert table_after("An entry of `documents`") == set(entry)
    assert table_after("An entry of `claims`") == set(entry["claims"][0])


def test_every_rule_that_only_warns_is_explained():
    """The manual's table names each rule that the checks may give as a warning, met in the shipped content or not."""
    warns = re.compile(r'"([a-z]+(?:-[a-z]+)+)",(?:(?!yield)[^)])*?level="warning"')
    texts = [path.read_text(encoding="utf-8") for path in sorted((ROOT / "handouts" / "check").glob("*.py"))]
    rules = {name for text in texts for name in warns.findall(text)} | {"weak-basis"}  # its level is data
    assert len(rules) >= 6
    assert rules <= table_after("## The warnings of `check`")
