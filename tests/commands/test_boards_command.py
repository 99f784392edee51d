"""`kerfcard boards` as used by a person at a desk or by another program."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from tracker.cli.main import commands

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


def kerfcard(*words: str | Path) -> Result:
    return CliRunner().invoke(commands, [str(word) for word in words])


def report(name: str) -> Any:
    result = kerfcard("boards", SAMPLES / f"{name}.toml", "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_the_text_says_cost_proof_waste_cuts_and_what_goes_to_the_rack() -> None:
    said = kerfcard("boards", SAMPLES / "planter.toml").stdout
    lines = [line.strip() for line in said.splitlines()]
    assert lines[0] == "Doorstep planter: 23.00 USD, lowest cost possible (proved)"
    assert lines[1].endswith("% waste (trim, kerfs, defects and offcuts)")
    assert "side board 1, 6', 17.40 USD" in lines
    assert any(line.startswith("24 % over the net wood; customary for softwood") for line in lines)
    assert lines.count('9 3/4"  Side 1') == 1
    assert '70 1/2"  offcut, to the rack as A1' in lines
    assert "slat (western redcedar 1x3): all from the rack" in lines


@pytest.mark.parametrize("name", ["planter", "stool", "hall_bench"])
def test_json_has_what_the_contract_asks_and_the_cuts_add_up(name: str) -> None:
    said = report(name)
    assert isinstance(said["standing"], str)
    for wood in said["woods"]:
        assert {"wood", "boards", "cost", "bought_mm", "waste_mm", "bound", "proved", "waste_percent"} <= set(wood)
        for board in wood["boards"]:
            assert board["from"] in ("dealer", "rack")
            pieces = {(p["part"], p["piece"]): p for p in board["pieces"]}
            cut_off = [cut for cut in board["cuts"] if cut["off"] == "piece"]
            assert [(c["part"], c["piece"]) for c in cut_off] == list(pieces)
            for cut in cut_off:
                piece = pieces[cut["part"], cut["piece"]]
                assert cut["place_mm"] == pytest.approx(piece["at_mm"] + piece["length_mm"], abs=1e-3)
                assert cut["at_mm"] == pytest.approx(piece["length_mm"], abs=1e-3), "from the fresh end"
    used = sum(b["length_mm"] for w in said["woods"] for b in w["boards"])
    waste = sum(w["waste_mm"] for w in said["woods"])
    assert said["waste_percent"] == pytest.approx(100 * waste / used, abs=0.06)


def test_offcuts_worth_keeping_have_names_of_their_own() -> None:
    offcuts = [o for w in report("hall_bench")["woods"] for b in w["boards"] for o in b["offcuts_mm"]]
    names = [offcut["name"] for offcut in offcuts if offcut["name"]]
    assert names
    assert len(set(names)) == len(names)
    assert all(offcut["length_mm"] >= 300 for offcut in offcuts if offcut["name"]), "a foot at least"


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_sheet_is_written_on_the_paper_that_is_asked_for(
    paper: str, size: tuple[float, float], tmp_path: Path
) -> None:
    pdf = tmp_path / "boards.pdf"
    result = kerfcard("boards", SAMPLES / "stool.toml", "-o", pdf, "--paper", paper)
    assert result.exit_code == 0, result.output
    assert "3 boards and the shopping list on" in result.stdout
    document = pypdfium2.PdfDocument(pdf)
    assert [side / 72 * 25.4 for side in document[0].get_size()] == pytest.approx(size, abs=0.1)
    document.close()


def test_a_sheet_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    result = kerfcard("boards", SAMPLES / "stool.toml", "-o", tmp_path / "nowhere" / "boards.pdf")
    assert result.exit_code == 1
    assert "No such file" in result.stderr
    assert "Traceback" not in result.stderr
