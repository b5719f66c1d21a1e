"""One finding of `check` or `inspect`: where, what was expected, what was found, what to do."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

Level = Literal["error", "warning"]


@dataclass(frozen=True)
class Finding:
    """One finding, with the field names of the contract."""

    level: Level
    rule: str
    file: str | Path | None = None
    line: int | None = None
    key: str | None = None
    expected: str | None = None
    found: str | None = None
    remedy: str | None = None

    def to_json(self) -> dict[str, Any]:
        """The finding as plain data."""
        return {
            "level": self.level,
            "rule": self.rule,
            "file": str(self.file) if self.file is not None else None,
            "line": self.line,
            "key": self.key,
            "expected": self.expected,
            "found": self.found,
            "remedy": self.remedy,
        }

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.file and self.line else str(self.file or "")
        parts = [f"{self.level}: {self.rule}"]
        if where:
            parts.insert(0, where)
        if self.key:
            parts.append(self.key)
        text = ": ".join(parts)
        if self.found:
            text += f"; found {self.found}"
        if self.expected:
            text += f"; expected {self.expected}"
        return f"{text}. {self.remedy}" if self.remedy else text
