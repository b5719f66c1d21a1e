"""What several tests share: the demo kit, made once."""

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
# no test leaves anything in the home of whoever runs it
os.environ["HANDOUTS_CACHE"] = "off"
# answers are tested as they are without the extra `semantic`, whether it is installed or not
os.environ["HANDOUTS_MEANING"] = "off"


@pytest.fixture(scope="session")
def demo_kit(tmp_path_factory):
    """The folder of the demo kit."""
    from handouts import build

    out = tmp_path_factory.mktemp("kit")
    event = ROOT / "demo" / "event.yml"
    build.kit(event, out, build.folders(None, None, event.parent))
    return out
