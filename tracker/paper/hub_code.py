"""The QR symbol of an invitation to a hub: for a screen, a terminal or a file (ISO/IEC 18004, level M)."""

from __future__ import annotations

from pathlib import Path

from PIL import Image
from qrcode.constants import ERROR_CORRECT_M
from qrcode.main import QRCode

from tracker.paper.qr import QUIET
from tracker.whole_file import whole_file

DOTS = 12
"""Points per module of a picture."""


def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The rows of modules with their quiet zone, True where dark."""
    symbol = QRCode(error_correction=ERROR_CORRECT_M, border=QUIET)
    symbol.add_data(text)
    symbol.make(fit=True)
    return tuple(tuple(map(bool, row)) for row in symbol.get_matrix())


def terminal_code(text: str) -> str:
    """The symbol as lines for a terminal, two modules for each character, dark on light regardless of the terminal's
    colours."""
    rows = [list(row) for row in modules(text)]
    if len(rows) % 2:
        rows.append([False] * len(rows))
    blocks = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}
    lines = ("".join(blocks[pair] for pair in zip(*rows[at : at + 2], strict=True)) for at in range(0, len(rows), 2))
    return "\n".join(f"\x1b[97;40m{line}\x1b[0m" for line in lines)


def code_image(text: str, dots: int = DOTS) -> Image.Image:
    """The symbol as a 1-bit picture with sharp edges."""
    rows = modules(text)
    small = Image.new("1", (len(rows), len(rows)), 1)
    small.putdata([0 if dark else 1 for row in rows for dark in row])
    return small.resize((len(rows) * dots, len(rows) * dots), Image.Resampling.NEAREST)


def write_code(text: str, to: Path) -> None:
    """Write the symbol as a PNG. Raises OSError."""
    with whole_file(to) as file:
        code_image(text).save(file, "PNG")
