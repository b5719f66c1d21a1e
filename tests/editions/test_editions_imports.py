"""The room of editions stands behind compose and before build: it imports only rooms before it."""

from pathlib import Path

from tests.test_imports import BASE, imported

ROOM = Path(__file__).parent.parent.parent / "handouts" / "editions"
MAY = BASE | {"model", "load", "place", "season", "compose", "editions"}


def test_editions_import_only_rooms_before_them():
    """No arrow turns back: the command line hands profiles and seasons in."""
    files = list(ROOM.glob("*.py"))
    assert len(files) > 5
    for path in files:
        for other, name in imported(path):
            assert other in MAY, f"{path} imports {name}"
