"""One YAML file in, one typed record out, every misfit with its line."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from handouts.errors import BadContent
from handouts.yamltext import TextMap, line_of, read_yaml

R = TypeVar("R", bound=BaseModel)


def read_record(model: type[R], path: Path, what: str) -> R:
    """Read `path` as a `model`. Raises BadInput or BadContent with file and line of the first misfit."""
    return type_record(model, read_yaml(path, what=what), path)


def type_record(model: type[R], data: TextMap, path: Path) -> R:
    """Type a mapping already read. Raises BadContent with file and line of the first misfit."""
    try:
        return model.model_validate(data, context={"file": path})
    except ValidationError as error:
        raise _translate(error.errors(include_url=False), data, path, model) from None


def _translate(errors: list[ErrorDetails], data: TextMap, path: Path, model: type[BaseModel]) -> BadContent:
    first = min(errors, key=lambda item: line_of(data, item["loc"]) or 0)
    where = tuple(step for step in first["loc"] if step not in ("function-wrap",))
    line = line_of(data, where)
    key = ".".join(str(step) for step in where)
    kind, found = first["type"], first.get("input")
    more = f" ({len(errors) - 1} more in this file)" if len(errors) > 1 else ""
    if kind == "extra_forbidden":
        name = str(where[-1])
        near = difflib.get_close_matches(name, sorted(_field_names(model)), n=1, cutoff=0.6)
        remedy = f"Did you mean {near[0]!r}?" if near else "See the field manual, content/README.md."
        return BadContent(f"the key {name!r} is not known here{more}", file=path, line=line, remedy=remedy)
    if kind == "missing":
        return BadContent(
            f"the key {where[-1]!s} is missing{more}", file=path, line=line, expected=key, remedy="Add it."
        )
    message = str(first["msg"]).removeprefix("Value error, ")
    shown = found if isinstance(found, str) else None
    return BadContent(f"{key}: {message}{more}", file=path, line=line, found=shown)


def _field_names(model: type[BaseModel]) -> set[str]:
    names: set[str] = set()
    seen: set[type[BaseModel]] = set()
    todo: list[Any] = [model]
    while todo:
        kind = todo.pop()
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            if kind in seen:
                continue
            seen.add(kind)
            for name, info in kind.model_fields.items():
                names.add(info.alias or name)
                todo.append(info.annotation)
        else:
            todo.extend(getattr(kind, "__args__", ()))
    return names
