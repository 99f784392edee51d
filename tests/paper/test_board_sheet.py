"""The board sheet, read with an independent PDF renderer and decoder."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
import zxingcpp
from msgspec.structs import replace
from PIL import Image

from tests.cards.board_shop import SHELF, Saw
from tracker.cards.boards.sheet import BoardSheet, board_sheet
from tracker.floor.boards import laid_out
from tracker.paper import board_sheet as board_sheet_module
from tracker.paper import type as setting
from tracker.paper.board_sheet import END, MARGIN, PAPERS, Paper, write_board_sheet

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"
DPI = 200
INCH = 25.4


def sheet_of(text: str) -> tuple[Saw, BoardSheet]:
    saw = Saw(text)
    return saw, board_sheet(saw.run, laid_out(saw.plan()), "Lowest cost possible (proved).")


def rendered(sheet: BoardSheet, paper: Paper) -> list[Image.Image]:
    file = io.BytesIO()
    pages = write_board_sheet(file, sheet, paper)
    document = pdfium.PdfDocument(file.getvalue())
    pictures = [page.render(scale=DPI / 72, grayscale=True).to_pil() for page in document]
    assert len(pictures) == pages
    return pictures


def dark(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture.convert("L")) < 128


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["planter", "stool", "hall_bench"])
def test_pages_are_of_the_paper_and_nothing_reaches_into_their_margins(name: str, paper: Paper) -> None:
    _, sheet = sheet_of((SAMPLES / f"{name}.toml").read_text())
    for picture in rendered(sheet, paper):
        assert [side / DPI * INCH for side in picture.size] == pytest.approx(PAPERS[paper], abs=0.3)
        ink = dark(picture)
        edge = int((MARGIN - 2) / INCH * DPI)
        inner = ink[edge:-edge, edge:-edge]
        assert ink.sum() == inner.sum(), "all ink keeps off the edge that printers can't reach"
        assert inner.any()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pieces_are_drawn_to_scale_along_the_board(paper: Paper) -> None:
    """The pieces on the first board's bar begin and end, as dark columns show, where the plan has them."""
    saw, sheet = sheet_of(SHELF)
    board = laid_out(saw.plan())[0]
    picture = dark(rendered(sheet, paper)[0])
    scale = (PAPERS[paper][0] - 2 * MARGIN - 2 * END) / float(board.length) / INCH * DPI
    left = (MARGIN + END) / INCH * DPI
    rows = _bar_rows(picture, int(left + float(board.pieces[0].at) * scale))
    columns = picture[rows].mean(axis=0)
    for piece in board.pieces:
        for at in (piece.at, piece.end):
            x = left + float(at) * scale
            near = columns[max(0, round(x) - 4) : round(x) + 5]
            assert near.max() > 0.95, f"no line at {float(at):.0f} mm of the board"


def _bar_rows(picture: np.ndarray, x: int) -> slice:
    """The rows of the longest upright line near `x`."""
    best = (0, 0)
    for column in range(x - 4, x + 5):
        run = start = 0
        for y, ink in enumerate(picture[:, column]):
            run, start = (run + 1, start if run else y) if ink else (0, y)
            if run > best[1] - best[0]:
                best = (start, y + 1)
    assert best[1] - best[0] > 10 / INCH * DPI, "a board is at least 10 mm broad on paper"
    return slice(best[0] + 3, best[1] - 3)


def test_a_board_of_the_rack_has_its_code_beside_it() -> None:
    saw, sheet = sheet_of((SAMPLES / "stool.toml").read_text())
    codes = {code.text for picture in rendered(sheet, "a4") for code in zxingcpp.read_barcodes(picture)}
    used = {board.key for board in laid_out(saw.plan()) if board.source == "rack"}
    assert codes == {saw.run.codes[key] for key in used}
    assert codes


def test_every_cut_is_listed_with_its_reading_and_the_piece_that_falls_off() -> None:
    _, sheet = sheet_of((SAMPLES / "planter.toml").read_text())
    side = sheet.boards[0]
    assert side.title == "Side board 1, 6′"
    assert [cut.falls for cut in side.cuts] == ["square end A", *(f"Side {n}" for n in range(1, 7))]
    # Blank 9 3/4 in (worked by hand in the story test); end trim 1/2, so the first mark is at 10 1/4 of the whole.
    assert (side.cuts[1].at, side.cuts[1].mark) == ("9\u20093⁄4″", "(10\u20091⁄4″)")
    rack = next(board for board in sheet.boards if board.title.startswith("Board F2"))
    assert "cut away the defect" in [cut.falls for cut in rack.cuts]


def test_a_long_list_goes_on_over_as_many_pages_as_it_needs() -> None:
    many = SHELF.replace("quantity = 4", "quantity = 240")
    _, sheet = sheet_of(many)
    pages = rendered(sheet, "letter")
    assert len(pages) > 3
    assert all(dark(page).any() for page in pages)


@pytest.mark.parametrize(("many", "wide"), [(12, 20), (60, 1)])
def test_lanes_too_narrow_for_words_are_drawn_all_the_same(many: int, wide: int) -> None:
    """Twelve strips of 20 mm get their names on a broader bar; sixty of 1 mm have no room for type."""
    text = f"""
[build]
name = "Strips"
units = "mm"
[woods.pine]
species = "white ash"
thickness = 20
width = 280
lengths = ["2 m"]
rip = true
[[parts]]
id = "strip"
name = "Strip"
quantity = {many}
wood = "pine"
length = 1900
width = {wide}
"""
    _, sheet = sheet_of(text)
    assert len([cut for cut in sheet.boards[0].cuts if cut.falls.startswith("Strip")]) == many
    (first, *_) = rendered(sheet, "a4")
    assert dark(first).any()


def test_numbers_on_a_board_are_the_pieces_own() -> None:
    """A board whose first piece is gone: its second is still number 2, on the bar and in the list."""
    saw = Saw((SAMPLES / "planter.toml").read_text())
    (board, *_) = laid_out(saw.plan())
    sheet = board_sheet(saw.run, [replace(board, pieces=board.pieces[1:])], "A rest.")
    spans = [span for span in sheet.boards[0].bar.spans if span.kind == "piece"]
    assert [(span.number, span.words[0]) for span in spans][:2] == [("2", "Side 2"), ("3", "Side 3")]
    falls = [(cut.number, cut.falls) for cut in sheet.boards[0].cuts if cut.number]
    assert falls[:2] == [("2", "Side 2"), ("3", "Side 3")]


def test_the_notes_defer_to_the_saws_manual() -> None:
    _, sheet = sheet_of(SHELF)
    assert any("manual" in note and "follow" in note for note in sheet.notes)


@pytest.mark.parametrize("name", ["bedside_tables", "hall_bench", "stool", "planter", "trestle_table"])
def test_no_words_about_a_cut_are_shortened_and_all_of_a_board_have_one_size(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cut whose last words are missing is a cut that can go wrong."""
    fit, wrong = setting.fit, []

    def watched(text: str, weight: setting.Weight, size: int, least: int, room: float) -> tuple[str, int]:
        shown, dots = fit(text, weight, size, least, room)
        if shown != text:
            wrong.append(text)
        return shown, dots

    monkeypatch.setattr(setting, "fit", watched)
    _, sheet = sheet_of((SAMPLES / f"{name}.toml").read_text())
    rendered(sheet, "letter")
    assert not wrong


def test_how_to_read_the_numbers_is_said_before_the_first_of_them() -> None:
    """Whoever cuts has the first page in hand; the shopping list at the end is at home."""
    written: list[str] = []
    words = board_sheet_module._Pages.words

    def watched(self: object, text: str, *rest: object, **named: object) -> None:
        written.append(text)
        words(self, text, *rest, **named)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(board_sheet_module._Pages, "words", watched)
        _, sheet = sheet_of((SAMPLES / "planter.toml").read_text())
        rendered(sheet, "letter")
    first = next(at for at, text in enumerate(written) if text.startswith("Side 1"))
    assert any("measured from end A" in text for text in written[:first])
    assert any("Guard on" in text for text in written[:first])
