"""`kerfcard scan`: reads pictures, prints codes and their items."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from tracker.cli.main import commands
from tracker.design.load import load_build
from tracker.paper.qr import symbol_image
from tracker.work.run import Run, start_run

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"
STOOL = SAMPLES / "stool.toml"


@pytest.fixture(scope="module")
def run() -> Run:
    build = load_build(STOOL.read_bytes()).build
    assert build is not None
    return start_run(build)


def kerfcard(*words: str | Path) -> Result:
    return CliRunner().invoke(commands, [str(word) for word in words])


def report(*words: str | Path) -> Any:
    result = kerfcard(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def picture(path: Path, code: str, hidden: float = 0.0, seed: int = 1) -> Path:
    """A label of 5 pixels a module; `hidden` is the fraction of its modules covered by chips, which spare the three
    corner marks."""
    label = np.full((300, 400), 235, np.uint8)
    symbol = np.asarray(symbol_image(code, 5).convert("L"))
    label[60 : 60 + symbol.shape[0], 100 : 100 + symbol.shape[1]] = symbol
    chance = np.random.default_rng(seed)
    left, top = 100 + 4 * 5, 60 + 4 * 5  # the quiet zone is four modules wide
    for row in range(21):
        for column in range(21):
            mark = (row < 9 or row > 11) and (column < 9 or column > 11) and (row < 9 or column < 9)
            if not mark and chance.random() < hidden:
                label[top + 5 * row : top + 5 * row + 5, left + 5 * column : left + 5 * column + 5] = 130
    Image.fromarray(cv2.GaussianBlur(label, (0, 0), 0.8)).save(path)
    return path


def test_a_live_list_says_which_piece_it_is(run: Run, tmp_path: Path) -> None:
    clean = picture(tmp_path / "leg.png", run.codes["leg:2"])
    plain = report("scan", clean)
    (code,) = plain[0]["codes"]
    assert (code["code"], code["valid"]) == (run.codes["leg:2"], True)
    assert set(code) == {"code", "corners", "valid"}
    (code,) = report("scan", clean, "--live", STOOL)[0]["codes"]
    assert code["item"] == {"key": "leg:2", "title": run.items["leg:2"].title}
    assert run.items["leg:2"].title in kerfcard("scan", clean, "--live", STOOL).stdout


def test_a_code_of_another_build_is_given_without_an_item(run: Run, tmp_path: Path) -> None:
    clean = picture(tmp_path / "leg.png", run.codes["leg:2"])
    (code,) = report("scan", clean, "--live", SAMPLES / "planter.toml")[0]["codes"]
    assert code["code"] == run.codes["leg:2"]
    assert "item" not in code


def test_the_dirtier_the_label_the_less_is_said_and_never_a_wrong_card(run: Run, tmp_path: Path) -> None:
    code = run.codes["leg:3"]
    seen: dict[str, int] = {"read": 0, "can't tell": 0, "nothing": 0}
    for step, hidden in enumerate(np.linspace(0.3, 1.0, 24)):
        dirty = picture(tmp_path / f"{step}.png", code, hidden, seed=step)
        (entry,) = report("scan", dirty, "--live", STOOL)
        texts = {each["code"] for each in entry["codes"] if each["valid"]}
        assert texts <= {code}
        seen["read" if texts else "can't tell" if "maybe" in entry else "nothing"] += 1
        if "maybe" in entry:
            assert len(entry["maybe"]) == 2
            assert all("item" in each for each in entry["maybe"])
            assert "can't tell; perhaps" in kerfcard("scan", dirty, "--live", STOOL).stdout
    assert seen["read"] >= 12
    assert seen["can't tell"] >= 1


def test_a_live_file_that_is_no_build_is_said(tmp_path: Path, run: Run) -> None:
    clean = picture(tmp_path / "leg.png", run.codes["leg:1"])
    (tmp_path / "broken.toml").write_text("name = ")
    result = kerfcard("scan", clean, "--live", tmp_path / "broken.toml")
    assert result.exit_code == 1
    assert "broken.toml:" in result.stderr
    assert kerfcard("scan", clean, "--live", tmp_path / "none.toml").exit_code == 1
