"""The comparison with published flights stands in the contributors' guide as it is computed, misses included."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.season import compare

GUIDE = (Path(__file__).parent.parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def made() -> list[compare.Row]:
    """The rows, worked out now from the small series."""
    return compare.rows(compare.library())[0]


def test_the_printed_table_is_the_computed_one(made: list[compare.Row]) -> None:
    """Every line of the table stands in DEVELOPERS.md; run `python -m tests.season.compare` when it changes."""
    missing = [line for line in compare.table(made) if line not in GUIDE]
    assert not missing, "\n".join(missing)


def test_misses_are_shown(made: list[compare.Row]) -> None:
    """At least six regions are compared, and the rows outside the published start are among them."""
    regions = {row.start.region for row in made}
    assert len(regions) >= 6
    assert any(not row.inside for row in made)
    assert sum("| no |" in line for line in GUIDE.splitlines()) >= sum(not row.inside for row in made)


def test_the_smooth_curve_gives_the_same_date_as_single_years(made: list[compare.Row]) -> None:
    """What the tool computes from a curve lies within four days of the middle of the real years."""
    for row in made:
        assert row.curve is not None
        assert abs((row.curve - row.heat[1]).days) <= 4, row.cells()
