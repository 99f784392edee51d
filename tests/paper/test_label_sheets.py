"""Label sheets, read with an independent PDF renderer and independent decoders."""

from __future__ import annotations

import io
from collections.abc import Iterator

import cv2
import numpy as np
import pypdfium2 as pdfium
import pytest
import zxingcpp
from msgspec.structs import replace
from PIL import Image

from tests.paper.shop_labels import LABELS, LONGEST, drawing, label, label_png, sheet_pdf
from tracker.cards.labels.label import Label
from tracker.paper.face import face
from tracker.paper.labels import (
    label_pages,
    label_sheet_pngs,
    measuring_page_pdf,
    write_label_pdf,
)
from tracker.paper.sheets import DPIS, GOOD_SIDE, INCH, SHEETS, Sheet, sheet_named
from tracker.work.codes import code_for

PAPER = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}  # ANSI/ASME Y14.1 size A; ISO 216
QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
every_sheet = pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)


def _rendered(pdf: bytes, dpi: float) -> list[Image.Image]:
    document = pdfium.PdfDocument(pdf)
    return [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]


def _read(picture: Image.Image) -> list[str]:
    return [code.text for code in zxingcpp.read_barcodes(picture, formats=QR)]


def _dark(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture.convert("L")) < 128


@every_sheet
@pytest.mark.parametrize("dpi", DPIS)
def test_every_code_of_every_sheet_reads_with_two_decoders(sheet: Sheet, dpi: int) -> None:
    labels = LABELS
    pages = _rendered(sheet_pdf(labels, sheet, dpi=dpi), dpi)
    seen: list[str] = []
    mm = dpi / INCH
    for page_number, page in enumerate(pages):
        assert sorted(_read(page)) == sorted(
            label.code for label in labels[page_number * sheet.places : (page_number + 1) * sheet.places]
        )
        for place in range(min(sheet.places, len(labels) - page_number * sheet.places)):
            left, top = sheet.corner(place)
            box = (left * mm, top * mm, (left + sheet.label[0] / 2 + 1) * mm, (top + sheet.label[1]) * mm)
            crop = np.asarray(page.crop(box))
            seen.append(cv2.QRCodeDetector().detectAndDecode(np.pad(crop, 20, constant_values=255))[0])
    assert seen == [label.code for label in labels]


@every_sheet
@pytest.mark.parametrize("dpi", DPIS)
def test_a_code_is_as_large_on_paper_as_the_sheet_says(sheet: Sheet, dpi: int) -> None:
    pdf = sheet_pdf(LABELS[:1], sheet, dpi=dpi)
    page = pdfium.PdfDocument(pdf)[0]
    paper = PAPER.get(sheet.name.split("-")[0], sheet.page)
    assert [side / 72 * INCH for side in page.get_size()] == pytest.approx(paper, abs=0.1)
    fine = 1200
    x, y, w, h = (value / INCH * 72 for value in (*sheet.corner(0), *sheet.label))
    width, height = page.get_size()
    # Only the half of the first label that holds the code, cut out in points from the page's four edges.
    cut = (x, max(0, height - y - h), max(0, width - x - w / 2), y)
    picture = page.render(scale=fine / 72, grayscale=True, crop=cut).to_pil()
    (code,) = zxingcpp.read_barcodes(picture, formats=QR)
    at = code.position.top_left
    # From the outer edge of one finder to the outer edge of the other, along a row through both and a column.
    reach = round(sheet.code_side(dpi) / INCH * fine) + 60
    row = _dark(picture)[at.y + 20, max(0, at.x - 60) : at.x + reach]
    column = _dark(picture)[max(0, at.y - 60) : at.y + reach, at.x + 20]
    for line in (row, column):
        (dark,) = np.nonzero(line)
        assert (dark[-1] - dark[0] + 1) / fine * INCH == pytest.approx(sheet.code_side(dpi), abs=0.1)


@every_sheet
def test_modules_are_whole_dots_and_the_code_is_large_where_the_label_allows(sheet: Sheet) -> None:
    for dpi in DPIS:
        dot = INCH / dpi
        assert sheet.code_side(dpi) / 21 / dot == pytest.approx(sheet.module_dots(dpi))
        assert sheet.small_code(dpi) == (sheet.code_side(dpi) < GOOD_SIDE)
        # A 20 mm code with its quiet zone, plus the free edge, needs 28.7 mm.
        if min(sheet.label[0] / 2, sheet.label[1] - 1) >= GOOD_SIDE * 29 / 21 + 29 * dot:
            assert not sheet.small_code(dpi)
        assert sheet.code_side(dpi) >= 15.5


@every_sheet
def test_labels_lie_on_their_paper_and_not_on_each_other(sheet: Sheet) -> None:
    boxes = [(*sheet.corner(place), *sheet.label) for place in range(sheet.places)]
    for x, y, w, h in boxes:
        assert x >= 0
        assert y >= 0
        assert x + w <= sheet.page[0] + 1e-6
        assert y + h <= sheet.page[1] + 1e-6
    for one, (x, y, w, h) in enumerate(boxes):
        for x2, y2, w2, h2 in boxes[:one]:
            assert min(x + w, x2 + w2) - max(x, x2) < 1e-6 or min(y + h, y2 + h2) - max(y, y2) < 1e-6


@every_sheet
@pytest.mark.parametrize(
    "label", [*LABELS, replace(LONGEST, title="W" * 60), replace(LONGEST, title="Ş" * 20 + " 1 of 9")]
)
@pytest.mark.parametrize("dpi", DPIS)
def test_no_word_touches_the_edge_of_its_label(sheet: Sheet, label: Label, dpi: int) -> None:
    dark = _dark(face(label, sheet, dpi))
    edge = round(0.4 * dpi / INCH)
    assert dark.any()
    assert not dark[:edge].any()
    assert not dark[-edge:].any()
    assert not dark[:, :edge].any()
    assert not dark[:, -edge:].any()


@every_sheet
@pytest.mark.parametrize("label", LABELS)
def test_the_quiet_zone_is_quiet(sheet: Sheet, label: Label) -> None:
    dark = _dark(face(label, sheet, 300))
    module = sheet.module_dots(300)
    # The code is what is furthest to the left, and its finder is dark all the way down that edge.
    x = int(np.flatnonzero(dark.any(axis=0))[0])
    y = int(np.flatnonzero(dark[:, x])[0])
    side, quiet = 21 * module, 4 * module
    assert dark[y : y + 7 * module, x].all()
    assert x >= quiet
    assert y >= quiet
    around = dark[y - quiet : y + side + quiet, x - quiet : x + side + quiet].copy()
    assert around.shape == (29 * module, 29 * module)
    around[quiet:-quiet, quiet:-quiet] = False
    assert not around.any()


def test_printing_starts_at_any_free_place_of_a_used_sheet() -> None:
    sheet = sheet_named("a4-3x8")
    for start in (0, 1, 5, 22):
        pages = list(label_pages(LABELS, sheet, start=start))
        assert len(pages) == -(-(start + len(LABELS)) // sheet.places)
        mm = 300 / INCH
        dark = _dark(pages[0])
        for place in range(sheet.places):
            left, top = (round(value * mm) for value in sheet.corner(place))
            used = dark[top : top + round(37 * mm) - 2, left : left + round(70 * mm) - 2].any()
            assert used == (start <= place < start + len(LABELS))
        if len(pages) == 2:  # the next sheet is a whole one
            assert _dark(pages[1])[: round(37 * mm), : round(70 * mm)].any()


@pytest.mark.parametrize(("dpi", "start"), [(150, 0), (300, 24), (300, -1)])
def test_a_place_or_a_resolution_that_does_not_exist_is_refused(dpi: int, start: int) -> None:
    with pytest.raises(ValueError, match=r"place|dots"):
        label_pages(LABELS, sheet_named("a4-3x8"), dpi=dpi, start=start)


def test_an_unknown_sheet_names_those_that_there_are() -> None:
    with pytest.raises(ValueError, match=r"letter-2x7.*roll-62x40"):
        sheet_named("a4-1x1")
    assert sheet_named(" A4-2x7 ").name == "a4-2x7"


def test_png_pages_say_their_resolution_and_read() -> None:
    sheet = sheet_named("letter-3x10")
    (page,) = label_sheet_pngs(LABELS, sheet, dpi=600)
    picture = Image.open(io.BytesIO(page))
    assert picture.info["dpi"] == pytest.approx((600, 600), abs=0.1)
    assert picture.size == (5100, 6600)
    assert picture.mode == "1"
    assert sorted(_read(picture.convert("L"))) == sorted(label.code for label in LABELS)
    alone = Image.open(io.BytesIO(label_png(LABELS[0], sheet)))
    assert _read(alone.convert("L")) == [LABELS[0].code]


def test_a_roll_prints_a_label_to_a_page() -> None:
    pdf = sheet_pdf(LABELS, sheet_named("roll-62x40"), dpi=203)
    assert [_read(page) for page in _rendered(pdf, 203)] == [[label.code] for label in LABELS]


def test_the_file_is_written_forward_and_page_by_page() -> None:
    class Forward(io.RawIOBase):
        """A pipe: a file without seek."""

        size = 0

        def writable(self) -> bool:
            return True

        def seekable(self) -> bool:
            return False

        def write(self, data: object) -> int:
            count = len(bytes(data))  # type: ignore[call-overload]
            self.size += count
            return count

    drawn_at: list[int] = []
    file = Forward()

    def labels() -> Iterator[Label]:
        for number in range(24):
            drawn_at.append(file.size)
            yield LABELS[number % len(LABELS)]

    assert write_label_pdf(file, labels(), sheet_named("a4-2x4")) == 3  # type: ignore[arg-type]
    # The labels of a page are asked for only when the pages before it are in the file already.
    assert drawn_at[:8] == [drawn_at[0]] * 8
    assert drawn_at[0] < drawn_at[8] < drawn_at[16] < file.size


@every_sheet
@pytest.mark.parametrize("dpi", DPIS)
def test_a_page_of_the_pdf_has_the_dots_of_the_picture(sheet: Sheet, dpi: int) -> None:
    """Drawn at the printer's resolution by an independent renderer: nothing is shifted, widened or smoothed."""
    pages = list(label_pages(LABELS, sheet, dpi=dpi))
    for ours, theirs in zip(pages, _rendered(sheet_pdf(LABELS, sheet, dpi=dpi), dpi), strict=True):
        grey = np.asarray(theirs)
        assert ours.size == theirs.size
        assert np.isin(grey, (0, 255)).all()
        assert ((grey == 0) == ~np.asarray(ours)).all()


JOINED = label("Rail 1 of 4", "rail:1", drawing(300, 140, 0, 0), blank="", joinery="yes")


def _title_height(dark: np.ndarray) -> int:
    """The height of the title in dots: the first dark rows right of the code."""
    rows = dark[:, dark.shape[1] // 2 - dark.shape[0] // 8 :].any(axis=1)
    first = int(np.argmax(rows))
    return int(np.argmin(rows[first:]))


@every_sheet
def test_joinery_is_printed_where_the_other_words_stay_nearly_as_large(sheet: Sheet) -> None:
    """The longest line that leaves them 85 % of their size is printed; all labels of one part are set equally."""
    plain = _dark(face(replace(JOINED, joinery=()), sheet, 300))
    printed = _dark(face(JOINED, sheet, 300))
    by_line = {line: _dark(face(replace(JOINED, joinery=(line,)), sheet, 300)) for line in JOINED.joinery}
    long, short = (np.array_equal(each, printed) for each in by_line.values())
    none = np.array_equal(plain, printed)
    assert long or short or none
    assert long if sheet.name in ("letter-2x5", "a4-2x4", "roll-102x51") else True
    assert short if sheet.name in ("letter-2x7", "a4-2x7") else True
    assert none if sheet.name in ("letter-3x10", "a4-4x10") else True
    assert _title_height(printed) >= 0.8 * _title_height(plain)
    other = _dark(face(replace(JOINED, title="Rail 3 of 4"), sheet, 300))
    differs = np.nonzero((printed != other).any(axis=1))[0]  # the number in the title, and nothing below it
    assert differs.max() - differs.min() <= _title_height(plain)


def test_what_labels_have_in_common_is_in_the_file_once() -> None:
    labels = [replace(LABELS[0], code=code_for("many", f"leg:{number}"), title=f"Leg {number}") for number in range(70)]
    sheet = sheet_named("a4-2x7")
    assert len(sheet_pdf(labels[:2], sheet)) < 1.3 * len(sheet_pdf(labels[:1], sheet))


def test_nothing_to_print_is_said_before_a_file_is_begun() -> None:
    file = io.BytesIO()
    with pytest.raises(ValueError, match="no label"):
        write_label_pdf(file, [], sheet_named("a4-2x7"))
    assert not file.getvalue()


def test_one_page_is_small_and_one_bit() -> None:
    assert (
        len(sheet_pdf(LABELS * 4, sheet_named("letter-3x10"))) < 100_000
    )  # the same page in grey, as a JPEG in a PDF, takes some 600 kB


@every_sheet
def test_the_measuring_page_has_a_square_of_whole_millimetres(sheet: Sheet) -> None:
    fine = 600
    (page,) = _rendered(measuring_page_pdf(sheet), fine)
    dark = _dark(page)
    mm = fine / INCH
    side = 100 if sheet.page[0] > 120 else 20 if sheet.page[1] < 58 else 50
    middle_row = round((sheet.page[1] / 2 - side / 2 + 0.8) * mm)
    reach = round((side / 2 + 0.3) * mm)
    centre = page.width // 2
    (line,) = np.nonzero(dark[middle_row, centre - reach : centre + reach])
    assert (line[-1] - line[0] + 1) / mm == pytest.approx(side, abs=0.1)
