"""What a person got wrong, as a value: the line, what it is, and a hint."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct


class Problem(Struct, frozen=True, order=True):
    """One thing to mend in a build file, or (as a note) one thing to know about it.

    `line` counts from 1; 0 when the file as a whole is meant. A note doesn't keep the build from loading.
    """

    line: int
    what: str
    hint: str = ""
    kind: Literal["problem", "note"] = "problem"

    def at(self, file: str) -> str:
        """`planter.toml:12: what (hint)`."""
        hint = f" ({self.hint})" if self.hint else ""
        return f"{file}:{self.line}: {self.what}{hint}"
