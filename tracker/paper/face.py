"""The face of one label: where the code, the words and the drawing stand. Measured in dots; nothing overflows."""

from __future__ import annotations

from dataclasses import dataclass

from PIL import Image, ImageDraw

from tracker.cards.labels import Label
from tracker.paper import type as setting
from tracker.paper.qr import ACROSS, QUIET, symbol_image
from tracker.paper.sheets import CAPTION, EDGE, INCH, Sheet
from tracker.paper.sketch import sketch
from tracker.paper.type import CAPITAL, Weight
from tracker.work.codes import grouped

LEADING = 1.16
"""From one line to the next, in font sizes."""
# Font sizes in millimetres at which a label is ideally set; all shrink together until everything fits.
TITLE, FINAL, PLAIN, SMALL = 7.0, 4.6, 3.8, 3.0
LEAST = 1.9
"""The smallest type on any label: capitals of 1.35 mm."""
SKETCH = 7.5
"""The least height of the drawing at full size."""
LEAST_SKETCH = 3.0
"""Under this height, in millimetres, a drawing would say nothing, and only the angles are printed."""
BESIDE = 38.0
"""From this width on, in millimetres, the angles stand beside the drawing."""
GAP = 0.7
MARGIN = 1.6


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    weight: Weight
    dots: int

    @property
    def advance(self) -> float:
        return self.dots * LEADING


@dataclass(frozen=True, slots=True)
class _Box:
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


def face(label: Label, sheet: Sheet, dpi: int) -> Image.Image:
    """One label as a 1-bit picture at exact scale."""
    mm = dpi / INCH
    size = (int(sheet.label[0] * mm), int(sheet.label[1] * mm))
    picture = Image.new("1", size, 1)
    dots = sheet.module_dots(dpi)
    symbol = symbol_image(label.code, dots)
    under = symbol.height + (CAPTION + 2 * EDGE) * mm <= size[1]
    free = size[1] - symbol.height - (CAPTION * mm if under else 0)
    corner = (round(EDGE * mm), max(0, round(min(free / 2, EDGE * mm if under else free / 2))))
    picture.paste(symbol, corner)
    draw = ImageDraw.Draw(picture)
    if under:
        _caption(draw, label.code, corner, symbol.width, dots, mm)
    box = _Box(corner[0] + symbol.width, MARGIN * mm, size[0] - MARGIN * mm, size[1] - MARGIN * mm)
    _words(picture, draw, label, box, mm, with_code=not under)
    return picture


def _caption(draw: ImageDraw.ImageDraw, code: str, corner: tuple[int, int], width: int, dots: int, mm: float) -> None:
    """The characters under the symbol, as wide as its dark part; its quiet zone stays free."""
    words, size = setting.fit(grouped(code), "bold", round(4.0 * mm), round(LEAST * mm), width - 2 * QUIET * dots)
    left = corner[0] + (width - setting.width(words, "bold", size)) / 2
    setting.put(draw, left, corner[1] + ACROSS * dots + size * CAPITAL, words, "bold", size)


def _words(
    picture: Image.Image, draw: ImageDraw.ImageDraw, label: Label, box: _Box, mm: float, with_code: bool
) -> None:
    """Set at the largest common scale at which everything fits; the drawing takes the room that is left."""
    for step in range(28, 9, -1):
        scale = step / 20
        above, below = _above(label, box, mm, scale), _below(label, box, mm, scale, with_code)
        needed = sum(line.advance for line in above + below) + _ends_height(label, box, mm, scale)
        if needed <= box.height and not _squeezed(label, box, mm, scale):
            break
    y = box.top
    for line in above:
        setting.put(draw, box.left, y + line.dots * (CAPITAL + (LEADING - 1) / 2), line.text, line.weight, line.dots)
        y += line.advance
    foot = box.bottom - sum(line.advance for line in below)
    _ends(picture, draw, label, _Box(box.left, y, box.right, foot), mm, scale)
    for line in below:
        setting.put(draw, box.left, foot + line.dots * (CAPITAL + (LEADING - 1)), line.text, line.weight, line.dots)
        foot += line.advance


def _size(millimetres: float, mm: float, scale: float) -> int:
    return max(round(LEAST * mm), round(millimetres * mm * scale))


def _squeezed(label: Label, box: _Box, mm: float, scale: float) -> bool:
    """Whether a line would have to shrink below the common scale to fit in its width."""
    pairs = ((label.final, "bold", FINAL), (_blank_words(label), "regular", PLAIN))
    wide = any(setting.width(text, weight, _size(size, mm, scale)) > box.width for text, weight, size in pairs)  # type: ignore[arg-type]
    return wide or len(setting.wrap(label.title, "bold", _size(TITLE, mm, scale), box.width)) > 2


def _blank_words(label: Label) -> str:
    return f"Blank {label.blank}" if label.blank else ""


def _above(label: Label, box: _Box, mm: float, scale: float) -> list[_Line]:
    least = round(LEAST * mm)
    title = _size(TITLE, mm, scale)
    lines = [_fitted(words, "bold", title, least, box.width) for words in _title(label.title, title, box.width)]
    rest: list[tuple[str, Weight, float]] = [(label.final, "bold", FINAL), (_blank_words(label), "regular", PLAIN)]
    rest += [(words, "regular", SMALL) for words in label.lines]
    return lines + [
        _fitted(text, weight, _size(size, mm, scale), least, box.width) for text, weight, size in rest if text
    ]


def _title(title: str, dots: int, room: float) -> list[str]:
    lines = setting.wrap(title, "bold", dots, room)
    return lines if len(lines) <= 2 else [title]


def _below(label: Label, box: _Box, mm: float, scale: float, with_code: bool) -> list[_Line]:
    least = round(LEAST * mm)
    small = _size(SMALL, mm, scale)
    turned = " · ".join(words for words in (label.face, label.hand) if words)
    lines = [_fitted(turned, "bold", small, least, box.width)] if turned else []
    if not with_code:
        return [*lines, _fitted(label.build, "regular", small, least, box.width)] if label.build else lines
    code = grouped(label.code)
    both = f"{code}   {label.build}" if label.build else code
    return [*lines, _fitted(both, "regular", small, least, box.width)]


def _fitted(text: str, weight: Weight, dots: int, least: int, room: float) -> _Line:
    words, size = setting.fit(text, weight, dots, least, room)
    return _Line(words, weight, size)


def _beside(box: _Box, mm: float) -> bool:
    """Whether the angles stand beside the drawing's ends; where the label is narrow they stand under them."""
    return box.width >= BESIDE * mm


def _rows(label: Label) -> int:
    return max((len(words) for words in label.ends), default=0)


def _ends_height(label: Label, box: _Box, mm: float, scale: float) -> float:
    rows = _rows(label) * _size(SMALL, mm, scale) * LEADING
    if label.drawing is None:
        return rows
    drawn = SKETCH * mm * scale + 2 * GAP * mm
    return max(rows, drawn) if _beside(box, mm) else rows + drawn


def _ends(picture: Image.Image, draw: ImageDraw.ImageDraw, label: Label, box: _Box, mm: float, scale: float) -> None:
    """The drawing, and at each of its ends the angles that are cut there."""
    beside, gap = _beside(box, mm), GAP * mm
    small, least = _size(SMALL, mm, scale), round(LEAST * mm)
    room = box.width * 0.3 if beside else box.width / 2 - gap
    ends = [[_fitted(text, "bold", small, least, room) for text in words] for words in label.ends]
    rows = max(sum(line.advance for line in lines) for lines in ends)
    sides = [max((setting.width(line.text, line.weight, line.dots) for line in lines), default=0.0) for lines in ends]
    left, right, foot = box.left, box.right, box.bottom
    if beside:
        left, right = left + sides[0] + 2 * gap, right - sides[1] - 2 * gap
    else:
        foot -= rows
    if label.drawing is not None and foot - box.top - 2 * gap >= LEAST_SKETCH * mm:
        image = sketch(label.drawing, (int(right - left), int(foot - box.top - 2 * gap)), mm)
        picture.paste(image, (round(left), round(box.top + gap)))
    for end, lines in enumerate(ends):
        y = (box.top + box.bottom - sum(line.advance for line in lines)) / 2 if beside else foot
        for line in lines:
            width = setting.width(line.text, line.weight, line.dots)
            x = box.left if end == 0 else box.right - (sides[1] if beside else width)
            setting.put(draw, x, y + line.dots * (CAPITAL + (LEADING - 1) / 2), line.text, line.weight, line.dots)
            y += line.advance
