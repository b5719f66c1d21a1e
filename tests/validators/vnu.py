"""Takes HTML files, gives the errors and warnings of the Nu HTML checker in each, its styles included."""

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

from tests.validators.packages import FOLDER, absent

NAME = "Nu checker"
SUFFIX = ".html"
JAR = FOLDER / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
WAIT = 300  # seconds for a whole batch; a file takes less than one
# What the checker calls wrong and we know to be right. It follows the browsers' CSS and does not know the modules for
# paper, which the PDF engine reads and a browser passes over.
KNOWN = {
    r"CSS: “string-set”: Property “string-set” doesn't exist\.": "CSS Generated Content for Paged Media: page heads",
    r"CSS: “bookmark-level”: Property “bookmark-level” doesn't exist\.": "CSS Generated Content 3: PDF bookmarks",
    r"CSS: “float”: “footnote” is not a “float” value\.": "CSS Generated Content for Paged Media: footnotes",
}


def missing() -> str | None:
    """Return what is not installed, or None when the checker can run."""
    return absent("vnu-jar") if shutil.which("java") else "no Java (apt: default-jre-headless)"


def check(paths: list[Path]) -> dict[Path, list[str]]:
    """Return the findings of each file: `error, line 12: message`; none where the file is clean."""
    if not paths:
        return {}
    names = {path.resolve().as_uri(): path for path in paths}
    command = ["java", "-Xss2m", "-XX:TieredStopAtLevel=1", "-jar", str(JAR)]
    command += ["--format", "json", "--stdout", "--exit-zero-always"]
    command += [str(path.resolve()) for path in paths]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=WAIT)
    if done.returncode:
        raise RuntimeError(f"the Nu checker did not run:\n{done.stdout}{done.stderr}")
    found: dict[Path, list[str]] = {path: [] for path in paths}
    for message in json.loads(done.stdout)["messages"]:
        line = _line(message)
        if line:
            found[_file(message, names)].append(line)
    return found


def _file(message: dict[str, Any], names: dict[str, Path]) -> Path:
    return names[re.sub("^file:/+", "file:///", message["url"])]  # it writes one slash, Python three


def _line(message: dict[str, Any]) -> str | None:
    """Return a message as a finding, or None for a remark and for what is known to be right."""
    text = " ".join(message["message"].split())
    kind = message.get("subType", "") if message["type"] == "info" else "error"
    if kind not in ("error", "warning") or any(re.fullmatch(known, text) for known in KNOWN):
        return None
    extract = " ".join(message.get("extract", "").split())
    return f"{kind}, line {message.get('lastLine', '?')}: {text} (at {extract[:100]})"
