"""A picture's name in, its drawing and the words that stand for it out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from handouts import paths
from handouts.errors import BadContent
from handouts.files import read_text
from handouts.yamltext import read_yaml

LIMIT = 200_000


@dataclass(frozen=True)
class Drawing:
    """A drawing of the templates: SVG text, title, alternative text, what it teaches, width at print size in mm."""

    id: str
    svg: str
    title: str
    alt: str
    teaches: str
    width_mm: float


@lru_cache(maxsize=32)
def load_picture(name: str) -> Drawing:
    """Return the drawing `name`. Raises BadContent when it is not listed or its file is missing."""
    folder = paths.templates_dir() / "pictures"
    listed = read_yaml(folder / "pictures.yml", what="list of pictures")
    words = listed.get(name)
    if not isinstance(words, dict):
        raise BadContent(f"there is no picture {name!r}", file=folder / "pictures.yml", expected=", ".join(listed))
    svg = read_text(folder / f"{name}.svg", LIMIT, "picture")
    return Drawing(name, svg, words["title"], words["alt"], words["teaches"], float(words["width_mm"]))
