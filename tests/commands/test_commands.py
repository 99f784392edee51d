"""The commands as used by a person at a desk or by another program."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tracker.cli.main import COMMANDS, commands

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"
NAMES = ("planter", "stool", "hall_bench")


def kerfcard(*words: str | Path) -> Result:
    return CliRunner().invoke(commands, [str(word) for word in words])


def report(*words: str | Path) -> Any:
    result = kerfcard(*words, "--json")
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    return json.loads(result.stdout)


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_good(name: str) -> None:
    result = kerfcard("check", SAMPLES / f"{name}.toml")
    assert result.exit_code == 0, result.output
    assert "good" in result.stdout
    assert result.stderr == ""


def test_every_problem_goes_to_standard_error_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "wrong.toml"
    text = (SAMPLES / "planter.toml").read_text()
    file.write_text(text.replace("clamps = 3 ", "clmps = 3 ").replace('by = "screws"', 'by = "nails"'))
    lines = file.read_text().splitlines()
    result = kerfcard("check", file)
    assert result.exit_code == 1
    assert result.stdout == ""
    where = [int(line.split(":")[1]) for line in result.stderr.splitlines()]
    assert [lines[number - 1].split(" =")[0].strip() for number in where] == ["clmps", "by"]
    assert "clamps" in result.stderr


@pytest.mark.parametrize("command", ["check", "cards", "setups", "boards"])
@pytest.mark.parametrize("content", [None, b"", b"\x00\xff", b"[build", b"[build]\nname = 1\n"])
def test_no_file_makes_a_traceback(tmp_path: Path, command: str, content: bytes | None) -> None:
    file = tmp_path / "file.toml"
    if content is not None:
        file.write_bytes(content)
    result = kerfcard(command, file)
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    assert result.stderr.startswith(f"{file}:")


def test_help_names_every_command_and_loads_none() -> None:
    program = "import sys; from tracker.cli.main import COMMANDS, commands; commands(['--help'], standalone_mode=False)"
    program += "; print([name for name in sys.modules if name.startswith('tracker.') and 'cli' not in name])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.endswith("[]\n")
    assert all(f"\n  {name} " in done.stdout for name in COMMANDS)
    for name in COMMANDS:
        result = CliRunner().invoke(commands, [name, "--help"])
        assert result.exit_code == 0
        assert f" {name} " in result.stdout


def test_a_wrong_command_line_is_exit_2() -> None:
    assert kerfcard("cards").exit_code == 2
    assert kerfcard("saw").exit_code == 2
    assert kerfcard("labels", SAMPLES / "stool.toml").exit_code == 2


@pytest.mark.parametrize("name", NAMES)
def test_cards_hold_what_the_contract_says(name: str) -> None:
    cards = report("cards", SAMPLES / f"{name}.toml")
    assert set(cards) >= {"build", "pieces", "assemblies"}
    for piece in cards["pieces"]:
        assert set(piece) >= {
            "part", "piece", "of", "name", "hand", "length_mm", "length", "left_over", "width_mm", "thickness_mm",
            "blank", "ends", "edges_mm", "route",
        }  # fmt: skip
        assert set(piece["edges_mm"]) == {"near_top", "far_top", "near_bottom", "far_bottom", "middle", "overall"}
        assert piece["blank"]["length_mm"] >= piece["edges_mm"]["overall"] - 1e-6
        for end in ("A", "B"):
            assert set(piece["ends"][end]) == {"miter_deg", "bevel_deg", "long", "long_face", "saw"}
            assert set(piece["ends"][end]["saw"]) >= {"miter_deg", "bevel_deg", "note"}


@pytest.mark.parametrize("name", NAMES)
def test_boards_hold_every_piece_once(name: str) -> None:
    boards = report("boards", SAMPLES / f"{name}.toml")
    cut = [(p["part"], p["piece"]) for wood in boards["woods"] for board in wood["boards"] for p in board["pieces"]]
    cards = report("cards", SAMPLES / f"{name}.toml")
    assert sorted(cut) == sorted((piece["part"], piece["piece"]) for piece in cards["pieces"])
    for wood in boards["woods"]:
        assert set(wood) >= {"wood", "boards", "cost", "bought_mm", "waste_mm", "bound", "proved"}
        assert wood["proved"]


@pytest.mark.parametrize("name", NAMES)
def test_setups_make_every_trim_after_its_blank(name: str) -> None:
    setups = report("setups", SAMPLES / f"{name}.toml")
    done: set[tuple[str, int]] = set()
    for setup in setups["setups"]:
        for cut in setup["cuts"]:
            piece = (cut["part"], cut["piece"])
            if cut["operation"] == "cut":
                done.add(piece)
            else:
                assert piece in done
    assert setups["resets"]["saw"] <= setups["piece_by_piece"]["saw"]


def test_labels_print_and_scan_back(tmp_path: Path) -> None:
    import pypdfium2

    pdf = tmp_path / "labels.pdf"
    result = kerfcard("labels", SAMPLES / "planter.toml", "-o", pdf)
    assert result.exit_code == 0, result.output
    pictures = []
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        pictures.append(tmp_path / f"page{len(pictures)}.png")
        page.render(scale=200 / 72).to_pil().save(pictures[-1])
    document.close()
    cards = report("cards", SAMPLES / "planter.toml")
    printed = {each["code"] for each in (*cards["pieces"], *cards["assemblies"])}
    found = [code for picture in report("scan", *pictures) for code in picture["codes"]]
    assert {code["code"] for code in found} == printed
    assert all(code["valid"] and len(code["corners"]) == 4 for code in found)


def test_an_unknown_sheet_names_those_there_are(tmp_path: Path) -> None:
    result = kerfcard("labels", SAMPLES / "stool.toml", "-o", tmp_path / "x.pdf", "--sheet", "napkin")
    assert result.exit_code == 1
    assert "letter-2x7" in result.stderr
    assert not (tmp_path / "x.pdf").exists()


def test_a_picture_that_is_none_is_said_and_the_others_are_read(tmp_path: Path) -> None:
    (tmp_path / "x.png").write_bytes(b"not a picture")
    result = kerfcard("scan", tmp_path / "x.png", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout) == []
    assert "neither a PNG nor a JPEG" in result.stderr


WITHOUT_A_DISPLAY = """
import sys
from pathlib import Path
from tracker.screens import display
bare, no_cards = display.find_display, Path(sys.argv[1])
display.find_display = lambda *given: bare({}, no_cards)  # neither a desktop nor a graphics card
sys.argv = ["kerfcard"]
from tracker.cli.main import main
main()
"""


def test_without_a_display_the_app_says_so_in_one_sentence_and_names_the_tour(tmp_path: Path) -> None:
    """In a separate process, because the app would open in a process that already has a window."""
    chosen = ("KIVY", "KCFG", "SDL", "DISPLAY")
    clean = {name: value for name, value in os.environ.items() if not name.startswith(chosen)}
    clean["KERFCARD_HOME"] = str(tmp_path / "home")
    command = [sys.executable, "-c", WITHOUT_A_DISPLAY, str(tmp_path)]
    run = subprocess.run(command, env=clean, capture_output=True, text=True, timeout=120, check=False)
    assert run.returncode == 1
    assert "kerfcard tour" in run.stderr
    assert run.stdout == ""
    assert len(run.stderr.splitlines()) == 1


def test_a_place_that_keeps_no_record_is_said_in_one_sentence() -> None:
    """In a separate process, because it opens a window."""
    chosen_here = ("KIVY_", "KCFG_", "SDL_")  # by an earlier screen test in this process
    env = {name: value for name, value in os.environ.items() if not name.startswith(chosen_here)}
    env |= {"SDL_VIDEODRIVER": "offscreen", "KERFCARD_HOME": "/proc/no-such-place"}
    command = [sys.executable, "-m", "tracker"]
    result = subprocess.run(command, env=env, capture_output=True, text=True, timeout=120, check=False)
    assert result.returncode == 1
    assert "can't keep its record in /proc/no-such-place" in result.stderr
    assert len(result.stderr.splitlines()) == 1
