#!/usr/bin/env bash
# One command on a fresh Debian machine with Python 3.11: sets up and makes the demo kit in kit/.
set -euo pipefail
cd "$(dirname "$0")/.."
. demo/setup.sh
.venv/bin/handouts kit demo/event.yml --out kit
echo "The demo kit is in kit/. Open kit/overwintering-chrysalides-handout.pdf first." >&2
