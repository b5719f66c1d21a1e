"""A small library to edit: two subjects, two topics, one source; its files are written from plain data."""

from __future__ import annotations

import json
import shutil
from copy import deepcopy
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from handouts import build
from handouts.editions import approve, record
from handouts.editions.current import Today
from handouts.editions.outside import new_entry
from handouts.load import load_library

ROOT = Path(__file__).parent.parent.parent
DAY = date(2027, 5, 8)
PLACE = "zone=6a,name=A small garden"

# Each fact: kind of subject, value, basis, whether the source states it too.
FACTS: dict[str, dict[str, Any]] = {
    "test-moth.egg": {"span": {"low": 4, "high": 9, "unit": "d"}, "basis": {"kind": "common-practice"}},
    "test-moth.larva": {"span": {"low": 10, "high": 30, "unit": "d"}, "basis": {"kind": "published"}},
    "test-moth.pupa.summer": {"span": {"about": 14, "unit": "d"}, "basis": {"kind": "common-practice"}},
    "test-moth.wings-dry": {"span": {"at_least": 2, "unit": "h"}, "basis": {"kind": "common-practice"}},
    "test-herb.spacing": {"span": {"about": 24, "unit": "[in_i]"}, "basis": {"kind": "published"}},
    "test-herb.sow-indoors": {
        "time": {"from": "8 wk before last freeze", "to": "6 wk before last freeze"},
        "basis": {"kind": "common-practice"},
    },
    "test-herb.habit": {"term": "a low bush", "basis": {"kind": "common-practice"}},
}
# Which facts each topic states; the test's own table, held against what the recall says.
SHOWS = {
    "moths-first": ("test-moth.egg", "test-moth.larva", "test-moth.pupa.summer"),
    "herbs-first": ("test-herb.spacing", "test-herb.sow-indoors", "test-moth.larva"),
}
KINDS = ("handout", "talk-notes")
ENTRIES: dict[str, tuple[str, tuple[str, ...]]] = {
    "wings-video": ("video", ("test-moth.wings-dry", "test-moth.egg")),
    "herb-post": ("post", ("test-herb.habit",)),
    "own-words": ("sheet", ("test-moth.pupa.summer=14 days", "test-herb.spacing=24 inches")),
}
SOURCE = "example-source"


def start() -> dict[str, Any]:
    """The library as plain data: facts, hazard classes of the subjects, what the source states."""
    return {
        "facts": deepcopy(FACTS),
        "carries": {"test-moth": [], "test-herb": ["test-sap"]},
        "stated": {
            name: deepcopy(fact["span"]) for name, fact in FACTS.items() if fact["basis"]["kind"] == "published"
        },
        "labels": {},
    }


def write(data: dict[str, Any], folder: Path) -> Path:
    """Write the library's files anew and return the content folder."""
    content = folder / "content"
    if not (content / "words").is_dir():
        shutil.copytree(ROOT / "content" / "words", content / "words")
        shutil.copytree(ROOT / "content" / "places", content / "places")
    files = {
        "species/test-moth.yml": _subject(data, "test-moth", "test moth", "Testa prima"),
        "plants/test-herb.yml": _subject(data, "test-herb", "test herb", "Herba prima"),
        "contacts/helper.yml": {"names": {"common": "the helper"}, "reviewed": "2026-11-25"},
        f"references/{SOURCE}.yml": _source(data),
        "cautions/test-sap.yml": _caution("sap on the skin", "Sap can sting. Wear gloves and wash it off."),
        "cautions/test-scales.yml": _caution("dust from wings", "Wing dust can make eyes itch. Wash your hands."),
        **{f"plans/{topic}.yml": _plan(data, topic) for topic in SHOWS},
    }
    for name, record_data in files.items():
        path = content / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(record_data), encoding="utf-8")  # JSON is YAML too
    return content


def _subject(data: dict[str, Any], name: str, common: str, latin: str) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    for fact_id, fact in data["facts"].items():
        if not fact_id.startswith(f"{name}."):
            continue
        statement = deepcopy(fact)
        if statement["basis"]["kind"] == "published":
            statement["basis"]["rests_on"] = [f"{SOURCE}#{_key(fact_id)}"]
        label = data["labels"].get(fact_id, f"what is said of {fact_id.replace('.', ' ').replace('-', ' ')}")
        held = {"label": label, "says": [statement]}
        _, quantity, *condition = fact_id.split(".")
        if condition:
            facts.setdefault(quantity, {})[condition[0]] = held
        else:
            facts[quantity] = held
    return {
        "names": {"common": common, "scientific": latin},
        "carries": data["carries"][name],
        "reviewed": "2026-11-25",
        "facts": facts,
    }


def _key(fact_id: str) -> str:
    return fact_id.replace(".", "-")


def _source(data: dict[str, Any]) -> dict[str, Any]:
    return {
        "record": {"type": "webpage", "title": "An example page", "publisher": "An example"},
        "read": "excerpt",
        "evidence": "extension",
        "seen": "2026-11-25",
        "values": {_key(name): {"of": name, **span, "locator": "text"} for name, span in data["stated"].items()},
    }


def _caution(name: str, short: str) -> dict[str, Any]:
    full = f"{short} If it does not get better, ask someone who knows."
    return {"name": name, "short": short, "full": full, "turn_to": ["helper"], "reviewed": "2026-11-25"}


def _plan(data: dict[str, Any], topic: str) -> dict[str, Any]:
    said = [f"Note this: {{{name}}}." for name in SHOWS[topic] if name in data["facts"]]
    return {
        "title": f"A topic called {topic.replace('-', ' ')}",
        "audience": "For anyone.",
        "species": ["test-moth"],
        "main_message": "Look closely and write down what you see.",
        "do_this": ["Look.", "Write it down.", *said],
        "not_known": ["Much is not known."],
        "talk": {
            "objectives": ["Look.", "Write."],
            "parts": [
                {"title": "Begin", "share": 1, "say": ["Welcome.", *said]},
                {"title": "End", "share": 1, "say": ["Thank you."]},
            ],
            "evaluation": ["Before and now: I look closely.", "I plan to write things down."],
        },
        "reviewed": "2026-11-25",
    }


def library(data: dict[str, Any], folder: Path) -> Any:
    """Write and load the library; it must hold."""
    loaded = load_library(write(data, folder))
    assert not loaded.problems, loaded.problems
    return loaded


def today(loaded: Any) -> Today:
    """The library as it is, for any place."""
    where = build.Folders(loaded.root)
    return Today(
        loaded,
        lambda known, year: build.place_profile(known, where, year),
        lambda profile: build.season_of(loaded, profile),
    )


def give_out(folder: Path) -> record.Records:
    """Make all papers of the small library, enter the videos and sheets, and return the records."""
    loaded = library(start(), folder)
    where = build.Folders(loaded.root)
    known = build.known_place(PLACE, folder, where)
    shelf = folder / "editions"
    (shelf / "outside").mkdir(parents=True)
    for topic in SHOWS:
        order = build.Order(topic, "test-moth", build.place_profile(known, where, 2027), 2027, DAY)
        ground = approve.ground_of(known, (PLACE, folder), None, "test-moth", 2027, DAY, "us")
        for kind in KINDS:
            made = build.compose(loaded, order, kind)
            edition = record.new_edition(made, ground, approve.subjects_of(loaded, made), record.Given(date=DAY))
            (shelf / f"{edition.id}.yml").write_bytes(record.written(edition))
    for name, (kind, facts) in ENTRIES.items():
        entry = {"title": f"The {name}", "kind": kind, "link": None, "date": DAY}
        path, written = new_entry(shelf, name, entry, facts, today(loaded))
        path.write_bytes(written)
    return record.read_all(shelf)


@cache
def tables() -> tuple[dict[str, set[str]], dict[str, set[str]]]:
    """Return which facts each paper and entry states, and which subjects it speaks of, by the test's own table."""
    facts = {f"{topic}/{kind}": set(shown) for topic, shown in SHOWS.items() for kind in KINDS}
    facts.update({name: {fact.partition("=")[0] for fact in stated} for name, (_, stated) in ENTRIES.items()})
    subjects = {name: {fact.partition(".")[0] for fact in shown} for name, shown in facts.items()}
    for topic in SHOWS:  # each plan is about the moth
        for kind in KINDS:
            subjects[f"{topic}/{kind}"].add("test-moth")
    return facts, subjects
