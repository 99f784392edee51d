"""The cut list as CSV: imported again it is the same, and no cell is executed by a spreadsheet."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner

from tracker.cards.reports.cut_list import RUNS, cut_list_csv
from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.intake.cut_list import read_cut_list
from tracker.plan.geometry import solid
from tracker.shop import read_build

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_list_read_in_again_has_the_same_sizes(sample: Path, tmp_path: Path) -> None:
    out = tmp_path / "list.csv"
    done = CliRunner().invoke(commands, ["export-list", str(sample), "-o", str(out)])
    assert done.exit_code == 0, done.output
    build = read_build(sample).build
    assert build is not None
    cuts = read_cut_list(out.read_bytes(), out.name)
    assert sum(row.quantity for row in cuts.rows) == sum(part.quantity for part in build.parts)
    sizes = {part.name: (solid(part, part.hand(1)).edges.overall, part.width, part.thickness) for part in build.parts}
    for row in cuts.rows:
        name = row.name.removesuffix(", left").removesuffix(", right")
        for size, length in zip(("length", "width", "thickness"), sizes[name], strict=True):
            assert float(row.sizes[size]) == pytest.approx(float(length), abs=2e-4)
    assert load_build(cuts.text()).build is not None


def test_no_cell_of_it_runs() -> None:
    text = (SAMPLES[-1]).read_text("utf-8")
    text = text.replace('name = "Leg"', 'name = "=HYPERLINK(1)"').replace('name = "Rail"', 'name = "@Rail"')
    text = text.replace('notes = "Rip to 70 first.', 'notes = "+1+1 first.')
    build = load_build(text).build
    assert build is not None
    cells = [cell for row in csv.reader(io.StringIO(cut_list_csv(build))) for cell in row]
    assert not [cell for cell in cells if cell.startswith(RUNS)]
    assert "'=HYPERLINK(1)" in cells
    assert "=HYPERLINK(1)" in cut_list_csv(build, as_written=True)
