"""The face of one label: the layout of the code, the words and the drawing. Measured in dots; nothing overflows."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import ceil

from msgspec import Struct
from msgspec.structs import replace
from PIL import Image

from tracker.cards.labels.label import Label
from tracker.paper import type as setting
from tracker.paper.ink import Placed, printed
from tracker.paper.label_lines import (
    FINAL,
    LEADING,
    LEAST,
    PLAIN,
    SMALL,
    Box,
    TextLine,
    blank_words,
    fitted,
    lines_above,
    lines_below,
    lines_height,
    size_at,
    title_lines,
)  # fmt: skip
from tracker.paper.qr import ACROSS, QUIET, symbol_ink
from tracker.paper.sheets import CAPTION, EDGE, INCH, Sheet
from tracker.paper.sketch import sketch_ink
from tracker.paper.type import CAPITAL
from tracker.work.codes import grouped

SKETCH = 7.5
"""The least height of the drawing at full size."""
LEAST_SKETCH = 3.0
"""Below this height, in millimetres, a drawing would be useless, and only the angles are printed."""
STEPS, FULL = range(10, 29), 20
"""The scales to try, in steps of one twentieth."""
BROKEN = 0.75
"""Below this scale a size may take two lines."""
JOINERY_SCALE = 0.85
"""The words about joinery may make the others this much smaller."""
BESIDE = 38.0
"""From this width up, in millimetres, the angles are beside the drawing."""
GAP = 0.7
CLEAR = 0.4
"""The gap between the quiet zone and the words."""
MARGIN = 1.6


_Setting = tuple[float, list[TextLine], list[TextLine]]
"""A scale, the lines of the title, and those below the drawing."""


def face(label: Label, sheet: Sheet, dpi: int) -> Image.Image:
    """One label as a 1-bit picture at exact scale."""
    return printed(_face_size(sheet, dpi), [((0, 0), face_ink(label, sheet, dpi))])


def _face_size(sheet: Sheet, dpi: int) -> tuple[int, int]:
    mm = dpi / INCH
    return int(sheet.label[0] * mm), int(sheet.label[1] * mm)


def face_ink(label: Label, sheet: Sheet, dpi: int) -> list[Placed]:
    """Everything printed on one label, in dots from its top left corner."""
    mm, size = dpi / INCH, _face_size(sheet, dpi)
    dots = sheet.module_dots(dpi)
    side = ACROSS * dots
    under = side + (CAPTION + 2 * EDGE) * mm <= size[1]
    free = size[1] - side - (CAPTION * mm if under else 0)
    corner = (round(EDGE * mm), max(0, round(min(free / 2, EDGE * mm if under else free / 2))))
    symbol = Placed(symbol_ink(label.code, dots), corner[0] + QUIET * dots, corner[1] + QUIET * dots)
    caption = _caption(label.code, corner, side, dots, mm) if under else []
    box = Box(corner[0] + side + CLEAR * mm, MARGIN * mm, size[0] - MARGIN * mm, size[1] - MARGIN * mm)
    return [symbol, *caption, *_words(label, box, mm, with_code=not under)]


def _caption(code: str, corner: tuple[int, int], width: int, dots: int, mm: float) -> list[Placed]:
    """The characters below the symbol, as wide as its dark part; its quiet zone stays free."""
    words, size = setting.fit(grouped(code), "bold", round(4.0 * mm), round(LEAST * mm), width - 2 * QUIET * dots)
    left = corner[0] + (width - setting.width(words, "bold", size)) / 2
    return setting.placed_by_glyph(left, corner[1] + ACROSS * dots + size * CAPITAL, words, "bold", size)


def _words(label: Label, box: Box, mm: float, with_code: bool) -> list[Placed]:
    """Set at the largest common scale at which everything fits; the drawing takes the rest of the room."""
    if label.joinery:
        one = replace(label, code="", title=_widest(label.title))
        label = replace(label, joinery=_joinery(one, box, mm, with_code))
    alike = replace(label, code="", title="")
    scale, title, below = _set(label, alike, box, mm, with_code)
    ink: list[Placed] = []
    y = box.top
    for line in title:
        ink += line.placed_by_glyph(box.left, y)
        y += line.advance
    for line in _alike(alike, box, mm, scale).above:
        ink += line.placed(box.left, y)
        y += line.advance
    foot = box.bottom - lines_height(below)
    ink += _ends(alike, Box(box.left, y, box.right, foot), mm, scale)
    for line in below:
        ink += line.placed(box.left, foot)
        foot += line.advance
    return ink


@lru_cache(maxsize=256)
def _joinery(label: Label, box: Box, mm: float, with_code: bool) -> tuple[str, ...]:
    """The first line about joinery that leaves the other words nearly as large; the same for all pieces of a part."""
    bare = replace(label, joinery=())
    scale = max(JOINERY_SCALE * _set(bare, replace(bare, title=""), box, mm, with_code)[0], BROKEN)
    for line in label.joinery:
        joined = replace(label, joinery=(line,))
        if _fitting(joined, replace(joined, title=""), box, mm, ceil(scale * FULL) / FULL, with_code) is not None:
            return (line,)
    return ()


def _widest(title: str) -> str:
    """The title with every figure as wide as figures get, so that 1 of 8 and 3 of 8 are set alike."""
    return "".join("8" if sign.isdigit() else sign for sign in title)


def _set(label: Label, alike: Label, box: Box, mm: float, with_code: bool) -> _Setting:
    """The largest scale at which everything fits, found by bisection, with the title's lines and those below the
    drawing.

    What fits large fits smaller, too; the smallest scale is used even if it doesn't fit.
    """
    best: _Setting | None = None
    least, most = STEPS.start + 1, STEPS.stop - 1
    likely = _likely.get(_kind(label, box))
    step = likely or (least + most) // 2
    while least <= most:
        tried = _fitting(label, alike, box, mm, step / FULL, with_code)
        if tried is not None:
            best, least = tried, step + 1
            step = least if step == likely else (least + most) // 2
        else:
            most = step - 1
            step = (least + most) // 2
    if len(_likely) >= MOST_LIKELY:
        _likely.clear()
    _likely[_kind(label, box)] = least - 1
    return best or _at(label, box, mm, STEPS.start / FULL, with_code)


def _fitting(label: Label, alike: Label, box: Box, mm: float, scale: float, with_code: bool) -> _Setting | None:
    """The label at a scale, if everything fits."""
    rest = _alike(alike, box, mm, scale)
    if rest.squeezed:
        return None
    tried = _at(label, box, mm, scale, with_code)
    return tried if lines_height(tried[1]) + rest.high + lines_height(tried[2]) <= box.height else None


_likely: dict[tuple[str, str, tuple[str, ...], float, float], int] = {}
"""The step at which the last label of the same kind was set: the pieces of one part differ only in their numbers, so
the search begins there, and usually ends there. It finds the same step from any beginning."""
MOST_LIKELY = 512


def _kind(label: Label, box: Box) -> tuple[str, str, tuple[str, ...], float, float]:
    return label.final, label.blank, label.joinery, box.width, box.height


def _at(label: Label, box: Box, mm: float, scale: float, with_code: bool) -> _Setting:
    return scale, title_lines(label.title, box, mm, scale), lines_below(label, box, mm, scale, with_code)


class _Alike(Struct, frozen=True):
    """What the labels of one part have in common, set at one scale."""

    squeezed: bool
    """Whether a size would have to be broken into two lines that smaller type would keep in one."""
    above: tuple[TextLine, ...]
    """The lines between the title and the drawing."""
    high: float
    """The height of these lines, and of the drawing with its angles."""


@lru_cache(maxsize=256)
def _alike(label: Label, box: Box, mm: float, scale: float) -> _Alike:
    above = tuple(lines_above(label, box, mm, scale))
    return _Alike(_squeezed(label, box, mm, scale), above, lines_height(above) + _ends_height(label, box, mm, scale))


def _squeezed(label: Label, box: Box, mm: float, scale: float) -> bool:
    """Whether a size would have to be broken into two lines that smaller type would keep in one."""
    final = setting.width(label.final, "bold", size_at(FINAL, mm, scale))
    blank = setting.width(blank_words(label), "regular", size_at(PLAIN, mm, scale))
    return scale > BROKEN and max(final, blank) > box.width


def _beside(box: Box, mm: float) -> bool:
    """Whether the angles are beside the drawing's ends; on a narrow label they are below."""
    return box.width >= BESIDE * mm


def _ends_height(label: Label, box: Box, mm: float, scale: float) -> float:
    rows = max(len(words) for words in label.ends) * size_at(SMALL, mm, scale) * LEADING
    if label.drawing is None:
        return rows
    drawn = SKETCH * mm * scale + 2 * GAP * mm
    return max(rows, drawn) if _beside(box, mm) else rows + drawn


@lru_cache(maxsize=256)
def _ends(label: Label, box: Box, mm: float, scale: float) -> tuple[Placed, ...]:
    """The drawing, and at each of its ends the angles cut there; cached for the next piece of the part."""
    return tuple(_put_ends(label, box, mm, scale))


def _put_ends(label: Label, box: Box, mm: float, scale: float) -> Iterator[Placed]:
    beside, gap = _beside(box, mm), GAP * mm
    small, least = size_at(SMALL, mm, scale), round(LEAST * mm)
    room = box.width * 0.3 if beside else box.width / 2 - gap
    ends = [[fitted(text, "bold", small, least, room) for text in words] for words in label.ends]
    sides = [max((line.width for line in lines), default=0.0) for lines in ends]
    rows = max(sum(line.advance for line in lines) for lines in ends)
    left = box.left + sides[0] + 2 * gap if beside else box.left
    right = box.right - sides[1] - 2 * gap if beside else box.right
    height = min(box.height - 2 * gap - (0 if beside else rows), SKETCH * mm * scale * 1.5)
    top = box.top + gap
    if label.drawing is not None and height >= LEAST_SKETCH * mm:
        ink = sketch_ink(label.drawing, (int(right - left), int(height)), mm)
        wide, high = ink.size
        top = box.top + (box.height - high - (0 if beside else rows)) / 2
        yield Placed(ink, round(left), round(top))
        right, top = left + wide, top + high
    right = right + 2 * gap + sides[1] if beside else max(right, box.left + sides[0] + sides[1] + 3 * gap)
    for end, lines in enumerate(ends):
        y = (box.top + box.bottom - sum(line.advance for line in lines)) / 2 if beside else top + gap / 2
        for line in lines:
            x = box.left if end == 0 else right - (sides[1] if beside else line.width)
            yield from line.placed(x, y)
            y += line.advance
