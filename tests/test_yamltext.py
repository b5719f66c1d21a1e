"""YAML as text: nothing is guessed, nothing is expanded, every refusal names its line."""

import pytest

from handouts.errors import BadInput
from handouts.yamltext import line_of, parse_yaml


def test_scalars_stay_text():
    """ZIP codes, clock times, NO and dates are not turned into numbers, booleans or dates."""
    data = parse_yaml("zip: 02134\nstart: 18:30\nanswer: NO\nday: 2027-04-10\nempty:\nquoted: ''\n", "x.yml")
    assert data == {
        "zip": "02134", "start": "18:30", "answer": "NO", "day": "2027-04-10", "empty": None, "quoted": "",
    }  # fmt: skip


def test_lines_are_remembered():
    """The line of a nested value is found again."""
    data = parse_yaml("a:\n  b:\n    - c: 1\n    - c: 2\n", "x.yml")
    assert line_of(data, ("a", "b", 1, "c")) == 4


BAD = {
    "duplicate key": ("a: 1\nb: 2\na: 3\n", 3, "twice"),
    "alias": ("a: &x [1]\nb: *x\n", 1, "anchors"),
    "tag": ("a: !!python/object:os.system x\n", 1, "tags"),
    "second document": ("a: 1\n---\nb: 2\n", 2, "second"),
    "no mapping": ("- a\n- b\n", 1, "mapping"),
    "broken": ("a: [1, 2\nb: 3\n", None, "does not parse"),
    "deep": ("a: " + "[" * 40 + "]" * 40 + "\n", 1, "deeply"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_not_plain_text_yaml_is_refused_with_its_line(name):
    """One clear refusal with file and line."""
    text, line, words = BAD[name]
    with pytest.raises(BadInput, match=words) as caught:
        parse_yaml(text, "x.yml")
    assert caught.value.file == "x.yml"
    assert line is None or caught.value.line == line


def test_an_alias_bomb_is_refused_at_once():
    """Nine levels of nine aliases would be 387 million items; the first anchor is refused."""
    bomb = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(f"b{i}: &b{i} [*a,*a]\n" for i in range(9))
    with pytest.raises(BadInput, match="anchors"):
        parse_yaml(bomb, "bomb.yml")
