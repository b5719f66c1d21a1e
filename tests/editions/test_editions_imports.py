"""The room of editions stands behind compose and before build: it imports only rooms before it."""

import ast
from pathlib import Path

from tests.test_imports import BASE

ROOM = Path(__file__).parent.parent.parent / "handouts" / "editions"
MAY = BASE | {"model", "load", "place", "season", "compose", "editions"}


def test_editions_import_only_rooms_before_them():
    """No arrow turns back: the command line hands profiles and seasons in."""
    files = list(ROOM.glob("*.py"))
    assert len(files) > 5
    for path in files:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [item.name for item in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                parts = name.split(".")
                if parts[0] == "handouts" and len(parts) > 1:
                    assert parts[1] in MAY, f"{path} imports {name}"
