"""The board sheet as a PDF: boards to scale, their cuts as a list to tick off, and the shopping list. Sizes in mm."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil
from typing import BinaryIO, Literal

from PIL import Image, ImageDraw

from tracker.cards.boards.bar import BarSpan, BoardBar
from tracker.cards.boards.sheet import BoardSheet, SheetBoard, SheetCut
from tracker.cards.boards.shopping import ShoppingCard, ShoppingGroup
from tracker.paper import type as setting
from tracker.paper.pdf import PdfPages
from tracker.paper.qr import symbol_image
from tracker.paper.sheets import INCH
from tracker.paper.type import CAPITAL, Weight
from tracker.words import say

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (8.5 * INCH, 11 * INCH)}
"""ISO 216; ANSI/ASME Y14.1 size A."""
MARGIN, GAP = 12.0, 6.0
TITLE, HEAD, PLAIN, SMALL = 7.0, 5.0, 4.2, 3.4
LEADING = 1.3
"""Font sizes in millimetres, and the line spacing as a multiple of the font size."""
LEAST = 2.2
"""The smallest type on the sheet: words that don't fit at this size aren't written."""
BREADTH, MOST_BREADTH = 15.0, 60.0
"""The drawn width of a board: wider where its lanes are too narrow for their words."""
ROW, BOX = 6.4, 3.6
END = 6.0
"""Room beside a board for the letters of its ends."""
COLUMNS = 2
"""Columns of a board's cuts; one where the words of a cut are long: in half the width they would be small or cut."""
AT, SAYS, RIGHT = 12.0, 39.0, 3.0
"""Where a cut's distance and its words begin, and what stays free beside them."""
QR_DOTS = 8
"""Dots per module at 300 dots per inch: a symbol of 14 mm."""
HATCH = 1.8
FINE_DPI, COARSE_DPI = 300, 150
MANY_BOARDS = 100


class _Pages:
    """Pages filled from the top down; `room` starts a new page when a block doesn't fit."""

    draw: ImageDraw.ImageDraw
    """The contents of the present page; there is none before the first."""

    def __init__(self, paper: tuple[float, float], dpi: int, title: str, done: Callable[[Image.Image], None]) -> None:
        self.paper, self.dpi, self.title, self.done = paper, dpi, title, done
        self.number, self.y = 0, 0.0
        self.picture: Image.Image | None = None

    @property
    def width(self) -> float:
        return self.paper[0] - 2 * MARGIN

    @property
    def foot(self) -> float:
        return self.paper[1] - MARGIN - SMALL * LEADING

    def room(self, height: float) -> None:
        """Start a new page unless this much is free on the present one."""
        if self.picture is None or (self.y + height > self.foot and self.y > MARGIN + TITLE * LEADING * 2):
            self._turn()

    def finish(self) -> None:
        if self.picture is not None:
            self.done(self.picture)

    def dots(self, mm: float) -> int:
        return round(mm * self.dpi / INCH)

    def _turn(self) -> None:
        self.finish()
        self.number += 1
        self.picture = Image.new("1", (self.dots(self.paper[0]), self.dots(self.paper[1])), 1)
        self.draw = ImageDraw.Draw(self.picture)
        self.y = MARGIN
        page = say("page {number}", number=self.number)
        wide = self.wide(page, "regular", SMALL)
        self.words(self.title, "bold", TITLE, MARGIN, self.width - wide - GAP)
        self.words(page, "regular", SMALL, self.paper[0] - MARGIN - wide, wide + 1)
        self.y += TITLE * LEADING + 2.0

    def wide(self, text: str, weight: Weight, size: float) -> float:
        return setting.width(text, weight, self.dots(size)) * INCH / self.dpi

    def words(self, text: str, weight: Weight, size: float, x: float, room: float, *, down: float = 0.0) -> None:
        """One line at the height of the pen (`down` below it), reduced in size, and finally shortened, to fit."""
        shown, dots = setting.fit(text, weight, self.dots(size), self.dots(2.6), room * self.dpi / INCH)
        baseline = self.y + down + size * (CAPITAL + (LEADING - 1) / 2)
        setting.put(self.draw, self.dots(x), self.dots(baseline), shown, weight, dots)

    def paragraph(self, text: str, weight: Weight, size: float, x: float, room: float) -> None:
        """As many lines as the text needs; the pen moves below them."""
        for line in setting.wrap(text, weight, self.dots(size), room * self.dpi / INCH):
            self.room(size * LEADING)
            self.words(line, weight, size, x, room)
            self.y += size * LEADING

    def box(self, x: float, y: float, side: float) -> None:
        """A box to tick by hand."""
        corner = (self.dots(x), self.dots(y), self.dots(x + side), self.dots(y + side))
        self.draw.rectangle(corner, outline=0, width=self.dots(0.3))


def write_board_sheet(file: BinaryIO, sheet: BoardSheet, paper: Paper, *, dpi: int | None = None) -> int:
    """Write the PDF to an open binary file; returns the number of pages. Nothing on them is measured, so any scale will
    do.

    Without a `dpi` a sheet of many boards is drawn more coarsely, in two thirds of the time.
    """
    if dpi is None:
        dpi = FINE_DPI if len(sheet.boards) <= MANY_BOARDS else COARSE_DPI
    pdf = PdfPages(file, sheet.title)
    pages = _Pages(PAPERS[paper], dpi, sheet.title, lambda picture: pdf.add(picture, dpi))
    pages.room(0)
    pages.paragraph(sheet.said, "regular", PLAIN, MARGIN, pages.width)
    for note in sheet.notes:  # how to read the numbers, and the caution: before the first of them
        pages.paragraph(note, "regular", SMALL, MARGIN, pages.width)
    pages.y += GAP / 2
    for board in sheet.boards:
        _board(pages, board)
    _shopping(pages, sheet.shopping)
    pages.finish()
    return pdf.finish()


# -- boards ------------------------------------------------------------------------------------------------------------


def _board(pages: _Pages, board: SheetBoard) -> None:
    columns = _columns(pages, board.cuts)
    rows = ceil(len(board.cuts) / columns)
    symbol = symbol_image(board.code, QR_DOTS * pages.dpi // 300) if board.code else None
    beside = symbol.width * INCH / pages.dpi + 1.0 if symbol else 0.0
    head = max(HEAD * LEADING + SMALL * LEADING, beside)
    broad = _breadth(board.bar)
    whole = head + broad + 4.0 + rows * ROW
    pages.room(min(whole, head + broad + 4.0 + 3 * ROW) if whole > pages.foot - 2 * MARGIN else whole)
    if symbol and pages.picture:
        pages.picture.paste(symbol, (pages.dots(pages.paper[0] - MARGIN) - symbol.width, pages.dots(pages.y)))
    pages.words(board.title, "bold", HEAD, MARGIN, pages.width - beside)
    pages.words(board.said, "regular", SMALL, MARGIN, pages.width - beside, down=HEAD * LEADING)
    pages.y += head + 1.0
    _Bar(pages, board.bar, broad).put()
    pages.y += broad + 3.0
    _cuts(pages, board.cuts, rows, pages.width / columns)
    pages.y += GAP


def _breadth(bar: BoardBar) -> float:
    """Wide enough for small type in the narrowest lane, if possible."""
    narrowest = min((span.high - span.low for span in bar.spans if span.kind == "piece"), default=1.0)
    return min(MOST_BREADTH, max(BREADTH, (SMALL + 1.0) / max(narrowest, 0.01)))


def _columns(pages: _Pages, cuts: tuple[SheetCut, ...]) -> int:
    room = pages.width / COLUMNS - SAYS - RIGHT
    return COLUMNS if all(pages.wide(_says(cut), "regular", SMALL) <= room for cut in cuts) else 1


def _says(cut: SheetCut) -> str:
    return f"{cut.falls} {cut.mark}".rstrip()


def _cuts(pages: _Pages, cuts: tuple[SheetCut, ...], rows: int, wide: float) -> None:
    """Down one column, then down the next, so that the list is worked through as it is read."""
    for row in range(rows):
        pages.room(ROW)
        for column, cut in enumerate(cuts[row::rows]):
            x = MARGIN + column * wide
            pages.box(x, pages.y + (ROW - BOX) / 2, BOX)
            pages.words(cut.number, "bold", PLAIN, x + 5.2, 7.0, down=0.5)
            pages.words(cut.at, "bold", PLAIN, x + AT, SAYS - AT - 1.0, down=0.5)
            pages.words(_says(cut), "regular", PLAIN, x + SAYS, wide - SAYS - RIGHT, down=0.5)
        pages.y += ROW


class _Bar:
    """One board to scale along its length; it is drawn wider than it is."""

    def __init__(self, pages: _Pages, bar: BoardBar, breadth: float) -> None:
        self.pages, self.bar, self.breadth, self.draw = pages, bar, breadth, pages.draw
        self.left, self.top = MARGIN + END, pages.y
        self.scale = (pages.width - 2 * END) / bar.length

    def put(self) -> None:
        for span in self.bar.spans:
            corners = [self._corner(along, across) for along, across in span.outline]
            if span.kind == "waste":
                self._hatch(corners[3][0], corners[3][1], corners[1][0], corners[1][1])
            rim = self.pages.dots(self._rim(span))
            self.draw.line([*corners, corners[0], corners[1]], fill=0, width=rim, joint="curve")
            self._words(span, corners)
        middle = self.breadth / 2 - HEAD * LEADING / 2
        self.pages.words("A", "bold", HEAD, MARGIN, END, down=middle)
        end = self.left + self.bar.length * self.scale + 2.0
        self.pages.words("B", "bold", HEAD, end, END, down=middle)

    def _corner(self, along: float, across: float) -> tuple[int, int]:
        """The position of a place of the board on the page, in dots."""
        down = self.top + (1 - across) * self.breadth
        return self.pages.dots(self.left + along * self.scale), self.pages.dots(down)

    def _rim(self, span: BarSpan) -> float:
        return 0.45 if span.kind == "piece" else 0.2

    def _hatch(self, left: int, top: int, right: int, low: int) -> None:
        patch = Image.new("1", (max(1, right - left), max(1, low - top)), 1)
        pen = ImageDraw.Draw(patch)
        step = self.pages.dots(HATCH)
        for at in range(-patch.height, patch.width, step):
            pen.line((at, patch.height, at + patch.height, 0), fill=0, width=max(1, self.pages.dots(0.15)))
        if self.pages.picture:
            self.pages.picture.paste(patch, (left, top))

    def _words(self, span: BarSpan, corners: list[tuple[int, int]]) -> None:
        """The words that fit in full, or the number."""
        left, right = max(corners[0][0], corners[3][0]), min(corners[1][0], corners[2][0])
        breadth = (span.high - span.low) * self.breadth
        lines = list(self._fitting(span, right - left - self.pages.dots(1.4), breadth - 1.0))
        high = sum(size * LEADING for _, _, size in lines)
        y = self.top + (1 - span.high) * self.breadth + (breadth - high) / 2
        for text, weight, size in lines:
            dots = self.pages.dots(size)
            x = (left + right) / 2 - setting.width(text, weight, dots) / 2
            baseline = self.pages.dots(y + size * (CAPITAL + (LEADING - 1) / 2))
            setting.put(self.draw, x, baseline, text, weight, dots)
            y += size * LEADING

    def _fitting(self, span: BarSpan, room: float, left: float) -> Iterator[tuple[str, Weight, float]]:
        """`left` is how much of the width is free for lines, in mm."""
        if left < PLAIN * LEADING:  # a narrow lane: everything on one line
            size = min(SMALL, left / 1.15)
            for line in (" ".join(span.words), *span.words[:1], span.number) if size >= LEAST else ():
                if line and setting.width(line, "regular", self.pages.dots(size)) <= room:
                    yield line, "regular", size
                    return
            return
        written = False
        for words in span.words:
            lines = self._lines(words, room, left)
            if not lines:
                break
            left -= len(lines) * SMALL * LEADING
            yield from ((line, "regular", SMALL) for line in lines)
            written = True
        if not written and span.number and setting.width(span.number, "bold", self.pages.dots(PLAIN)) <= room:
            yield span.number, "bold", PLAIN

    def _lines(self, words: str, room: float, left: float) -> list[str]:
        """Words on one line or on two, if they fit; otherwise none."""
        for lines in ([words], words.rsplit(" ", 1), words.split(" ", 1)):
            wide = max(setting.width(line, "regular", self.pages.dots(SMALL)) for line in lines)
            if wide <= room and len(lines) * SMALL * LEADING <= left:
                return lines
        return []


# -- shopping ----------------------------------------------------------------------------------------------------------


def _shopping(pages: _Pages, card: ShoppingCard) -> None:
    pages.room(min(_list_height(card), pages.foot - 3 * MARGIN))
    pages.words(say("To buy"), "bold", HEAD, MARGIN, pages.width)
    pages.y += HEAD * LEADING
    for group in card.groups:
        _group(pages, group)
    pages.room(ROW)
    pages.words(say("Together"), "bold", PLAIN, MARGIN, pages.width / 2)
    _right(pages, card.total, "bold")
    pages.y += ROW
    for line in (card.empty, card.unknown):
        if line:
            pages.paragraph(line, "regular", SMALL, MARGIN, pages.width)
    pages.y += GAP / 2


def _list_height(card: ShoppingCard) -> float:
    """The approximate height of the list: it is kept on one page where it fits."""
    lines = sum(len(group.rows) + 1 for group in card.groups)
    said = sum(1 + len(group.said) // 90 for group in card.groups)
    return HEAD * LEADING + lines * ROW + said * SMALL * LEADING + len(card.groups) * 1.5 + 3 * ROW


def _group(pages: _Pages, group: ShoppingGroup) -> None:
    pages.room(PLAIN * LEADING + SMALL * LEADING + ROW)
    pages.words(group.title, "bold", PLAIN, MARGIN, pages.width)
    pages.y += PLAIN * LEADING
    if group.said:
        pages.paragraph(group.said, "regular", SMALL, MARGIN, pages.width)
    for row in group.rows:
        pages.room(ROW)
        pages.box(MARGIN, pages.y + (ROW - BOX) / 2, BOX)
        words = ", ".join(filter(None, (row.title, row.said, say("{each} each", each=row.each) if row.each else "")))
        pages.words(words, "regular", PLAIN, MARGIN + 5.2, pages.width - 40.0, down=0.5)
        _right(pages, row.cost, "regular")
        pages.y += ROW
    pages.y += 1.5


def _right(pages: _Pages, text: str, weight: Weight) -> None:
    wide = pages.wide(text, weight, PLAIN)
    pages.words(text, weight, PLAIN, pages.paper[0] - MARGIN - wide, wide + 1, down=0.5)
