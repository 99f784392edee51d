"""A maker's own pictures: files beside the build file, read only within the limits for a stranger's build file."""

from __future__ import annotations

import stat
from pathlib import Path

from tracker.design.model import Assembly, Build, Part
from tracker.design.problems import Problem

MOST_BYTES = 32 * 1024 * 1024
"""The limits of `tracker.scan.picture`, which decodes these pictures too."""
SUFFIXES = (".png", ".jpg", ".jpeg")
_BEGIN = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
"""The first bytes of a PNG (ISO/IEC 15948, 5.2) and of a JPEG (ITU-T T.81, B.1.1.3: its start, and the first byte of a
marker)."""


def picture_notes(build: Build, folder: Path) -> tuple[Problem, ...]:
    """Pictures of own steps that are missing from the folder, or aren't pictures. Work goes on without them."""
    found = []
    things: list[Part | Assembly] = [*build.parts, *build.assemblies]
    for thing in things:
        for row, step in enumerate(thing.steps):
            why = _why_not(folder / step.picture) if step.picture else ""
            if why:
                line = thing.lines.get(f"steps.{row}.picture", step.line)
                found.append(Problem(line, f"{thing.name}: the picture '{step.picture}' {why}", "", "note"))
    return tuple(found)


def newest_pictures(folder: Path, most: int = 6) -> list[Path]:
    """The names of the PNG and JPEG files of a folder, the newest first."""
    found = [path for path in folder.iterdir() if path.suffix.lower() in SUFFIXES and path.is_file()]
    return sorted(found, key=lambda path: path.stat().st_mtime, reverse=True)[:most]


def _why_not(path: Path) -> str:
    try:
        seen = path.stat()
        if not stat.S_ISREG(seen.st_mode):
            return "is no file"
        if seen.st_size > MOST_BYTES:
            return f"is larger than {MOST_BYTES // 1024 // 1024} MB"
        with path.open("rb") as file:
            start = file.read(8)
    except OSError:
        return "isn't beside the build file"
    return "" if start.startswith(_BEGIN) else "is neither a PNG nor a JPEG picture"
