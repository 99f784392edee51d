"""The log on disk."""

from __future__ import annotations

import sys


def _load_sqlite_utils() -> None:
    """Import sqlite-utils without the libraries that it loads whole wherever it finds them, for types that no record
    holds: numpy alone takes longer than everything else the log needs, and the maker waits for the first card."""
    held = [name for name in ("numpy", "pandas") if name not in sys.modules]
    try:
        for name in held:
            sys.modules[name] = None  # type: ignore[assignment]  # "not to be found", as the import system has it
        import sqlite_utils  # noqa: F401
    finally:
        for name in held:
            del sys.modules[name]


_load_sqlite_utils()
