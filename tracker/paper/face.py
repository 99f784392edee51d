"""The face of one label: the layout of the code, the words and the drawing. Measured in dots; nothing overflows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from msgspec import Struct
from msgspec.structs import replace
from PIL import Image

from tracker.cards.labels.label import Label
from tracker.paper import type as setting
from tracker.paper.ink import Placed, printed
from tracker.paper.qr import ACROSS, QUIET, symbol_ink
from tracker.paper.sheets import CAPTION, EDGE, INCH, Sheet
from tracker.paper.sketch import sketch_ink
from tracker.paper.type import CAPITAL, Weight
from tracker.words import say
from tracker.work.codes import grouped

LEADING = 1.16
"""The line spacing, as a multiple of the font size."""
# Font sizes in millimetres at which a label is ideally set; all shrink together until everything fits.
TITLE, FINAL, PLAIN, SMALL = 7.0, 4.6, 3.8, 3.0
LEAST = 1.9
"""The smallest type on any label: capitals of 1.35 mm."""
SKETCH = 7.5
"""The least height of the drawing at full size."""
LEAST_TITLE = 3.0
LEAST_SKETCH = 3.0
"""Below this height, in millimetres, a drawing would be useless, and only the angles are printed."""
STEPS, FULL = range(10, 29), 20
"""The scales to try, in steps of one twentieth."""
BROKEN = 0.75
"""Below this scale a size may take two lines."""
BESIDE = 38.0
"""From this width up, in millimetres, the angles are beside the drawing."""
GAP = 0.7
CLEAR = 0.4
"""The gap between the quiet zone and the words."""
MARGIN = 1.6


class _Line(Struct, frozen=True):
    text: str
    weight: Weight
    dots: int
    lead: str = ""
    """Words set in bold before the text."""

    @property
    def advance(self) -> float:
        return self.dots * LEADING

    @property
    def width(self) -> float:
        return setting.width(self.lead, "bold", self.dots) + setting.width(self.text, self.weight, self.dots)

    def placed(self, x: float, top: float) -> Iterator[Placed]:
        baseline = self._baseline(top)
        if self.lead:
            yield from setting.placed_by_glyph(x, baseline, self.lead, "bold", self.dots)
            x += setting.width(self.lead, "bold", self.dots)
        yield from setting.placed(x, baseline, self.text, self.weight, self.dots)

    def placed_by_glyph(self, x: float, top: float) -> list[Placed]:
        """Like `placed`, for words that are on one label only."""
        return setting.placed_by_glyph(x, self._baseline(top), self.text, self.weight, self.dots)

    def _baseline(self, top: float) -> float:
        return top + self.dots * (CAPITAL + (LEADING - 1) / 2)


class _Box(Struct, frozen=True):
    """The room for words, in dots."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


_Setting = tuple[float, list[_Line], list[_Line]]
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
    box = _Box(corner[0] + side + CLEAR * mm, MARGIN * mm, size[0] - MARGIN * mm, size[1] - MARGIN * mm)
    return [symbol, *caption, *_words(label, box, mm, with_code=not under)]


def _caption(code: str, corner: tuple[int, int], width: int, dots: int, mm: float) -> list[Placed]:
    """The characters below the symbol, as wide as its dark part; its quiet zone stays free."""
    words, size = setting.fit(grouped(code), "bold", round(4.0 * mm), round(LEAST * mm), width - 2 * QUIET * dots)
    left = corner[0] + (width - setting.width(words, "bold", size)) / 2
    return setting.placed_by_glyph(left, corner[1] + ACROSS * dots + size * CAPITAL, words, "bold", size)


def _words(label: Label, box: _Box, mm: float, with_code: bool) -> list[Placed]:
    """Set at the largest common scale at which everything fits; the drawing takes the rest of the room."""
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
    foot = box.bottom - _high(below)
    ink += _ends(alike, _Box(box.left, y, box.right, foot), mm, scale)
    for line in below:
        ink += line.placed(box.left, foot)
        foot += line.advance
    return ink


def _set(label: Label, alike: Label, box: _Box, mm: float, with_code: bool) -> _Setting:
    """The largest scale at which everything fits, found by bisection, with the title's lines and those below the
    drawing.

    What fits large fits smaller, too; the smallest scale is used even if it doesn't fit.
    """
    best: _Setting | None = None
    least, most = STEPS.start + 1, STEPS.stop - 1
    likely = _likely.get(_kind(label, box))
    step = likely or (least + most) // 2
    while least <= most:
        scale = step / FULL
        rest = _alike(alike, box, mm, scale)
        tried = None if rest.squeezed else _at(label, box, mm, scale, with_code)
        if tried is not None and _high(tried[1]) + rest.high + _high(tried[2]) <= box.height:
            best, least = tried, step + 1
            step = least if step == likely else (least + most) // 2
        else:
            most = step - 1
            step = (least + most) // 2
    if len(_likely) >= MOST_LIKELY:
        _likely.clear()
    _likely[_kind(label, box)] = least - 1
    return best or _at(label, box, mm, STEPS.start / FULL, with_code)


_likely: dict[tuple[str, str, float, float], int] = {}
"""The step at which the last label of the same kind was set: the pieces of one part differ only in their numbers, so
the search begins there, and usually ends there. It finds the same step from any beginning."""
MOST_LIKELY = 512


def _kind(label: Label, box: _Box) -> tuple[str, str, float, float]:
    return label.final, label.blank, box.width, box.height


def _at(label: Label, box: _Box, mm: float, scale: float, with_code: bool) -> _Setting:
    return scale, _title(label.title, box, mm, scale), _below(label, box, mm, scale, with_code)


def _high(lines: Iterable[_Line]) -> float:
    return sum(line.advance for line in lines)


class _Alike(Struct, frozen=True):
    """What the labels of one part have in common, set at one scale."""

    squeezed: bool
    """Whether a size would have to be broken into two lines that smaller type would keep in one."""
    above: tuple[_Line, ...]
    """The lines between the title and the drawing."""
    high: float
    """The height of these lines, and of the drawing with its angles."""


@lru_cache(maxsize=256)
def _alike(label: Label, box: _Box, mm: float, scale: float) -> _Alike:
    above = tuple(_above(label, box, mm, scale))
    return _Alike(_squeezed(label, box, mm, scale), above, _high(above) + _ends_height(label, box, mm, scale))


def _size(millimetres: float, mm: float, scale: float) -> int:
    return max(round(LEAST * mm), round(millimetres * mm * scale))


def _squeezed(label: Label, box: _Box, mm: float, scale: float) -> bool:
    """Whether a size would have to be broken into two lines that smaller type would keep in one."""
    final = setting.width(label.final, "bold", _size(FINAL, mm, scale))
    blank = setting.width(_blank_words(label), "regular", _size(PLAIN, mm, scale))
    return scale > BROKEN and max(final, blank) > box.width


def _blank_words(label: Label) -> str:
    return say("Blank {blank}", blank=label.blank) if label.blank else ""


def _above(label: Label, box: _Box, mm: float, scale: float) -> Iterator[_Line]:
    rest: list[tuple[str, Weight, float]] = [(label.final, "bold", FINAL), (_blank_words(label), "regular", PLAIN)]
    rest += [(words, "regular", SMALL) for words in label.lines]
    for text, weight, millimetres in rest:
        dots = _size(millimetres, mm, scale)
        for row in setting.wrap(text, weight, dots, box.width) if text else ():
            yield _fitted(row, weight, dots, round(LEAST * mm), box.width)


def _title(title: str, box: _Box, mm: float, scale: float) -> list[_Line]:
    """One line if it need not shrink much, otherwise two; shortened only if even two lines of the smallest size don't
    fit."""
    ideal = _size(TITLE, mm, scale)
    least = min(ideal, round(LEAST_TITLE * mm))
    words, dots = setting.fit(title, "bold", ideal, max(least, round(ideal * 0.75)), box.width)
    if words == title:
        return [_Line(title, "bold", dots)]
    for dots in range(ideal, least - 1, -max(1, ideal // 24)):
        lines = setting.wrap(title, "bold", dots, box.width)
        if len(lines) <= 2 and all(setting.width(line, "bold", dots) <= box.width for line in lines):
            return [_Line(line, "bold", dots) for line in lines]
    return [_fitted(title, "bold", least, least, box.width)]


def _below(label: Label, box: _Box, mm: float, scale: float, with_code: bool) -> list[_Line]:
    least, small = round(LEAST * mm), _size(SMALL, mm, scale)
    turned = " · ".join(words for words in (label.face, label.hand) if words)
    lines = [_fitted(turned, "bold", small, least, box.width)] if turned else []
    if with_code:
        code, dots = setting.fit(grouped(label.code), "bold", small, least, box.width)
        code += "   " if label.build else ""
        build = _fitted(label.build, "regular", dots, dots, box.width - setting.width(code, "bold", dots))
        return [*lines, _Line(build.text, "regular", dots, lead=code)]
    return [*lines, _fitted(label.build, "regular", small, least, box.width)] if label.build else lines


def _fitted(text: str, weight: Weight, dots: int, least: int, room: float) -> _Line:
    words, size = setting.fit(text, weight, dots, least, room)
    return _Line(words, weight, size)


def _beside(box: _Box, mm: float) -> bool:
    """Whether the angles are beside the drawing's ends; on a narrow label they are below."""
    return box.width >= BESIDE * mm


def _ends_height(label: Label, box: _Box, mm: float, scale: float) -> float:
    rows = max(len(words) for words in label.ends) * _size(SMALL, mm, scale) * LEADING
    if label.drawing is None:
        return rows
    drawn = SKETCH * mm * scale + 2 * GAP * mm
    return max(rows, drawn) if _beside(box, mm) else rows + drawn


@lru_cache(maxsize=256)
def _ends(label: Label, box: _Box, mm: float, scale: float) -> tuple[Placed, ...]:
    """The drawing, and at each of its ends the angles cut there; cached for the next piece of the part."""
    return tuple(_put_ends(label, box, mm, scale))


def _put_ends(label: Label, box: _Box, mm: float, scale: float) -> Iterator[Placed]:
    beside, gap = _beside(box, mm), GAP * mm
    small, least = _size(SMALL, mm, scale), round(LEAST * mm)
    room = box.width * 0.3 if beside else box.width / 2 - gap
    ends = [[_fitted(text, "bold", small, least, room) for text in words] for words in label.ends]
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
