"""The plan on paper: every assembly as lines, read back by an independent reader of PDF (pypdfium2)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner

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
