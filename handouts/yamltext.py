"""A YAML file in, nested text out: no implicit types, no aliases, no tags, no duplicate keys, every line remembered."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from handouts.errors import BadInput
from handouts.files import TEXT_LIMIT, decode, read_bytes

DEPTH_LIMIT = 24
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class TextMap(dict[str, Any]):
    """A mapping that remembers its own line and the line of each key."""

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: dict[str, int] = {}


class TextList(list[Any]):
    """A sequence that remembers its own line and the line of each item."""

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: list[int] = []


def read_yaml(path: Path, limit: int = TEXT_LIMIT, what: str = "file") -> TextMap:
    """Return the mapping at the top of the YAML file `path`; every scalar is text, an empty one None.

    Raises BadInput with file and line for anything that is not plain YAML text.
    """
    return parse_yaml(decode(read_bytes(path, limit, what), path, what), path)


def parse_yaml(text: str, path: Path | str) -> TextMap:
    """Like `read_yaml` for text already in hand; `path` is only named in errors."""
    try:
        top = _build(text, path)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise BadInput(
            "the YAML does not parse",
            file=path,
            line=mark.line + 1 if mark else None,
            found=error.problem or str(error.context),
            remedy="Check the indent, quotes and colons near this line.",
        ) from None
    except yaml.YAMLError as error:
        raise BadInput("the YAML does not parse", file=path, found=str(error)) from None
    if not isinstance(top, TextMap):
        raise BadInput("the file must be a mapping of keys to values", file=path, line=1, expected="key: value")
    return top


def _build(text: str, path: Path | str) -> Any:
    stack: list[TextMap | TextList] = []
    keys: list[str | None] = []
    top: Any = None
    documents = 0

    def place(value: Any, line: int) -> None:
        nonlocal top
        if not stack:
            top = value
            return
        holder = stack[-1]
        if isinstance(holder, TextList):
            holder.append(value)
            holder.lines.append(line)
            return
        key = keys[-1]
        if key is None:
            if not isinstance(value, str):
                raise BadInput("a key must be plain text", file=path, line=line)
            if value in holder:
                raise BadInput(
                    f"the key {value!r} stands twice",
                    file=path,
                    line=line,
                    found=f"first on line {holder.lines[value]}",
                    remedy="Keep one of them.",
                )
            keys[-1] = value
            holder.lines[value] = line
        else:
            holder[key] = value
            keys[-1] = None

    scalar = yaml.ScalarEvent
    for event in yaml.parse(text, Loader=_Loader):
        line = event.start_mark.line + 1 if event.start_mark else 1
        # four of five events are scalars
        if isinstance(event, scalar) and event.anchor is None:
            if event.tag is not None:
                raise BadInput("tags are not used here", file=path, line=line, found=event.tag)
            value = event.value
            place(None if value == "" and event.style in (None, "") and not _is_key(stack, keys) else value, line)
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                raise BadInput("the file holds a second YAML document", file=path, line=line, expected="one")
        elif isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None) is not None:
            raise BadInput("anchors and aliases are not used here", file=path, line=line, remedy="Write the value out.")
        elif isinstance(event, yaml.CollectionStartEvent):
            if event.tag is not None:
                raise BadInput("tags are not used here", file=path, line=line, found=event.tag)
            if len(stack) >= DEPTH_LIMIT:
                raise BadInput(
                    "the file is nested too deeply", file=path, line=line, expected=f"at most {DEPTH_LIMIT} levels"
                )
            holder: TextMap | TextList = TextMap(line) if isinstance(event, yaml.MappingStartEvent) else TextList(line)
            place(holder, line)
            stack.append(holder)
            keys.append(None)
        elif isinstance(event, yaml.CollectionEndEvent):
            stack.pop()
            keys.pop()
    return top


def _is_key(stack: list[TextMap | TextList], keys: list[str | None]) -> bool:
    return bool(stack) and isinstance(stack[-1], TextMap) and keys[-1] is None


def line_of(data: Any, path: tuple[Any, ...]) -> int | None:
    """Return the line of the deepest part of `path` (keys and indexes) that `data` remembers."""
    line: int | None = getattr(data, "line", None)
    for step in path:
        if isinstance(data, TextMap) and step in data.lines:
            line, data = data.lines[step], data.get(step)
        elif isinstance(data, TextList) and isinstance(step, int) and 0 <= step < len(data):
            line, data = data.lines[step], data[step]
        elif isinstance(step, str):
            continue
        else:
            break
    return line
