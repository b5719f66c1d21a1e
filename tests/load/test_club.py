"""A club's folder laid over the shipped content: what it may add and replace, and whose files findings name."""

from datetime import date
from pathlib import Path

import pytest

from handouts import build
from handouts.check import check_all
from handouts.errors import BadContent
from handouts.load import load_library

ROOT = Path(__file__).parents[2]
CONTENT = ROOT / "content"
TODAY = date(2026, 11, 28)
CLUB = "name: The Lantern Lane Garden Club\nkind: club\n"
LOVAGE = """names:
  common: garden lovage
  scientific: Levisticum officinale
carries: []
reviewed: 2026-11-25
facts:
  spacing:
    label: how far apart to set the plants
    says:
      - span: {low: 18, high: 24, unit: "[in_i]"}
        basis: {kind: published, rests_on: [lovage-page#spacing]}
  sprouting:
    label: how long seed took to come up in our trays
    says:
      - span: {low: 10, high: 14, unit: d}
        basis: {kind: own-observation, n: 12, period: spring, place: our windowsills}
"""
LOVAGE_PAGE = """record: {type: webpage, title: A page on lovage, publisher: An office, URL: "https://extension.example.edu/lovage"}
read: excerpt
evidence: extension
seen: 2026-11-25
values:
  spacing: {of: garden-lovage.spacing, low: 18, high: 24, unit: "[in_i]", locator: second paragraph}
"""
PARSLEY = """replaces: true
reason: We grow another kind and sow it by our own dates.
names:
  common: parsley
carries: []
reviewed: 2026-11-25
facts:
  sow-indoors:
    label: when we sow parsley indoors
    says:
      - time: {from: 10 wk before last freeze, to: 8 wk before last freeze}
        basis: {kind: common-practice}
"""
SPRAY = "names: {common: our spray}\ncarries: []\nreviewed: 2026-11-25\n"
FOREVER = LOVAGE.replace("sprouting", "emergence").replace("high: 14", "high: 1400")
WEEKS = LOVAGE.replace("sprouting", "egg").replace("high: 14, unit: d", "high: 14, unit: wk")
RUE = """replaces: true
reason: Ours has never burned anybody.
names:
  common: rue
carries: []
reviewed: 2026-11-25
facts: {}
"""


@pytest.fixture
def club(tmp_path):
    """Write a club's folder from paths and texts; return its path."""

    def write(files):
        folder = tmp_path / "club"
        for name, text in {"club.yml": CLUB, **files}.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return folder

    return write


@pytest.fixture(scope="module")
def shipped():
    """What is found in the shipped content alone."""
    return {told(item) for item in check_all(load_library(CONTENT), TODAY)}


def told(finding):
    """A finding without its level and line."""
    return finding.rule, str(finding.file), finding.key, finding.found


def new(folder, shipped):
    """What is found only since the club's folder is there."""
    return [item for item in check_all(load_library(CONTENT, folder), TODAY) if told(item) not in shipped]


def problem(folder):
    """The only file of the club that does not fit."""
    found = load_library(CONTENT, folder).problems
    assert len(found) == 1, found
    return found[0]


def test_new_ids_are_added(club, shipped):
    """A plant with its source and its own counts is added without a finding, and its facts are known."""
    folder = club({"plants/garden-lovage.yml": LOVAGE, "references/lovage-page.yml": LOVAGE_PAGE})
    library = load_library(CONTENT, folder)
    assert "garden-lovage.spacing" in library.facts
    assert not library.problems
    assert [item for item in new(folder, shipped) if item.rule != "unused-fact"] == []


def test_an_id_that_exists_needs_to_say_that_it_replaces(club):
    """The same id without `replaces` is refused, in the club's file, and the shipped entry stays."""
    folder = club({"plants/parsley.yml": PARSLEY.replace("replaces: true\n", "")})
    found = problem(folder)
    assert "exists already" in found.problem
    assert str(found.file) == str(folder / "plants/parsley.yml")
    assert "parsley.emergence.at-50f" in load_library(CONTENT, folder).facts


def test_a_replacement_needs_its_reason(club):
    """`replaces: true` alone is not enough."""
    folder = club(
        {"plants/parsley.yml": PARSLEY.replace("reason: We grow another kind and sow it by our own dates.\n", "")}
    )
    assert "needs its `reason`" in problem(folder).problem


def test_nothing_can_be_replaced_that_is_not_there(club):
    """A replacement of an unknown id is a slip."""
    folder = club({"plants/parsly.yml": PARSLEY})
    assert "no subject 'parsly' to replace" in problem(folder).problem


def test_a_replacement_replaces_the_whole_entry(club, shipped):
    """The old facts are gone, the reason is a warning, and texts that miss a fact name the club's file."""
    folder = club({"plants/parsley.yml": PARSLEY})
    library = load_library(CONTENT, folder)
    assert [name for name in library.facts if name.startswith("parsley.")] == ["parsley.sow-indoors"]
    assert library.replaced == {"parsley": "We grow another kind and sow it by our own dates."}
    found = new(folder, shipped)
    assert {"replaced-entry", "unknown-name"} <= {item.rule for item in found}
    errors = [item for item in found if item.level == "error"]
    assert errors
    assert all(str(item.file).endswith("club/plants/parsley.yml") for item in errors), "\n".join(map(str, errors))


def test_a_replaced_entry_stands_on_the_claims_sheet(club):
    """The sheet that the reviewer signs names the entry and the reason."""
    keep = (CONTENT / "plants" / "dill.yml").read_text(encoding="utf-8")
    folder = club({"plants/dill.yml": f"replaces: true\nreason: Our own sowing notes.\n{keep}"})
    out = folder.parent / "claims.html"
    place = "lat=41.9,lon=-88.0,last-freeze=05-06,first-freeze=10-12"
    build.make("claims", "overwintering-chrysalides", place, out, build.Folders(CONTENT, folder))
    text = out.read_text(encoding="utf-8")
    assert "dill: Our own sowing notes." in text
    plain = folder.parent / "plain.html"
    build.make("claims", "overwintering-chrysalides", place, plain, build.Folders(CONTENT))
    assert "Our own sowing notes." not in plain.read_text(encoding="utf-8")


def test_a_replacement_may_not_drop_a_hazard_class(club, shipped):
    """Rue without its classes is refused, and the shipped rue with its classes stays."""
    folder = club({"plants/rue.yml": RUE})
    found = problem(folder)
    assert "may not drop a hazard class" in found.problem
    assert "phototoxic-sap" in found.found
    assert load_library(CONTENT, folder).subjects["rue"].carries == ["phototoxic-sap", "poison-plant"]
    assert {item.rule for item in new(folder, shipped)} == {"shape"}


def test_a_replaced_answer_may_not_drop_a_caution(club):
    """An answer of the club's own under a shipped id keeps the cautions that the shipped one lists."""
    text = (CONTENT / "faq" / "child-ate-plant.yml").read_text(encoding="utf-8")
    text = text.replace("cautions: [poison-plant]", "cautions: []")
    folder = club({"faq/child-ate-plant.yml": f"replaces: true\nreason: Shorter.\n{text}"})
    assert "may not drop a hazard class" in problem(folder).problem


def test_cautions_are_only_added(club, shipped):
    """A caution of a shipped class is refused; one of a new class, with its carrier, is taken."""
    shipped_text = (CONTENT / "cautions" / "bleach.yml").read_text(encoding="utf-8")
    assert "cautions can only be added" in problem(club({"cautions/bleach.yml": shipped_text})).problem
    (club({}) / "cautions" / "bleach.yml").unlink()
    folder = club(
        {
            "cautions/wet-steps.yml": "name: wet steps\nshort: The steps at our shed are slippery. Hold the rail.\n"
            "full: The steps down to our shed are slippery after rain. Hold the rail and send no child alone.\n"
            "turn_to: [extension-office]\ncarried_by: [our-shed]\nreviewed: 2026-11-25\n",
            "terms/our-shed.yml": "names: {common: the club shed}\ncarries: [wet-steps]\nreviewed: 2026-11-25\n",
        }
    )
    assert not load_library(CONTENT, folder).problems
    assert new(folder, shipped) == []


def test_references_are_only_added(club):
    """A source under a shipped id is refused, whatever it says."""
    text = (CONTENT / "references" / "ksu-parsleyworm.yml").read_text(encoding="utf-8")
    folder = club({"references/ksu-parsleyworm.yml": text.replace("low: 3", "low: 1")})
    assert "references can only be added" in problem(folder).problem
    assert load_library(CONTENT, folder).references["ksu-parsleyworm#larva"].low == 3


def test_a_source_that_contradicts_names_the_clubs_file(club, shipped):
    """A club's reference against a shipped fact is found in the club's reference, not in the shipped fact."""
    page = LOVAGE_PAGE.replace(
        'of: garden-lovage.spacing, low: 18, high: 24, unit: "[in_i]"', "of: monarch.egg, low: 10, high: 14, unit: d"
    )
    found = new(club({"references/egg-page.yml": page}), shipped)
    assert "contradiction-unsaid" in {item.rule for item in found}
    assert all(str(item.file).endswith("club/references/egg-page.yml") for item in found)


@pytest.mark.parametrize(
    ("name", "text", "rule"),
    [
        ("plants/garden-lovage.yml", LOVAGE, "dangling-reference"),
        ("plants/garden-lovage.yml", LOVAGE.replace("unit: d}", "unit: days}"), "shape"),
        ("plants/garden-lovage.yml", LOVAGE.replace("carries: []", "carries: [bad-smell]"), "class-without-caution"),
        ("plants/garden-lovage.yml", LOVAGE.replace("how far apart", "how far (18 in) apart"), "typed-figure"),
        ("plants/garden-lovage.yml", LOVAGE.replace("garden lovage", "parsley"), "shared-name"),
        ("plants/garden-lovage.yml", FOREVER, "out-of-bounds"),
        ("substances/our-spray.yml", SPRAY, "carrier-without-class"),
        ("species/garden-lovage.yml", WEEKS, "out-of-bounds"),
        ("plant/garden-lovage.yml", LOVAGE, "shape"),
        ("plans/our-plan.md", "Some prose.\n", "shape"),
    ],
)  # fmt: skip
def test_what_a_club_gets_wrong_is_found_in_its_own_files(name, text, rule, club, shipped):
    """Each slip of a club is found by the rule for it, and every error names a file of the club."""
    found = new(club({name: text}), shipped)
    assert rule in {item.rule for item in found}, "\n".join(map(str, found))
    assert all("/club/" in str(item.file) for item in found if item.level == "error"), "\n".join(map(str, found))


def test_two_records_with_one_id_are_a_problem(tmp_path):
    """One id in two folders of the content is refused, since one of the two would be lost unseen."""
    for folder in ("plants", "species"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "twin.yml").write_text("names: {common: twin}\nreviewed: 2026-11-25\n", encoding="utf-8")
    found = load_library(tmp_path).problems
    assert [type(item) for item in found] == [BadContent]
    assert "stands twice" in found[0].problem


def test_the_shipped_content_alone_has_no_finding_of_a_club(shipped):
    """Without a club nothing speaks of one: no own records, no replacements."""
    assert not {"own-observation", "replaced-entry"} & {rule for rule, *_ in shipped}
