"""A mistake in a build file as a value: its line, what is wrong, and a hint."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct


class Problem(Struct, frozen=True, order=True):
    """Something to fix in a build file or, as a note, something to know about it.

    `line` counts from 1; 0 means the file as a whole. A note doesn't keep the build from loading.
    """

    line: int
    what: str
    hint: str = ""
    kind: Literal["problem", "note"] = "problem"

    def at(self, file: str) -> str:
        """`planter.toml:12: what (hint)`."""
        hint = f" ({self.hint})" if self.hint else ""
        return f"{file}:{self.line}: {self.what}{hint}"
