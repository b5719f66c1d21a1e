"""The way between a figure and its source, both ways: look up, where used, what a finished file shows."""

import json
import shutil
from pathlib import Path

import pytest

from handouts import trace
from handouts.cli import main
from handouts.errors import BadContent, BadInput
from handouts.load import load_library

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def library():
    """The shipped content."""
    return load_library(ROOT / "content")


@pytest.fixture
def run(capsys, monkeypatch):
    """Run the command line in this process; return exit code, standard output, standard error."""

    def call(*words):
        monkeypatch.setattr("sys.argv", ["handouts", *map(str, words)])
        with pytest.raises(SystemExit) as stop:
            main()
        said = capsys.readouterr()
        return stop.value.code, said.out, said.err

    return call


def test_a_fact_is_told_with_basis_source_and_locator(library):
    """Each statement says how it is known; a published one names its source and the place in it."""
    (fact,) = trace.look_up("black-swallowtail.egg", library)
    first = fact["says"][0]
    assert first["shown"].replace("\u00a0", " ") == "4 to 9 days"
    assert (first["value"], first["unit"], first["basis"]) == (
        {"low": 4, "high": 9, "bound": "range"},
        "d",
        "published",
    )
    assert first["references"] == ["ncsu-ag295-parsleyworm#egg"]
    (source,) = first["sources"]
    assert "Parsleyworm" in source["citation"]
    assert source["locator"] == "life history paragraph"
    assert all(statement["why"] for statement in fact["says"][1:])
    file, _, line = fact["file"].rpartition(":")
    lines = Path(file).read_text(encoding="utf-8").splitlines()
    assert lines[int(line) - 1].strip().startswith("label: how long the egg")


def test_a_derived_fact_names_formula_and_parents(library):
    """What is worked out says how and from what."""
    (fact,) = trace.look_up("black-swallowtail.egg-to-adult", library)
    assert fact["says"][0]["detail"].startswith("sum of the stage times; from black-swallowtail.egg, ")


def test_a_proxy_names_the_relative_and_a_gap_where_it_was_looked_for(library):
    """Neither a stand-in nor a gap can be taken for the species' own value."""
    (fact,) = trace.look_up("black-swallowtail.males-first", library)
    assert fact["says"][0]["detail"] == "measured on: spicebush-swallowtail"
    (gap,) = trace.look_up("black-swallowtail.critical-day-length", library)
    assert gap["says"][0]["shown"] == "not known"
    assert gap["says"][0]["detail"].startswith("looked for in: ")
    assert gap["says"][0]["value"] is None


def test_a_subject_and_a_quantity_are_looked_up_whole(library):
    """A subject's id lists all its facts, a quantity's all its conditions, nothing at all the subjects."""
    assert len(trace.look_up("rue", library)) == len(library.subjects["rue"].facts)
    named = [fact["id"] for fact in trace.look_up("black-swallowtail.pupa", library)]
    assert named == ["black-swallowtail.pupa.firm", "black-swallowtail.pupa.summer", "black-swallowtail.pupa.hot-spell",
                     "black-swallowtail.pupa.winter"]  # fmt: skip
    assert {item["id"] for item in trace.look_up(None, library)} == set(library.subjects)


def test_an_unknown_name_is_refused_with_the_nearest(library):
    """A slip is answered with what was meant."""
    with pytest.raises(BadContent, match=r"black-swallowtail\.egg"):
        trace.look_up("black-swallowtail.eg", library)
    with pytest.raises(BadContent):
        trace.uses("no-such-thing", library)


def test_every_fact_can_be_told(library):
    """No fact of the content breaks the look-up, and every published statement has its citation and locator."""
    for name in library.facts:
        (fact,) = trace.look_up(name, library)
        for statement in fact["says"]:
            if statement["basis"] == "published":
                assert statement["sources"]
                assert all(source["citation"] and source["locator"] for source in statement["sources"])


def test_uses_finds_each_text_that_names_a_fact(library):
    """Every text whose braces hold the fact is listed once, derived facts too, and no other."""
    from handouts.compose.prose import NAME

    name = "black-swallowtail.pupa.summer"
    found = {item["id"] for item in trace.uses(name, library)}
    assert "fact/black-swallowtail.egg-to-adult" in found
    for kind, table in (("faq", library.entries), ("plan", library.plans)):
        for record in table.values():
            text = f"{record.model_dump_json()}{record.prose if kind == 'plan' else ''}"
            named = name in {item.partition("|")[0] for item in NAME.findall(text)}
            assert (f"{kind}/{record.id}" in found) == named, record.id


def test_uses_and_used_by_agree(demo_kit, library):
    """A fact that a finished file shows is used by the plan of that file, or by one of its answers or cautions."""
    texts = {"plan", "faq", "caution"}
    for item in trace.used_by(demo_kit / "overwintering-chrysalides-handout.html", library):
        fact = item["id"].partition("|")[0].partition("~")[0]
        owner = library.subjects.get(library.owner.get(fact, ""))
        if fact in library.facts and (owner is None or owner.kind != "contacts"):
            kinds = {use["id"].partition("/")[0] for use in trace.uses(fact, library)}
            named = kinds & texts or fact.startswith("winter-rules.")
            assert named, fact


def test_used_by_lists_what_each_file_shows(demo_kit, library):
    """HTML by its markup, other formats by the manifest beside them: the claims of kit.json and nothing else."""
    manifest = json.loads((demo_kit / "kit.json").read_text(encoding="utf-8"))
    for document in manifest["documents"]:
        listed = {claim["id"]: claim["shown"] for claim in document["claims"]}
        shown = {item["id"]: item["shown"] for item in trace.used_by(demo_kit / document["file"], library)}
        if document["format"] == "html":
            assert set(shown) <= set(listed), document["file"]
            assert all(" ".join(words.split()) == " ".join(listed[name].split()) for name, words in shown.items())
            assert shown
        else:
            assert shown == listed, document["file"]
    whole = trace.used_by(demo_kit / "kit.json", library)
    assert {item["id"] for item in whole} == {claim["id"] for item in manifest["documents"] for claim in item["claims"]}


def test_a_window_names_what_it_was_worked_out_from(demo_kit, library):
    """A season window of the kit leads on to the facts and place values behind it."""
    windows = [item for item in trace.used_by(demo_kit / "kit.json", library) if item["id"].startswith("season.")]
    assert windows
    assert all(item["parents"] for item in windows)
    assert any(parent in library.facts for item in windows for parent in item["parents"])


def test_a_file_without_a_manifest_is_refused(demo_kit, library, tmp_path):
    """A PDF alone tells nothing; a JSON file that is no manifest, and a missing file, are named."""
    pdf = next(demo_kit.glob("*.pdf"))
    shutil.copy(pdf, tmp_path / pdf.name)
    with pytest.raises(BadInput, match=r"kit\.json"):
        trace.used_by(tmp_path / pdf.name, library)
    (tmp_path / "kit.json").write_text("[1, 2]", encoding="utf-8")
    with pytest.raises(BadInput, match="no kit manifest"):
        trace.used_by(tmp_path / "kit.json", library)
    with pytest.raises(BadInput, match=r"missing\.txt"):
        trace.used_by(tmp_path / "missing.txt", library)


def test_the_command_line_tells_the_same(run, library, demo_kit):
    """`handouts facts` in its three forms prints what the functions return, in words and as JSON."""
    code, out, _ = run("facts", "black-swallowtail.egg", "--json")
    assert code == 0
    assert json.loads(out) == json.loads(json.dumps(trace.look_up("black-swallowtail.egg", library)))
    code, out, _ = run("facts", "black-swallowtail.egg")
    assert "4 to 9 days [published]" in out.replace("\u00a0", " ")
    assert "life history paragraph" in " ".join(out.split())
    code, out, _ = run("facts", "--uses", "black-swallowtail.pupa.summer", "--json")
    assert {item["id"] for item in json.loads(out)} == {
        item["id"] for item in trace.uses("black-swallowtail.pupa.summer", library)
    }
    code, out, _ = run("facts", "--used-by", demo_kit / "overwintering-chrysalides-handout.html")
    assert code == 0
    assert "winter-store.check-every" in out
    code, out, err = run("facts", "black-swalowtail.egg")
    assert (code, out) == (2, "")
    assert "black-swallowtail.egg" in err
