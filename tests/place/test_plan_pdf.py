"""The plan on paper: every assembly as a line drawing, read back by an independent PDF reader (pypdfium2)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from kit.build_text import one_wood

from tracker.cli.main import commands

SAMPLES = Path(__file__).parents[2] / "sample_projects"
POINTS = 72 / 25.4


def plan(folder: Path, sample: str, *more: str) -> pypdfium2.PdfDocument:
    file = folder / "plan.pdf"
    run = CliRunner().invoke(commands, ["picture", str(SAMPLES / f"{sample}.toml"), *more, "-o", str(file)])
    assert run.exit_code == 0, run.output
    return pypdfium2.PdfDocument(file)


@pytest.mark.parametrize(
    ("sample", "assemblies", "paper"),
    [("planter", 2, (215.9, 279.4)), ("stool", 4, (210, 297)), ("hall_bench", 5, (215.9, 279.4))],
)
def test_a_page_for_each_assembly_the_whole_first(
    sample: str, assemblies: int, paper: tuple[float, float], tmp_path: Path
) -> None:
    pages = plan(tmp_path, sample)
    assert len(pages) >= assemblies
    for page in pages:
        assert page.get_size() == pytest.approx((paper[0] * POINTS, paper[1] * POINTS), abs=0.1)
    said = [page.get_textpage().get_text_range() for page in pages]
    assert sum("over all" in each for each in said) == assemblies
    assert '16" × 17 1/2" over all, 45 pieces' in said[0] if sample == "hall_bench" else "over all" in said[0]


def test_lines_are_on_the_page_and_words_keep_within_it(tmp_path: Path) -> None:
    pages = plan(tmp_path, "hall_bench", "field")
    assert "across the seam" in "".join(page.get_textpage().get_text_range() for page in pages)
    for page in pages:
        grey = np.array(page.render(scale=2).to_pil().convert("L"))
        margin = round(10 * POINTS * 2)
        inner = grey[margin:-margin, margin:-margin]
        assert (inner < 100).sum() > 1_000
        assert grey[:, :margin].min() == grey[:, -margin:].min() == grey[:margin].min() == 255


def test_one_piece_is_grey(tmp_path: Path) -> None:
    def greys(*more: str) -> int:
        page = plan(tmp_path, "stool", "frame", *more)[0]
        grey = np.array(page.render(scale=1).to_pil().convert("L"))
        return int(((grey > 175) & (grey < 190)).sum())

    assert greys("--mark", "leg:2") > greys() + 500


# What is cut into the parts


def words_of(page: pypdfium2.PdfPage) -> str:
    return str(page.get_textpage().get_text_range())


def test_the_sides_that_are_worked_are_drawn_with_the_numbers_to_mark_out(tmp_path: Path) -> None:
    """Computed by hand from the file: the leg's mortise is (6 + 1.75) / cos 12° - 1.25 = 6.673 in from end B."""
    pages = plan(tmp_path, "trestle_table")
    leg = next(page for page in pages if "Leg, 4 of them" in words_of(page))
    said = words_of(leg)
    assert said.count('6 11/16"') == 2  # at its arrow, and in words
    assert "Cut the mortises, far edge up:" in said
    assert "leaning 12° toward end B" in " ".join(said.split())
    grey = np.array(leg.render(scale=2).to_pil().convert("L"))
    margin = round(10 * POINTS * 2)
    assert grey[:, :margin].min() == grey[:, -margin:].min() == grey[:margin].min() == grey[-margin:].min() == 255


RAIL = (
    one_wood("Rail", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "rail"
wood = "oak"
length = 400
features = [
"""
)


def page_of(features: str, folder: Path) -> pypdfium2.PdfPage:
    """The only page of a part without a place: 400 × 60 × 22 mm."""
    file, out = folder / "rail.toml", folder / "out.pdf"
    file.write_text(RAIL + features + "\n]\n", "utf-8")
    run = CliRunner().invoke(commands, ["picture", str(file), "-o", str(out)])
    assert run.exit_code == 0, run.output
    (page,) = pypdfium2.PdfDocument(out)
    return page


def test_the_drawing_of_a_side_is_to_scale(tmp_path: Path) -> None:
    """Two notches 38 long, 30 from the ends of a piece 400 long and 22 thick, found as grey in the picture."""
    rows = [f'{{ kind = "notch", on = "near", from = {{ {end} = 30 }}, length = 38, depth = 20 }},' for end in "AB"]
    dots = np.array(page_of("\n".join(rows), tmp_path).render(scale=6).to_pil().convert("L"))
    grey = (dots > 200) & (dots < 220)  # 0.82 of white
    waste = np.logical_and.reduce([np.roll(grey, step, axis) for step in (-4, 0, 4) for axis in (0, 1)])  # no letters
    across, up = np.flatnonzero(waste.any(axis=0)), np.flatnonzero(waste.any(axis=1))
    gap = int(np.argmax(np.diff(across)))
    first, last = across[gap] - across[0], across[-1] - across[gap + 1]
    assert first == pytest.approx(last, abs=2)
    assert (first + 8) / (up[-1] - up[0] + 8) == pytest.approx(38 / 22, rel=0.04)  # what the letters' filter took


def test_a_makers_own_picture_is_beside_the_words_of_its_step(tmp_path: Path) -> None:
    page = next(page for page in plan(tmp_path, "trestle_table") if "Boring wedge" in words_of(page))
    (image,) = (each for each in page.get_objects() if each.type == pypdfium2.raw.FPDF_PAGEOBJ_IMAGE)
    left, bottom, right, top = image.get_bounds()
    assert (right - left) / (top - bottom) == pytest.approx(1200 / 760, rel=1e-3)  # as it was drawn
    assert right - left <= 110 * POINTS + 1


def test_a_picture_that_is_gone_is_said_in_its_place(tmp_path: Path) -> None:
    file = tmp_path / "table.toml"
    file.write_text((SAMPLES / "trestle_table.toml").read_text("utf-8"), "utf-8")
    out = tmp_path / "out.pdf"
    run = CliRunner().invoke(commands, ["picture", str(file), "-o", str(out)])
    assert run.exit_code == 0, run.output
    said = "".join(words_of(page) for page in pypdfium2.PdfDocument(out))
    assert "trestle_wedge.png: " in said


def test_parts_without_places_have_their_pages(tmp_path: Path) -> None:
    page = page_of('{ kind = "groove", on = "near", width = 8, depth = 9, stop = { A = 45 } }', tmp_path)
    assert words_of(page).count("45 mm") == 2  # where the cut stops: at its arrow, and in words
