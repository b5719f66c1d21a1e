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
# all cores; the tests of one file stay together, since they share what is slow to make
python -m pytest -rs -n auto --dist loadfile "$@"
