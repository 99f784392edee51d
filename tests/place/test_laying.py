"""The order in which a glue-up is laid down, against the sample files: every part but the first touches one that is
there already."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tracker.cli.main import commands

SAMPLES = Path(__file__).parents[2] / "sample_projects"


def order(sample: str, assembly: str) -> list[dict[str, Any]]:
    run = CliRunner().invoke(commands, ["picture", str(SAMPLES / f"{sample}.toml"), assembly, "--order", "--json"])
    assert run.exit_code == 0, run.output
    found: list[dict[str, Any]] = json.loads(run.stdout)
    return found


def keys(found: list[dict[str, Any]]) -> list[tuple[str, int]]:
    return [(each["id"], each["number"]) for each in found]


def test_boards_of_a_seat_lie_front_to_back_top_up_in_the_order_of_their_run() -> None:
    found = order("stool", "seat")
    assert keys(found) == [("seat-board", 1), ("seat-board", 2), ("seat-board", 3)]
    assert {(each["up"], each["toward"], each["way"]) for each in found} == {("top", "A", "left")}
    assert [each["touches"] for each in found[1:]] == [
        [{"own": "near", "of": ["seat-board", 1], "theirs": "far", "across_the_seam": True}],
        [{"own": "near", "of": ["seat-board", 2], "theirs": "far", "across_the_seam": True}],
    ]
    assert all("keep to the numbers: the grain matches" in each["words"] for each in found)


def test_a_ring_is_laid_in_two_halves() -> None:
    """Six sides, each end A against the end B before it, the far edge up and the top face out (the ring's joint)."""
    found = order("planter", "ring")
    assert [(each["number"], each["row"]) for each in found] == [(1, 1), (2, 1), (3, 1), (4, 2), (5, 2), (6, 2)]
    assert {(each["up"], each["toward"], each["way"]) for each in found} == {("far", "top", "outward")}
    for at, each in enumerate(found[1:], start=1):
        assert {"own": "A", "of": ["side", at], "theirs": "B", "across_the_seam": at == 3} in each["touches"]
    assert {"own": "B", "of": ["side", 1], "theirs": "A", "across_the_seam": True} in found[5]["touches"]


def test_a_field_of_chevrons_lies_in_two_rows_matched_across_the_spine() -> None:
    """The file places six pairs of each strip, the second of a pair the mirror image of the first about the spine."""
    found = order("hall_bench", "field")
    assert keys(found)[0] == ("ground", 1)
    rows = {row: [each for each in found[1:] if each["row"] == row] for row in (1, 2)}
    assert [len(row) for row in rows.values()] == [12, 12]
    assert {each["layer"] for each in found[1:]} == {2}
    for row in rows.values():
        assert keys(row) == sorted(keys(row))
    left = {key: key[1] for key in keys(rows[1])}
    for each in rows[2][1:]:  # the outermost strip is sawn off short of the spine
        (seam,) = [touch for touch in each["touches"] if touch["across_the_seam"]]
        assert (seam["own"], seam["theirs"]) == ("A", "A")
        assert seam["of"] == [each["id"], each["number"] - 6]
        assert left[each["id"], each["number"] - 6]


def test_an_end_frame_goes_from_leg_to_leg() -> None:
    found = order("hall_bench", "end-frame")
    assert [key[0] for key in keys(found)] == ["leg", "low-rail", "short-apron", "leg"]
    assert {touch["own"] for touch in found[1]["touches"]} == {"B"}
    assert {tuple(touch["of"]) for touch in found[3]["touches"]} == {("short-apron", 1), ("low-rail", 1)}
    assert "either does, they are alike" in found[0]["words"]


@pytest.mark.parametrize(
    ("sample", "assembly"),
    [("hall_bench", "base"), ("hall_bench", "bench"), ("hall_bench", "top"), ("stool", "base"), ("stool", "stool")],
)
def test_every_part_but_the_first_comes_against_what_is_there(sample: str, assembly: str) -> None:
    found = order(sample, assembly)
    there = [*keys(found)]
    assert len(set(there)) == len(there)
    assert all(each["touches"] for each in found[1:])


def test_the_terminal_says_rows_and_words() -> None:
    run = CliRunner().invoke(commands, ["picture", str(SAMPLES / "hall_bench.toml"), "field", "--order"])
    lines = run.stdout.splitlines()
    assert lines[0] == "In 2 layers, from the bottom up, in 2 rows, from front to back, each from left to right."
    assert "Layer 2 of 2, back row:" in lines
    (line,) = [line for line in lines if "Strip A 8:" in line]
    assert "top face up" in line
    assert "its end A to end A of Strip A 2 across the seam" in line
