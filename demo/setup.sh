# Sets up .venv at the top of the repository; sourced by demo/run.sh and tests/run.sh. $1: the extras to install.
# What needs root is said aloud first, and is only asked for where something is missing.
case "$(uname -s)" in
  Linux) ;;
  Darwin) echo "On macOS: brew install python@3.11 pango, then: python3.11 -m pip install -e . && handouts kit demo/event.yml --out kit" >&2
          command -v python3 >/dev/null || exit 2 ;;
  *) echo "On Windows: install Python 3.11 and MSYS2, then in MSYS2: pacman -S mingw-w64-x86_64-pango; then in PowerShell: py -m pip install -e . ; handouts kit demo/event.yml --out kit" >&2
     exit 2 ;;
esac

root() {
  if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo >/dev/null; then sudo "$@"; else
    echo "This needs root once: $*" >&2; return 1; fi
}

packages() {
  echo "Installing with apt: $*" >&2
  command -v apt-get >/dev/null || { echo "No apt here. Install what these Debian packages hold: $*" >&2; return 1; }
  root apt-get update -q >/dev/null && root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q "$@" >/dev/null
}

python=""
for name in python3.11 python3 python3.12 python3.13 python3.14; do
  if command -v "$name" >/dev/null && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    python=$name; break
  fi
done
if [ -z "$python" ]; then
  packages python3 python3-venv || true
  python=python3
  "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed." >&2; exit 2; }
fi

if [ ! -x .venv/bin/python ] || ! .venv/bin/python -m pip --version >/dev/null 2>&1; then
  rm -rf .venv
  "$python" -m venv .venv >/dev/null 2>&1 || { rm -rf .venv; packages python3-venv && "$python" -m venv .venv; }
fi

if [ "$(uname -s)" = Linux ]; then
  missing=$(.venv/bin/python - <<'PY'
import ctypes
need = {
    "libpango-1.0-0": "libpango-1.0.so.0",
    "libpangoft2-1.0-0": "libpangoft2-1.0.so.0",
    "libharfbuzz-subset0": "libharfbuzz-subset.so.0",
}
for package, name in need.items():
    try:
        ctypes.CDLL(name)
    except OSError:
        print(package, end=" ")
PY
)
  # shellcheck disable=SC2086
  [ -z "$missing" ] || packages $missing
fi

echo "Installing the tool into .venv" >&2
.venv/bin/python -m pip install -q --disable-pip-version-check -e ".${1:-}"
