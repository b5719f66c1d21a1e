"""Every page keeps the promises of the tool: figures traced, relatives named, cautions present, words plain."""

import json
import re
from datetime import date

import pytest

from handouts.compose.prose import NAME
from handouts.inspect import inspect_files
from handouts.inspect.forbidden import forbidden_in
from handouts.model.numerals import typed_figures
from handouts.reading import grade_of
from handouts.render import load_assets, render
from handouts.shelf import desk, register
from handouts.shelf import log as logs

from .conftest import NEAR_42, SERIES
from .test_shelf_summary import TEXT

SPECIES = "black-swallowtail"
OWN = ("out", "own", "log", "food", "stage", "species")


@pytest.fixture(scope="module")
def words(ground_at):
    """The shelf's words."""
    return ground_at(None).words


def texts(words):
    """Every sentence that reaches a reader, with its key."""
    for key, text in words.says.items():
        yield key, text
    for key, lines in words.lists.items():
        for text in lines:
            yield key, text
    for lean in words.leans:
        yield lean.fact, lean.says


def test_no_figure_is_typed_in_the_words(words):
    """No digit, and no number word before a unit, stands in a sentence or a label."""
    for key, text in (*texts(words), *words.labels.items(), *words.chances.items()):
        assert not list(typed_figures(text)), f"{key}: {text}"


def test_every_name_in_the_words_is_known(words, library):
    """A name in braces is a value of the page, a fact with a public basis, a window or a place value."""
    for key, text in texts(words):
        for name in NAME.findall(text):
            path = name.partition("|")[0]
            if path.split(".")[0] in OWN or path in ("place.last-freeze", "place.first-freeze"):
                continue
            if path.startswith("season."):
                assert path.removeprefix("season.") in library.all_words().windows, f"{key}: {name}"
                continue
            assert library.fact(path).preferred.basis.kind not in ("memory", "not-known"), f"{key}: {name}"


def test_sentences_are_short_and_plain(words):
    """No sentence has more than 25 words; together they read at grade 7 or below; nothing forbidden is claimed."""
    plain = [NAME.sub("some days", text) for _, text in texts(words)]
    for text in plain:
        for sentence in re.split(r"(?<=[.!?:])\s+", text):
            assert len(sentence.split()) <= 25, sentence
    assert grade_of(plain, []) <= 7.0
    for key, text in texts(words):
        assert not list(forbidden_in(NAME.sub("…", text))), f"{key}: {text}"


def test_no_name_opens_a_sentence(words):
    """A phrase starts small, so a word stands before it."""
    for key, text in texts(words):
        assert not re.search(r"(?:^|[.!?]\s+)\{", text), f"{key}: {text}"


def made_pages(ground_at, library):
    """Return pages of every sort, near 42° N and from a zone alone: name -> answer."""
    answers = {}
    for tag, place in (("place", f"{NEAR_42},name=Test Garden"), ("zone", "zone=6a"), ("none", None)):
        ground = ground_at(place)
        read = register.parse(TEXT + "\n15,monark,8/9/2026,,,,,", "register.csv", library)
        for day in (date(2026, 4, 10), date(2026, 6, 20), date(2026, 8, 15), date(2026, 9, 20)):
            answers[f"outlook-{tag}-{day}"] = desk.outlook_answer(ground, SPECIES, day, "garage", "us")
        for species in (
            "monarch",
            "spicebush-swallowtail",
            "anise-swallowtail",
            "zebra-swallowtail",
            "giant-swallowtail",
        ):
            answers[f"outlook-{tag}-{species}"] = desk.outlook_answer(
                ground, species, date(2026, 8, 20), "attic", "metric"
            )
        today = date(2026, 9, 10)
        answers[f"own-{tag}"] = desk.outlook_answer(ground, SPECIES, date(2026, 8, 20), "fridge", "us", today, read)
        answers[f"shelf-{tag}"] = desk.shelf_answer(ground, read, today, SPECIES, "us")
        answers[f"all-{tag}"] = desk.outlooks_answer(ground, read, SPECIES, "us")
        answers[f"food-{tag}"] = desk.food_answer(ground, 24, SPECIES, 2027, "us")
        answers[f"food-own-{tag}"] = desk.food_answer(ground, 7, SPECIES, 2027, "metric", ["fennel"], 3)
        answers[f"list-{tag}"] = desk.checklist_answer(ground, SPECIES, 2026, "us")
    for name, system in (("lincoln_2016_portal.csv", "us"), ("jfk_2013_hourly.csv.gz", "metric")):
        log = logs.read(SERIES / name)
        answers[f"store-{name[:3]}"] = desk.store_answer(ground_at(None), log, SPECIES, "garage", system)
    return answers


@pytest.fixture(scope="module")
def pages(ground_at, library):
    """All pages, made once."""
    return made_pages(ground_at, library)


def test_inspection_finds_nothing(pages, library, tmp_path):
    """Looked at as finished files, text and HTML, no page breaks a promise."""
    labels = library.all_words()
    assets = load_assets({name: (one["mark"], one["name"]) for name, one in labels.marks.items()}, labels.labels)
    listed = []
    for name, answer in pages.items():
        page = answer.paper or answer.page
        for suffix, document in ((".txt", answer.page), (".html", page)):
            (tmp_path / f"{name}{suffix}").write_bytes(render(document, suffix, assets).data)
            listed.append(
                {
                    "kind": document.kind,
                    "topic": document.topic,
                    "file": f"{name}{suffix}",
                    "format": suffix[1:],
                    "paper": document.paper,
                    "title": document.title,
                    "edition": document.edition,
                    "reading_grade": document.reading_grade,
                    "cautions": list(document.cautions),
                    "constants": list(document.constants),
                    "claims": desk.claims_json(document),
                }
            )
    (tmp_path / "kit.json").write_text(json.dumps({"event": {}, "documents": listed}, default=str))
    found = inspect_files(sorted(path for path in tmp_path.iterdir() if path.suffix != ".json"), library)
    assert not found, "\n".join(map(str, found[:10]))


def test_a_page_prints_as_pdf(pages, library):
    """The store's page with its drawing becomes a PDF."""
    labels = library.all_words()
    assets = load_assets({name: (one["mark"], one["name"]) for name, one in labels.marks.items()}, labels.labels)
    answer = pages["store-lin"]
    assert render(answer.paper, ".pdf", assets).data.startswith(b"%PDF")


def test_pages_read_at_grade_seven_or_below(pages):
    """Each page's running prose reads at grade 7 or below."""
    for name, answer in pages.items():
        assert answer.page.reading_grade is None or answer.page.reading_grade <= 7.0, name


def test_every_page_carries_its_cautions(pages):
    """Pest strips are named wherever chrysalides are kept, residue wherever plants feed caterpillars."""
    for name, answer in pages.items():
        wanted = "pesticide-residue" if name.startswith("food") else "strips-and-foggers"
        assert wanted in answer.page.cautions, name
        assert answer.data["cautions"] == list(answer.page.cautions)


def test_every_winter_page_says_what_nobody_knows(pages):
    """No page claims more than is known."""
    for name, answer in pages.items():
        if "monarch" not in name:
            slots = [block.name for block in answer.page.blocks if hasattr(block, "name")]
            assert "not-known" in slots, name


def test_the_same_input_gives_the_same_page(ground_at, library, pages):
    """Made again, every page is equal, and so is its edition."""
    again = made_pages(ground_at, library)
    assert {name: answer.page.edition for name, answer in again.items()} == {
        name: answer.page.edition for name, answer in pages.items()
    }


def test_no_page_shows_a_value_from_memory(pages, library):
    """No claim of any page rests on memory."""
    for name, answer in pages.items():
        for claim in answer.page.claims:
            assert claim.basis != "memory", name
            for parent in claim.parents:
                fact = library.facts.get(parent)
                assert fact is None or fact.preferred.basis.kind != "memory", f"{name}: {parent}"
