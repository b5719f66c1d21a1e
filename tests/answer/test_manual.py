"""The field manual's tables about answers list exactly the fields that are read and printed."""

from __future__ import annotations

from pathlib import Path

import pytest

from handouts.answer.guard import GuardRecord
from handouts.answer.reply import Reply
from handouts.answer.shown import Shown
from handouts.answer.topics import TopicRecord
from handouts.desk import Desk
from handouts.model.located import Located
from handouts.routine.drafts import NAMES
from handouts.routine.log import Logged
from handouts.routine.report import Report, as_json
from tests.test_field_manual import ROOT, table_after


def fields(model: type[Located]) -> set[str]:
    """Return the fields that may be written in a file."""
    return set(model.model_fields) - set(Located.model_fields)


@pytest.mark.parametrize(
    ("heading", "names"),
    [
        ("`handouts answer --json`", set(Reply(False, None, 0.0, "x").to_json())),
        ("An entry of `topics.yml`", fields(TopicRecord)),
        ("A guard of `guards.yml`", fields(GuardRecord)),
        ("## Your own videos and sheets", fields(Shown)),
        ("The columns of the drafts", set(NAMES)),
        ("A row of the log", set(Logged("", "", False, ()).to_json())),
    ],
)
def test_tables_match_the_records(heading: str, names: set[str]) -> None:
    """Each table has a line for each field and no other."""
    assert table_after(heading) == names


def test_the_reports_table_matches(desk: Desk) -> None:
    """The table of the report lists what is printed."""
    assert table_after("`handouts answer --report --json`") == set(as_json(Report(), desk.base))


def test_every_words_file_of_answers_is_named() -> None:
    """The files that answers are found with are all in the table, and all are there."""
    named = table_after("## How an answer is found")
    assert {path.name for path in (ROOT / "content" / "words").glob("asked-*.yml")} <= named
    assert all(Path(ROOT / "content" / "words" / name).is_file() for name in named)
