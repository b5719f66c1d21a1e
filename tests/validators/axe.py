"""Takes HTML files, gives what a reader in a browser would meet: axe-core's rules, reflow at 320 px, no outside files.

The page is shown by Chromium; `axe.mjs` beside this file does the looking.
"""

import json
import shutil
import subprocess
from pathlib import Path

from tests.validators.packages import FOLDER, absent

NAME = "axe-core"
SUFFIX = ".html"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
WAIT = 600  # seconds for a whole batch; a file takes about two


def missing() -> str | None:
    """Return what is not installed, or None when the checker can run."""
    if not shutil.which("node"):
        return "no Node.js (apt: nodejs npm)"
    return absent("axe-core", "puppeteer-core") if browser() else "no Chromium (apt: chromium)"


def browser() -> str | None:
    """Return the browser to show pages with, or None."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def check(paths: list[Path]) -> dict[Path, list[str]]:
    """Return the findings of each file, one line a rule; none where the file is clean."""
    if not paths:
        return {}
    script = Path(__file__).with_name("axe.mjs")
    command = ["node", str(script), str(FOLDER), str(browser()), *(str(path.resolve()) for path in paths)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=WAIT)
    if done.returncode:
        raise RuntimeError(f"axe-core did not run:\n{done.stdout}{done.stderr}")
    found = json.loads(done.stdout.splitlines()[-1])
    return {path: found[str(path.resolve())] for path in paths}
