"""Mappings that know where they stand. Apart from the YAML reader, so that remembered data needs no YAML."""

from __future__ import annotations

from typing import Any

from tastevocab.errors import Place


class Lines(dict[Any, Any]):
    """A mapping read from YAML that remembers its own line and that of each key."""

    def __init__(self, file: str, line: int) -> None:
        super().__init__()
        self.file = file
        self.line = line
        self.lines: dict[Any, int] = {}

    def place(self, key: Any = None) -> Place:
        """Where the mapping, or one of its keys, stands."""
        return Place(self.file, self.lines.get(key, self.line) if key is not None else self.line)
