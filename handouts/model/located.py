"""The base of all records read from files: frozen, no unknown keys, file and line remembered."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Self

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, PrivateAttr, ValidationInfo, model_validator


class Located(BaseModel):
    """A record that knows where it stands: `file` (None for one built in code) and `line` (from 1)."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, str_strip_whitespace=True)
    _file: Path | None = PrivateAttr(default=None)
    _line: int = PrivateAttr(default=1)

    @model_validator(mode="wrap")
    @classmethod
    def _remember(cls, data: Any, handler: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        record = handler(data)
        if isinstance(data, dict) and info.context:
            record._file = info.context.get("file")
            record._line = getattr(data, "line", 1)
        return record

    @property
    def origin(self) -> Path | None:
        """The file the record was read from."""
        return self._file

    @property
    def line(self) -> int:
        """The line its mapping starts on."""
        return self._line
