"""The log on disk."""

from __future__ import annotations

import re
import sys
from typing import Any


class _LatePattern:
    """A regular expression that is compiled on first use."""

    def __init__(self, *arguments: Any) -> None:
        self._arguments = arguments

    def __getattr__(self, name: str) -> Any:
        return getattr(re.compile(*self._arguments), name)


def _load_sqlite_utils() -> None:
    """Import sqlite-utils without its slow imports, because the maker is waiting for the first card. Left out are numpy
    and pandas, which it imports if installed for types that no record contains, and the patterns that it compiles for
    full-text and other virtual tables, which no record has."""
    compile_now = re.compile
    held = [name for name in ("numpy", "pandas") if name not in sys.modules]

    def compiled(*arguments: Any) -> Any:
        own = sys._getframe(1).f_globals["__name__"].startswith("sqlite_utils")
        return _LatePattern(*arguments) if own else compile_now(*arguments)

    try:
        for name in held:
            sys.modules[name] = None  # type: ignore[assignment]  # "not found", in the import system's terms
        re.compile = compiled  # type: ignore[assignment]
        import sqlite_utils  # noqa: F401
    finally:
        re.compile = compile_now
        for name in held:
            del sys.modules[name]


_load_sqlite_utils()
