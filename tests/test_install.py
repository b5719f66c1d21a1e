"""The wheel carries content, templates and the demo; installed elsewhere it makes the kit."""

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A folder with a wheel and an sdist built from this tree."""
    out = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return out


def test_wheel_and_sdist_carry_the_data(built):
    """Content, templates and demo are in the wheel under the package, and in the sdist at its top."""
    (wheel,) = built.glob("*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    for part in ("content/species/black-swallowtail.yml", "templates/layout/base.html", "demo/event.yml",
                 "templates/fonts/AtkinsonHyperlegible-Regular.ttf"):  # fmt: skip
        assert f"handouts/_data/{part}" in names
    (sdist,) = built.glob("*.tar.gz")
    with tarfile.open(sdist) as packed:
        inside = packed.getnames()
    for part in ("content/species/monarch.yml", "templates/layout/base.html", "demo/event.yml", "tests/run.sh"):
        assert any(name.endswith(f"/{part}") for name in inside), part


def test_the_installed_wheel_makes_the_kit(built, tmp_path):
    """Installed into an empty folder and run from another one, the wheel makes the demo kit."""
    (wheel,) = built.glob("*.whl")
    target = tmp_path / "site"
    pip = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-index", "--target", str(target), str(wheel)]
    subprocess.run(pip, check=True, capture_output=True)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    environment = {**os.environ, "PYTHONPATH": str(target), "PYTHONSAFEPATH": "1"}
    code = "import handouts, handouts.paths as p; print(handouts.__file__); print(p.content_dir())"
    where = [sys.executable, "-c", code]
    said = subprocess.run(where, cwd=elsewhere, env=environment, check=True, capture_output=True, text=True).stdout
    assert all(line.startswith(str(target)) for line in said.splitlines()), said
    event = target / "handouts" / "_data" / "demo" / "event.yml"
    command = [sys.executable, "-m", "handouts", "kit", str(event), "--out", str(elsewhere / "kit")]
    done = subprocess.run(command, cwd=elsewhere, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert (elsewhere / "kit" / "kit.json").is_file()
