"""The typefaces of the screens and of the labels, with their licences beside them. One set serves both, so what a label
measures on the screen it measures on paper."""

from __future__ import annotations

from pathlib import Path

REGULAR = "Roboto-Regular.ttf"
BOLD = "Roboto-Bold.ttf"
MONO = "RobotoMono-Regular.ttf"
WIDE = "DejaVuSans.ttf"
"""Has the signs that Roboto lacks: arrows, most of Greek and Cyrillic."""


def font_path(file: str) -> Path:
    """Where a font file is. Raises FileNotFoundError when the installation is broken."""
    path = Path(__file__).resolve().parent / file
    if not path.is_file():
        raise FileNotFoundError(f"the font {file} is missing from {path.parent}; install Kerfcard again")
    return path
