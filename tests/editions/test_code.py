"""The code that leads to the corrections page can be read from paper: its squares, its border, its size."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
import segno

from handouts.compose.corrections import LEAST_MODULE_MM, LEAST_SIDE_MM, QUIET, qr_svg
from handouts.errors import BadContent
from handouts.load.records import type_record
from handouts.model.records import Club
from handouts.yamltext import parse_yaml

LINKS = ("https://example.org/c", "https://millrace.example.org/fix", "https://example.org/" + "long-path/" * 16)


def drawn(svg):
    """The squares of a drawing as rows of dark and light, read from its path."""
    root = ElementTree.fromstring(svg)
    side = int(root.get("viewBox").split()[2])
    rows = [[0] * side for _ in range(side)]
    path = next(node for node in root if node.tag.endswith("path")).get("d")
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path):
        for at in range(int(run)):
            rows[int(y)][int(x) + at] = 1
    return rows


@pytest.mark.parametrize("link", LINKS)
def test_the_squares_are_those_of_the_code(link):
    """The path draws the code's squares and nothing else, with a border of four squares all around."""
    svg, _ = qr_svg(link)
    code = segno.make_qr(link, error="m", boost_error=False)
    border = [[int(square) for square in row] for row in code.matrix_iter(scale=1, border=QUIET)]
    assert drawn(svg) == border
    assert QUIET == 4


@pytest.mark.parametrize("link", LINKS)
def test_squares_and_side_are_large_enough(link):
    """A square is at least half a millimeter wide, the code without its border at least twenty."""
    svg, width = qr_svg(link)
    side = len(drawn(svg))
    module = width / side
    assert module >= LEAST_MODULE_MM - 0.001
    assert module * (side - 2 * QUIET) >= LEAST_SIDE_MM - 0.02
    assert (LEAST_MODULE_MM, LEAST_SIDE_MM) == (0.5, 20.0)


@pytest.mark.parametrize(
    "link", ["example.org/c", "ftp://example.org", "https://example", "https://a b.org/", "javascript:x"]
)
def test_a_link_that_is_no_web_address_is_refused_with_its_line(link):
    """club.yml names the line of a bad link."""
    with pytest.raises(BadContent) as refused:
        type_record(Club, parse_yaml(f'name: A club\ncorrections_link: "{link}"\n', "club.yml"), "club.yml")
    assert refused.value.line == 2
