"""Says where the npm packages of the validators lie and which are missing; package.json here has the versions."""

import json
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / ".ci-node"  # outside the packaged tree, ignored by git
WANTED = json.loads((Path(__file__).parent / "package.json").read_text(encoding="utf-8"))["dependencies"]


def absent(*names: str) -> str | None:
    """Return which npm packages are not installed in the version wanted, or None."""
    for name in names:
        path = FOLDER / "node_modules" / name / "package.json"
        found = json.loads(path.read_text(encoding="utf-8"))["version"] if path.is_file() else None
        if found != WANTED[name]:
            return f"no {name} {WANTED[name]} in {FOLDER.name} (npm; see .ci/run)"
    return None
