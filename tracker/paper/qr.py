"""The QR symbol of a code: version 1, level H, alphanumeric, one fixed mask (ISO/IEC 18004).

Ten characters are just what version 1 holds at level H, so the modules are as large as they can be and a third of the
codewords may be dirty. With the mask fixed, the finders, timing, format information and quiet zone are the same on
every label: a reader knows them beforehand.
"""

from __future__ import annotations

from functools import lru_cache

from PIL import Image
from qrcode.constants import ERROR_CORRECT_H
from qrcode.main import QRCode
from qrcode.util import MODE_ALPHA_NUM, QRData

from tracker.work.codes import LENGTH, QR_MASK, Code

MODULES = 21
QUIET = 4
"""The white border that the standard asks for, in modules on each side."""
ACROSS = MODULES + 2 * QUIET

Matrix = tuple[tuple[bool, ...], ...]
"""21 rows of 21 modules, True where dark, without the quiet zone."""


@lru_cache(maxsize=256)
def matrix(code: Code) -> Matrix:
    """The modules of `code`. Raises ValueError when it isn't ten digits or capitals, which is all that fits."""
    if len(code) != LENGTH or not code.isascii() or not code.isalnum() or code != code.upper():
        raise ValueError(f"{code!r} is not a code of {LENGTH} digits and capital letters")
    symbol = QRCode(version=1, error_correction=ERROR_CORRECT_H, mask_pattern=QR_MASK, border=0)
    symbol.add_data(QRData(code.encode(), mode=MODE_ALPHA_NUM))
    symbol.make(fit=False)
    return tuple(tuple(map(bool, row)) for row in symbol.modules)


def symbol_image(code: Code, dots: int) -> Image.Image:
    """The symbol with its quiet zone as a 1-bit picture, `dots` printer dots to a module, edges sharp."""
    small = Image.new("1", (ACROSS, ACROSS), 1)
    small.putdata([255 * (not dark) for dark in _padded(code)])
    return small.resize((ACROSS * dots, ACROSS * dots), Image.Resampling.NEAREST)


def _padded(code: Code) -> list[bool]:
    blank = [False] * ACROSS
    side = [False] * QUIET
    rows = [blank] * QUIET + [[*side, *row, *side] for row in matrix(code)] + [blank] * QUIET
    return [dark for row in rows for dark in row]
