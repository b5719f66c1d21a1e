"""Every rule finds what breaks it, and only that."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handouts.inspect import RULES, inspect_files
from tests.inspect import sheets
from tests.inspect.cases import CASES, DATES, PAGE, PRINTED, TEXT, WORDS, Case


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.rule}-{'bad' if case.bad else 'good'}")
def test_a_rule_finds_what_breaks_it_and_lets_the_rest_pass(case: Case, tmp_path: Path) -> None:
    """A file that breaks a rule has a finding of that rule, one that keeps it has none."""
    found = sheets.inspected(tmp_path, case.name, case.content, case.manifest, case.rule)
    assert bool(found) is case.bad, [str(finding) for finding in found]


def test_every_rule_has_a_file_that_breaks_it_and_one_that_keeps_it() -> None:
    """No rule of the table is without its two tests, and each says in a sentence what it promises."""
    names = [rule.name for rule in RULES]
    assert len(set(names)) == len(names)
    for rule in RULES:
        assert {case.bad for case in CASES if case.rule == rule.name} == {True, False}, rule.name
        assert rule.says.endswith("."), rule.name
    assert {case.rule for case in CASES} == set(names)


@pytest.mark.parametrize(
    ("name", "data", "kind"),
    [(PAGE, sheets.html, "handout"), (WORDS, lambda: TEXT, "handout"), (PRINTED, sheets.pdf, "handout"),
     (DATES, sheets.ics, "calendar")],
)  # fmt: skip
def test_a_file_that_keeps_every_promise_has_no_findings(name, data, kind, tmp_path):
    """The sample handout passes all rules together, in each format."""
    assert sheets.inspected(tmp_path, name, data(), sheets.kit(name, kind)) == []


def test_findings_carry_the_fields_of_the_contract(tmp_path):
    """A finding names level, rule, file, line, key, what was expected and found, and the remedy."""
    page = sheets.html("\n<p>Wait 9 days.</p>")
    line = page.partition("Wait 9")[0].count("\n") + 1
    (finding,) = sheets.inspected(tmp_path, PAGE, page, rule="figure-markup")
    told = finding.to_json()
    assert list(told) == ["level", "rule", "file", "line", "key", "expected", "found", "remedy"]
    assert (told["level"], told["file"], told["key"], told["line"]) == ("error", str(tmp_path / PAGE), "9", line)


def test_errors_come_before_warnings(tmp_path):
    """Of one file the errors are listed first."""
    page = sheets.html("<p>Wait 9 days.</p>" + f"<p>{'A word. ' * 9}</p>", lang="")
    levels = [finding.level for finding in sheets.inspected(tmp_path, PAGE, page)]
    assert "warning" in levels
    assert levels == sorted(levels)


def test_the_manifest_is_read_beside_the_file_or_handed_in(tmp_path):
    """A manifest given as a path or as parsed JSON is used for a file that has none beside it."""
    (tmp_path / WORDS).write_text(TEXT, encoding="utf-8")
    other = tmp_path / "elsewhere.json"
    other.write_text(json.dumps(sheets.kit(WORDS)), encoding="utf-8")
    rules = {finding.rule for finding in inspect_files([tmp_path / WORDS], sheets.library())}
    assert "figure-traced" in rules
    for manifest in (other, sheets.kit(WORDS)):
        assert inspect_files([tmp_path / WORDS], sheets.library(), manifest) == []


def test_a_folder_stands_for_the_files_of_its_kit(tmp_path):
    """The folder of a kit and its manifest both mean every file the manifest lists."""
    sheets.inspected(tmp_path, PAGE, sheets.html("<p>9</p>"), sheets.kit(PAGE))
    for path in (tmp_path, tmp_path / "kit.json"):
        assert [finding.rule for finding in inspect_files([path], sheets.library())] == ["figure-markup"]


def test_the_title_of_a_pdf_is_held_against_the_page_beside_it(tmp_path):
    """A PDF whose HTML beside it has another title is found."""
    (tmp_path / PAGE).write_text(sheets.html(head="<title>Another</title>"), encoding="utf-8")
    assert sheets.inspected(tmp_path, PRINTED, sheets.pdf(), rule="pdf-title")
    (tmp_path / PAGE).write_text(sheets.html(), encoding="utf-8")
    assert not sheets.inspected(tmp_path, PRINTED, sheets.pdf(), rule="pdf-title")


def test_a_table_over_two_pages_has_its_headers(tmp_path):
    """A table that runs over a page keeps its header cells for the rule."""
    rows = '<tr><th scope="row">a</th><td>b</td></tr>' * 60
    page = sheets.html(f"<div><table><caption>T</caption>{rows}</table></div>")
    assert not sheets.inspected(tmp_path, PRINTED, sheets.pdf(page), rule="pdf-tables")
