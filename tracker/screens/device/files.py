"""Writing what the screens make: whole or not at all, under names that every system takes."""

from __future__ import annotations

from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Under another name first, so that no half of a sheet is ever printed. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_suffix(".part")
    part.write_bytes(data)
    part.replace(path)


def file_name(words: str) -> str:
    """Words as a file name."""
    return "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in words).strip() or "build"
