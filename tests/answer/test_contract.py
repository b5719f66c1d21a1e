"""The two forms of the answer command keep their contract: fields, order, refusals, nothing half-written."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from handouts import desk as desks
from handouts.errors import BadInput
from tests.answer.conftest import HERE, IOWA

FIELDS = ["id", "answered", "entry", "score", "answer", "parts", "facts", "cautions", "refer"]
PART_FIELDS = {"text", "answered", "entry", "answer"}


def write(path: Path, rows: list[Any]) -> Path:
    """Write rows as JSON lines; a text stays as it is."""
    lines = [row if isinstance(row, str) else json.dumps(row) for row in rows]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def read(path: Path) -> list[dict[str, Any]]:
    """Read JSON lines."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def test_one_question_gives_all_fields() -> None:
    """A single answer has every field of the contract with its type."""
    data = desks.answer_one("Why did my caterpillar stop eating?", None, HERE).to_json()
    assert list(data)[: len(FIELDS)] == FIELDS
    assert data["answered"] is True
    assert data["entry"] == "not-eating"
    assert 0 < data["score"] <= 1
    assert isinstance(data["answer"], str)
    assert all(isinstance(data[name], list) for name in ("parts", "facts", "cautions", "refer"))


def test_an_abstention_has_words_and_no_entry() -> None:
    """When there is no answer, `entry` is null, `answer` holds the abstention's words and `reason` says why."""
    data = desks.answer_one("How do I get rid of Japanese beetles?", None, HERE).to_json()
    assert data["answered"] is False
    assert data["entry"] is None
    assert data["answer"]
    assert data["reason"] == "other-field"


def test_standard_input_is_read_for_a_dash() -> None:
    """The question "-" is read from the stream as UTF-8."""
    stream = io.BytesIO("\ufeffWhy did my caterpillar stop eating?".encode())
    assert desks.answer_one("-", stream, HERE).entry == "not-eating"


def test_standard_input_over_a_megabyte_is_refused() -> None:
    """More than one megabyte on standard input is one clear refusal."""
    with pytest.raises(BadInput, match="too long"):
        desks.answer_one("-", io.BytesIO(b"a" * 1_000_001), HERE)


@pytest.mark.parametrize(
    "wrong",
    [{"length": "endless"}, {"day": "soon"}, {"place": "zone=99"}, {"place": "no-such-place"}],
)
def test_bad_circumstances_are_refused(wrong: dict[str, str]) -> None:
    """A length, day or place that cannot be read is a refusal, not an answer."""
    with pytest.raises(BadInput):
        desks.answer_one("How long do butterflies live?", None, HERE, **wrong)


def test_a_file_is_answered_line_by_line(tmp_path: Path) -> None:
    """Each line gets one line back, in order, with its own id; blank lines are passed over; counts add up."""
    source = write(
        tmp_path / "in.jsonl",
        [
            {"id": "a", "text": "When does a butterfly need to be fed sugar water?"},
            "",
            {"id": 7, "text": "What is the best compost recipe?"},
            {
                "id": None,
                "text": "Where should I keep chrysalides in winter?",
                "place": "zone=5b",
                "date": "2027-10-01",
            },
        ],
    )
    target = tmp_path / "out.jsonl"
    counts = desks.answer_file(source, target, HERE, place=IOWA, length="brief")
    rows = read(target)
    assert [row["id"] for row in rows] == ["a", 7, None]
    assert (counts.answered, counts.refused) == (2, 1)
    assert [row["place"] for row in rows] == [IOWA, IOWA, "zone=5b"]
    assert all(list(row)[: len(FIELDS)] == FIELDS for row in rows)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.jsonl", "out.jsonl"]


def test_the_same_file_gives_the_same_bytes(tmp_path: Path) -> None:
    """Two runs over one file write the same bytes."""
    source = write(tmp_path / "in.jsonl", [{"id": 1, "text": "Is rue safe to touch, and will parsley do instead?"}])
    outputs = []
    for name in ("one.jsonl", "two.jsonl"):
        desks.answer_file(source, tmp_path / name, HERE)
        outputs.append((tmp_path / name).read_bytes())
    assert outputs[0] == outputs[1]


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("{not json", "not JSON"),
        ("[" * 5000, "not JSON"),
        ("[1, 2]", "no JSON object"),
        ('{"id": 1}', "no text"),
        ('{"id": 1, "text": 5}', "no text"),
        ('{"text": "x"}', "no id"),
        ('{"id": {}, "text": "x"}', "no id"),
        ('{"id": 1, "text": "x", "place": 3}', "place must be a text"),
        ('{"id": 1, "text": "x", "place": "zone=99"}', "zone"),
        ('{"id": 1, "text": "x", "date": "soon"}', "no day"),
    ],
)
def test_a_broken_line_stops_the_run_and_leaves_nothing(tmp_path: Path, line: str, problem: str) -> None:
    """One broken line is one refusal that names file and line; no output and no rest of it stays behind."""
    source = write(tmp_path / "in.jsonl", [{"id": 0, "text": "How long do they live?"}, line])
    with pytest.raises(BadInput, match=problem) as caught:
        desks.answer_file(source, tmp_path / "out.jsonl", HERE)
    assert caught.value.file == source
    assert caught.value.line == 2
    assert [path.name for path in tmp_path.iterdir()] == ["in.jsonl"]


def test_an_old_output_stays_when_the_run_fails(tmp_path: Path) -> None:
    """A run that stops leaves the output of an earlier run as it was."""
    target = tmp_path / "out.jsonl"
    target.write_text("old\n")
    source = write(tmp_path / "in.jsonl", ["nonsense"])
    with pytest.raises(BadInput):
        desks.answer_file(source, target, HERE)
    assert target.read_text() == "old\n"


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    """A line that is not UTF-8 is refused with its number."""
    source = tmp_path / "in.jsonl"
    source.write_bytes(b'{"id": 1, "text": "caf\xe9"}\n')
    with pytest.raises(BadInput, match="UTF-8") as caught:
        desks.answer_file(source, tmp_path / "out.jsonl", HERE)
    assert caught.value.line == 1


def test_a_missing_file_and_a_folder_for_output_are_refused(tmp_path: Path) -> None:
    """A questions file that is not there, and an output path that is a folder, are refused."""
    with pytest.raises(BadInput, match="cannot be read"):
        desks.answer_file(tmp_path / "none.jsonl", tmp_path / "out.jsonl", HERE)
    source = write(tmp_path / "in.jsonl", [{"id": 1, "text": "x"}])
    with pytest.raises(BadInput, match="folder"):
        desks.answer_file(source, tmp_path, HERE)


def test_a_file_may_be_answered_into_itself(tmp_path: Path) -> None:
    """Source and target may be the same file: it is read to its end before it is replaced."""
    source = write(tmp_path / "both.jsonl", [{"id": 1, "text": "How long does an adult swallowtail live?"}])
    desks.answer_file(source, source, HERE)
    assert read(source)[0]["entry"] == "life-span"


def test_a_two_part_question_has_parts(desk: desks.Desk) -> None:
    """A text of two questions has a part for each, with the fields of the contract."""
    text = "Is there a way to tell if ours is a boy, and how long will he live after we let him go?"
    data = desk.reply(text, None, "standard", None).to_json()
    assert [part["entry"] for part in data["parts"]] == ["male-or-female", "life-span"]
    assert all(set(part) >= PART_FIELDS for part in data["parts"])
    assert data["answered"] is True
    assert data["parts"][0]["answer"] in data["answer"]


def test_a_single_question_has_no_parts(desk: desks.Desk) -> None:
    """One question, however long its story, has no parts."""
    text = (
        "My sister and I found a chrysalis on the garage wall last week. It was a lovely green. Today it turned so "
        "dark that we can nearly see through it. Is it about to open?"
    )
    reply = desk.reply(text, None, "standard", None)
    assert reply.entry == "chrysalis-dark-clear"
    assert reply.parts == ()
