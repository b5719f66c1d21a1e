#!/usr/bin/env bash
# One command on a fresh Debian machine with Python 3.11: sets up, then lint, types, tests, content, demo kit.
# Outside validators run where they are installed (`.ci/run` installs them); the last lines say what was skipped.
set -euo pipefail
cd "$(dirname "$0")/.."
. demo/setup.sh "[test]"
export PATH="$PWD/.venv/bin:$PATH"
ruff check .
ruff format --check .
mypy
python -m pytest -rs "$@"
