"""A printed template is to scale: its rule and its line are measured in a page drawn by PDFium at 600 dpi."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from outline_kit import FORK, SEAT, made
from paper_judge import DOTS, _dark, read_sheets, shared_crosses

from tracker.cards.template.outline_card import found
from tracker.cards.template.rule import correction, rule
from tracker.cards.template.template import large_sheet, sheets
from tracker.cards.template.tiles import MARGIN, tiling
from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.paper import type as setting

STOOL = Path(__file__).parents[2] / "sample_projects" / "stool.toml"
TOP = (
    "path = [{ from = [0, 0] }, { to = [300, 0], through = [150, -18] }, "
    "{ smooth = [[310, 50], [305, 120], [300, 200]] },"
    ' { to = [0, 200], radius = 700, bows = "out" }]\n'
)


@pytest.mark.parametrize(("outline", "paper"), [(SEAT, "A4"), (TOP, "Letter")])
def test_the_line_is_where_it_should_be(outline: str, paper: str) -> None:
    read = read_sheets(outline, paper)
    assert read.worst <= 0.1
    assert read.seen > 0.97 * read.places  # the others are crossed by a seam, a frame or a cross


def test_a_printer_that_shrinks_is_made_up_for() -> None:
    """It printed 100 mm as 99.6: printed again with this correction, the sheets are to scale."""
    assert read_sheets(FORK, "A4", printer=0.996).worst > 0.3
    read = read_sheets(FORK, "A4", printer=0.996, scale=correction("99.6 mm", "mm"))
    assert read.worst <= 0.1


def test_neighbours_share_their_crosses() -> None:
    for paper in ("A4", "A3", "Letter", "Tabloid"):
        assert shared_crosses(sheets(made("oval = [900, 600]"), "it", paper, "mm")) < 1e-6


def test_rule_square_and_crosses_measure_true(tmp_path: Path) -> None:
    out = tmp_path / "seat.pdf"
    done = CliRunner().invoke(commands, ["template", str(STOOL), "seat-edge", "-o", str(out), "--paper", "A4"])
    assert done.exit_code == 0, done.output
    dark = _dark(pypdfium2.PdfDocument(out)[0]) > 110
    height = dark.shape[0]

    def row(y: float) -> np.ndarray:
        """The middles of dark runs along a level line, y mm from the foot, in mm from the left."""
        line = np.flatnonzero(np.diff(np.concatenate(([0], dark[round(height - y * DOTS)].view(np.int8), [0]))))
        return (line[::2] + line[1::2]) / 2 / DOTS

    ticks = row(10 + 3.4 + 2.3)  # only every tenth is as high
    ticks = ticks[(ticks > 9.5) & (ticks < 110.5)]
    assert ticks == pytest.approx(np.arange(11) * 10 + 10, abs=0.06)
    fine = row(10 + 3.4 + 1.0)
    assert len(fine[(fine > 9.9) & (fine < 110.1)]) == 101
    square = row(10 + 6)
    left, right = square[(square > 140) & (square < 172)][:2]
    assert right - left == pytest.approx(12, abs=0.06)
    crosses = row(27 + 5 + 2)
    assert crosses[(crosses > 14) & (crosses < 16)] == pytest.approx([15], abs=0.06)
    assert crosses[(crosses > 194) & (crosses < 196)] == pytest.approx([195], abs=0.06)


@pytest.mark.parametrize(
    ("said", "units", "factor"),
    [
        ("99.6 mm", "mm", 100 / 99.6),
        ("99.6", "mm", 100 / 99.6),
        ("99.6 mm", "in", 100 / 99.6),
        ("4 1/32", "in", 128 / 129),
        ('3.98"', "mm", 4 / 3.98),
        ("10.05 cm", "mm", 100 / 100.5),
    ],
)
def test_what_the_rule_measured_is_understood(said: str, units: str, factor: float) -> None:
    assert correction(said, units) == pytest.approx(factor)  # type: ignore[arg-type]


def test_what_cannot_be_is_refused_in_a_sentence(tmp_path: Path) -> None:
    for said in ("100 in", "0", "ninety", "94 mm"):
        done = CliRunner().invoke(
            commands, ["template", str(STOOL), "seat-edge", "-o", str(tmp_path / "x.pdf"), "--measured", said]
        )
        assert done.exit_code == 1
        assert len(done.stderr.splitlines()) == 1, done.stderr
    assert not (tmp_path / "x.pdf").exists()


def test_names_in_any_letters_are_printed(tmp_path: Path) -> None:
    text = STOOL.read_text("utf-8").replace('name = "Kitchen stool"', 'name = "Скамья (№ 1)"')
    file, out = tmp_path / "stool.toml", tmp_path / "out.pdf"
    file.write_text(text, "utf-8")
    done = CliRunner().invoke(commands, ["template", str(file), "seat-edge", "-o", str(out)])
    assert done.exit_code == 0, done.output
    page = pypdfium2.PdfDocument(out)[0]
    assert (_dark(page)[round(-23 * DOTS) : round(-20 * DOTS), round(11 * DOTS) : round(80 * DOTS)] > 110).mean() > 0.02


def test_odd_ends_and_tapers_of_a_part_are_a_template(tmp_path: Path) -> None:
    out = tmp_path / "rail.pdf"
    for piece in ("rail", "rail:2", "leg:4"):
        done = CliRunner().invoke(commands, ["template", str(STOOL), piece, "-o", str(out), "--paper", "A3"])
        assert done.exit_code == 0, done.output
    text = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_range()
    assert re.search(r"sheet A1, 1 of \d+\s+A3\s+Kitchen stool: Leg", text)
    wrong = CliRunner().invoke(commands, ["template", str(STOOL), "rails", "-o", str(out)])
    assert "did you mean 'rail'?" in wrong.stderr


@pytest.mark.parametrize("extent", [(0, 0, 394, 90), (0, 0, 90, 394), (0, 0, 600, 500), (0, 0, 100, 100)])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_sheets_cover_the_drawing_and_one_fewer_each_way_would_not(
    extent: tuple[float, float, float, float], paper: str
) -> None:
    """Pieces of paper that overlap by 10 mm, beside a sum of its own; 3 mm are left around the drawing."""
    found = tiling(extent, paper)
    for count, side, long in zip((found.columns, found.rows), found.size, (extent[2] + 6, extent[3] + 6), strict=True):
        assert side + (count - 1) * (side - 10) >= long
        assert count == 1 or side + (count - 2) * (side - 10) < long


def test_the_rule_has_a_tick_for_every_millimetre_and_every_sixteenth() -> None:
    for units, ticks in (("mm", 101), ("in", 101 + 65)):
        strokes = [each for each in rule(0.0, 0.0, units) if not hasattr(each, "text")]
        assert len(strokes) == 1 + ticks, units


def test_a_template_of_a_piece_says_how_it_lies_and_shortens_nothing() -> None:
    """Turned over or end for end, an odd end would be sawn the wrong way: the ends have letters, and the face that is
    up is named. On the narrowest paper and with a long name every word is whole."""
    loaded = load_build(STOOL.read_text(encoding="utf-8"))
    assert loaded.build is not None
    leg = found(loaded.build, "leg")
    long = "A stool for the workshop, with splayed legs and a seat of three boards: the leg at the left of the front"
    for title in ("Kitchen stool: Leg", long):
        pages = [each.page for each in (*sheets(leg, title, "A4", "mm"), large_sheet(leg, title, "mm"))]
        said = [" ".join(words.text for words in page.words) for page in pages]
        assert all(
            title in each and "top face up, near edge toward you; its bottom face is dashed" in each for each in said
        )
        assert not any("…" in each for each in said)
        assert [[words.text for words in page.words if words.text in "AB"] for page in pages] == [
            ["A"],
            ["B"],
            ["A", "B"],
        ]
        for page in pages:
            for words in (each for each in page.words if each.x == MARGIN):  # the square is 44 mm from the right
                assert words.x + setting.width(words.text, "regular", 100) / 100 * words.size < page.width - MARGIN - 44
    (seat, *_) = sheets(found(loaded.build, "seat-edge"), "it", "A4", "mm")
    assert "The panel's front is down." in [words.text for words in seat.page.words]
