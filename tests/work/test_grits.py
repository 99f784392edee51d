"""Sanding sequences: the ladder of grits and the rule are common practice, no source."""

from __future__ import annotations

from itertools import pairwise

import pytest
from work.one_tablet import BUILD

from tracker.design.load import load_build
from tracker.work.grits import grit_notes, skipped
from tracker.work.routes import check_routes
from tracker.work.run import start_run


@pytest.mark.parametrize(
    ("before", "after", "left_out"),
    [
        (120, 150, ()),
        (120, 180, (150,)),
        (80, 180, (100, 120, 150)),
        (180, 240, ()),
        (240, 400, (320,)),
        (100, 220, (120, 150, 180)),
    ],
)
def test_grits_that_are_left_out(before: int, after: int, left_out: tuple[int, ...]) -> None:
    assert skipped(before, after) == left_out


def notes_of(*route: str, came: int = 0) -> list[str]:
    return [note.what for note in grit_notes("Leg", route, 7, came)]


def test_one_grit_may_be_skipped_and_no_more() -> None:
    assert notes_of("cut", "sand 80", "sand 120", "sand 180") == []
    assert notes_of("cut", "sand 80", "sand 180") == ["Leg: 'sand 180' after 80 skips 100, 120 and 150"]


def test_sanding_goes_from_coarse_to_fine() -> None:
    assert notes_of("sand 180", "sand 120") == ["Leg: 'sand 120' comes after 180"]


def test_edges_may_be_finer_than_faces() -> None:
    assert notes_of("sand 120", "sand 180 edges", "sand 220 edges", "sand 150 faces") == []
    assert notes_of("sand 120", "sand 320 edges") == ["Leg: 'sand 320 edges' after 120 skips 150, 180 and 220"]


def test_after_the_glue_up_a_surface_is_sanded_anew() -> None:
    assert notes_of("dry fit", "glue", "sand 120", "sand 180", came=180) == []
    assert notes_of("dry fit", "attach", "sand 100", came=180) == []
    assert notes_of("dry fit", "sand 320", came=120) == ["Leg: 'sand 320' after 120 skips 150, 180 and 220"]


def test_a_build_file_says_the_surface_and_a_skip_is_a_note_at_its_line() -> None:
    text = BUILD.replace(
        "allowance = 20",
        'allowance = 20\nroute = ["cut", "trim", "sand 80", "sand 180 faces", "sand 120 edges", "Sand to P150 edges"]',
    )
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    steps = start_run(loaded.build).items["rail:1"].route
    assert [(step.grit, step.surface, step.task) for step in steps[3:]] == [
        (80, "", "Sand to 80"),
        (180, "faces", "Sand faces to 180"),
        (120, "edges", "Sand edges to 120"),
        (150, "edges", "Sand edges to 150"),
    ]
    found = check_routes(loaded.build)
    assert [(note.kind, note.what) for note in found] == [
        ("note", "Rail: 'sand 180 faces' after 80 skips 100, 120 and 150")
    ]
    assert text.splitlines()[found[0].line - 1].startswith("route")


def test_the_ladder_is_of_grits_that_are_made() -> None:
    """ISO 6344 (the P series of coated abrasives), from memory; the usual ones of them are common practice."""
    made = {24, 30, 36, 40, 50, 60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000}
    ladder = skipped(1, 9999)
    assert set(ladder) <= made
    assert len(ladder) == 11
    assert (ladder[0], ladder[-1]) == (40, 600)
    assert all(coarse < fine <= 1.5 * coarse for coarse, fine in pairwise(ladder)), "a step is never too large"
