"""The field manual says what editions, recalls and reports are: its tables list exactly what is read and printed."""

from __future__ import annotations

import json
import re

import pytest

from handouts.editions import recall, report
from handouts.editions.record import Edition, Outside, State
from handouts.load.records import type_record
from handouts.yamltext import parse_yaml
from tests.editions.conftest import ROOT, change

MANUAL = (ROOT / "content" / "README.md").read_text(encoding="utf-8")
GIVEN_OUT = MANUAL[MANUAL.index("## What is given out") :]
AFTER = MANUAL[MANUAL.index("## After the event") :]


def table_after(heading, text):
    """Return the first column of the first table after `heading`."""
    names = []
    for line in text[text.index(heading) :].splitlines():
        if found := re.match(r"\| `([^`]+)`", line):
            names.append(found[1])
        elif names:
            break
    return names


@pytest.mark.parametrize(
    ("heading", "text", "model", "hidden"),
    [
        ("An edition's file:", GIVEN_OUT, Edition, set()),
        ("A video, sheet or post", GIVEN_OUT, Outside, {"id"}),
        ("An entry of `states`", GIVEN_OUT, State, set()),
        ("## After the event", AFTER, report.After, set()),
        ("An entry of `tallies`", AFTER, report.Tally, set()),
    ],
)
def test_fields_that_are_read_are_documented(heading, text, model, hidden):
    """Each table lists exactly the fields of its record."""
    assert set(table_after(heading, text)) == set(model.model_fields) - hidden


def test_reasons_and_columns_are_documented():
    """The reasons of a recall and the columns of the report stand in the manual, in their order."""
    reasons = [recall.VALUE, recall.BASIS, recall.WITHDRAWN, recall.CAUTION, recall.WINDOW]
    assert table_after("`handouts recall` lists", GIVEN_OUT) == reasons
    assert tuple(table_after("The columns of the row:", AFTER)) == report.COLUMNS


def test_json_fields_are_documented(club, run, content):
    """The tables of recall and list hold exactly the fields that are printed."""
    change(content / "practices" / "loose-chrysalis.yml", "low: 24, high: 48", "low: 24, high: 72")
    found = json.loads(run("recall", "--json", "--club", club.folder, "--content", content)[1])
    assert set(table_after("`handouts recall --json`", GIVEN_OUT)) == set(found)
    assert set(table_after("An entry of `affected`", GIVEN_OUT)) == set(found["affected"][0])
    assert set(table_after("An entry of `changes`", GIVEN_OUT)) == set(found["affected"][0]["changes"][0])
    listed = json.loads(run("editions", "--json", "--club", club.folder)[1])
    assert set(table_after("An entry of `editions`", GIVEN_OUT)) == set(listed["editions"][0])
    assert set(listed) == {"editions", "outside"}


def test_the_example_of_what_was_counted_is_read():
    """The manual's after.yml fits its format and adds up."""
    text = re.search(r"```yaml\n(.*?)```", AFTER, flags=re.S)[1]
    after = type_record(report.After, parse_yaml(text, "after.yml"), "after.yml")
    assert after.contacts == sum(after.groups.values()) == 21
    assert [tally.answers for tally in after.tallies] == [15, 15]


def test_the_commands_of_the_manual_are_commands(club, run):
    """Each line of the manual's example runs on a club with a kit (the edition's id put in)."""
    block = re.search(r"```\n(handouts approve.*?)```", GIVEN_OUT, flags=re.S)[1]
    for line in block.strip().splitlines():
        words = re.findall(r'"[^"]*"|\S+', line.replace("tkcq-dmdw-ctnw", club.edition("poster")))
        words = [word.strip('"') for word in words[1:]]
        words = [str(club.kit / "kit.json") if word == "kit/kit.json" else word for word in words]
        words = [str(club.root / word) if word == "corrections" else word for word in words]
        assert run(*words, "--club", club.folder)[0] == 0, line
