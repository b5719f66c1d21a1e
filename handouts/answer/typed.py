"""A mapping of a words file in, its typed record out; the first misfit is named with file and line."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from handouts.errors import BadContent
from handouts.yamltext import TextMap, line_of

R = TypeVar("R", bound=BaseModel)


def typed(model: type[R], data: TextMap, path: Path) -> R:
    """Type a mapping already read. Raises BadContent."""
    try:
        return model.model_validate(data, context={"file": path})
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = tuple(step for step in first["loc"] if step != "function-wrap")
        key = ".".join(str(step) for step in where)
        raise BadContent(f"{key}: {first['msg']}", file=path, line=line_of(data, where)) from None


def mapping(data: Any, path: Path, line: int | None, what: str) -> TextMap:
    """Return `data` when it is a mapping. Raises BadContent."""
    if not isinstance(data, TextMap):
        raise BadContent(f"{what} must be a mapping", file=path, line=line)
    return data
