"""What is drawn on the sheets of a template besides the outline: seams, crosses, letters, dashes, and the map."""

from __future__ import annotations

import pytest
from outline_kit import PANEL, made

from tracker.cards.template.outline_card import found
from tracker.cards.template.page import Stroke, Words
from tracker.cards.template.template import Sheet, large_sheet, sheets
from tracker.design import load_build
from tracker.plan.outline import Outlined


def ends(stroke: Stroke) -> list[tuple[float, ...]]:
    return [point for step, point in stroke.path if step != "close"]


def dashed(sheet: Sheet, dashes: tuple[float, ...]) -> list[Stroke]:
    return [stroke for stroke in sheet.page.strokes if stroke.dashes == dashes]


def test_a_large_page_has_15_mm_around_the_outline_and_its_seams_dashed() -> None:
    """A disc of 400 mm on boards of 120: 20 mm of margin, 17 for the foot. Three seams cross it."""
    sheet = large_sheet(made("circle = 400"), "Disc", "mm")
    page = sheet.page
    assert (sheet.name, sheet.size, sheet.paper) == ("A1", (430, 430), (10, 27))
    assert (page.width, page.height, page.scale, page.clip) == (450, 467, 1.0, (10, 27, 430, 430))
    seams = dashed(sheet, (4.0, 2.0, 1.0, 2.0))
    assert all(stroke.width == 0.15 and stroke.clipped for stroke in seams)
    # The disc's middle is that of the panel, on the seam of its fourth and fifth boards.
    heights = sorted(
        {round(y, 6) for stroke in seams for _, y in ends(stroke)} & {27 + 15 + 200 + each for each in (-120, 0, 120)}
    )
    assert heights == [122, 242, 362]
    (outline,) = [stroke for stroke in page.strokes if stroke.width == 0.25]
    assert outline.clipped
    assert outline.path[-1] == ("close", ())
    xs = [point[-2] for step, point in outline.path if step != "close"]
    assert (min(xs), max(xs)) == (pytest.approx(25), pytest.approx(425))
    small = large_sheet(made("circle = 60"), "Disc", "mm", 1.02)
    assert (small.size, small.page.width, small.page.height) == (
        (150, 90), pytest.approx(170 * 1.02), pytest.approx(127 * 1.02),
    )  # fmt: skip
    assert small.page.scale == 1.02


def test_each_sheet_has_crosses_where_its_neighbours_have_them_and_a_map() -> None:
    """Crosses of 7 mm, 5 mm inside the sheet's edges; in the map this sheet is grey."""
    found_sheets = sheets(made("circle = 400"), "Disc", "A4", "mm")
    assert [sheet.name for sheet in found_sheets] == ["A1", "A2", "A3", "B1", "B2", "B3"]
    for number, sheet in enumerate(found_sheets):
        (x, y), (wide, high) = sheet.paper, sheet.size
        plain = [ends(s) for s in sheet.page.strokes if not s.clipped and s.width == 0.15 and not s.dashes]
        middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in plain]
        assert sorted(set(middles)) == [
            (pytest.approx(x + right), pytest.approx(y + up)) for right in (5, wide - 5) for up in (5, high - 5)
        ]
        assert {round(abs(a[0] - b[0]) + abs(a[1] - b[1]), 6) for a, b in plain} == {7}
        (frame,) = dashed(sheet, (1.0, 1.0))
        assert (ends(frame)[0], ends(frame)[2], frame.width) == ((x, y), (x + wide, y + high), 0.1)
        boxes = [s for s in sheet.page.strokes if s.fill is not None]
        assert [s.fill for s in boxes] == [0.7 if at == number else 1.0 for at in range(6)]
        assert {s.width for s in boxes} == {0.1}
        corners = [point for s in boxes for point in ends(s)]
        assert max(a for a, _ in corners) == pytest.approx(x + wide), "at the right of the foot"
        assert min(b for _, b in corners) == 10
        assert max(a for a, _ in corners) - min(a for a, _ in corners) <= 20 + 1e-9
        assert max(b for _, b in corners) - 10 <= 12.5 + 1e-9
        texts = [each.text for each in sheet.page.words]
        assert any(f"{number + 1} of 6" in text for text in texts)


SLANT = """\
[[parts]]
id = "slant"
name = "Slanted"
wood = "ash"
length = 400
end_a = { bevel = 30, long_face = "top" }
"""


def slanted() -> Outlined:
    loaded = load_build(PANEL + SLANT)
    assert loaded.build is not None, loaded.problems
    return found(loaded.build, "slant")


def test_the_ends_of_a_piece_have_their_letters_and_its_lower_face_is_dashed() -> None:
    """27 mm thick under 30°: its bottom face is 15.59 mm shorter. Letters of 7 mm in the middle of the width."""
    each = slanted()
    sheet = large_sheet(each, "Slanted", "mm")
    (lower,) = dashed(sheet, (2.0, 1.5))
    assert (lower.clipped, ends(lower)[0]) == (True, ends(lower)[-1])
    move = sheet.paper[0] - sheet.panel[0]
    xs = [x - move for x, _ in ends(lower)]
    assert (min(xs), max(xs)) == (pytest.approx(27 * 3**-0.5), pytest.approx(400))
    letters = [words for words in sheet.page.words if words.text in ("A", "B")]
    assert [(each.text, each.size) for each in letters] == [("A", 7.0), ("B", 7.0)]
    for words, (x, y) in zip(letters, each.ends, strict=True):
        assert isinstance(words, Words)
        assert (words.x - move, words.y - sheet.paper[1] + sheet.panel[1]) == pytest.approx((x - 7 / 3, y - 7 / 3))
