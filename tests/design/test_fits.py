"""Mates: sizes agree within the play, or follow from the mate; a mismatch is reported with both lines."""

from __future__ import annotations

import pytest
from kit.build_text import one_wood

from tracker.design import load_build
from tracker.measure import millimetres

FILE = (
    one_wood("Frame", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "stile"
name = "Stile"
wood = "oak"
length = 700
features = [
  { kind = "mortise", on = "near", from = { A = 10 }, length = 40, width = 8, depth = 32, count = 2, spacing = 100 },
  { kind = "groove", on = "far", width = 6, depth = 9 },
]
[[parts]]
id = "rail"
name = "Rail"
wood = "oak"
length = 400
features = [
  { kind = "tenon", on = "A", ROW },
]
"""
)


def told(row: str) -> list[str]:
    problems = load_build(FILE.replace("ROW", row)).problems
    return [f"{each.line}: {each.what}" for each in problems if each.kind == "problem"]


def tenon(row: str) -> tuple[float | None, ...]:
    build = load_build(FILE.replace("ROW", row)).build
    assert build is not None, told(row)
    made = build.part("rail").features[0]
    return tuple(None if size is None else float(size) for size in (made.length, made.width, made.thickness))


def test_what_is_left_out_follows() -> None:
    assert tenon('fits = "stile.mortise 2"') == (32.0, 40.0, 8.0)
    assert tenon('fits = "stile.mortise 1", play = 0.2, length = 30') == (30.0, 39.8, 7.8)
    assert tenon('fits = "stile.groove 1", width = 60') == (9.0, 60.0, 6.0)


def test_what_is_written_agrees_within_the_play() -> None:
    assert tenon('fits = "stile.mortise 1", length = 30, width = 40, thickness = 8') == (30.0, 40.0, 8.0)
    assert tenon('fits = "stile.mortise 1", play = 0.3, length = 30, width = 39.7, thickness = 8') == (30.0, 39.7, 8.0)
    assert millimetres(8) == millimetres(8.0)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ('fits = "stile.mortise 1", thickness = 8.5',
         "24: Rail: tenon: its thickness is 0.5 mm more than the width of the mortise on line 15"),
        ('fits = "stile.mortise 1", width = 38, play = 1',
         "24: Rail: tenon: its width is 2 mm less than the length of the mortise on line 15"),
        ('fits = "stile.mortise 1", length = 33', "24: Rail: tenon is longer than the mortise on line 15 is deep"),
        ('fits = "stile.mortise 3"', "24: Rail: tenon: fits: there is no stile.mortise 3"),
        ('fits = "style.mortise 1"', "24: Rail: tenon: fits: no part is called 'style'"),
        ('fits = "the mortise"', "24: Rail: tenon: fits: 'the mortise' names no feature"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_with_both_lines(row: str, problem: str) -> None:
    assert told(row)[:1] == [problem]


MATES = (
    one_wood("Mates", "mm", "oak", "white oak", "thickness = 22", "width = 60", 'lengths = ["3 m"]')
    + """\
[[parts]]
id = "stile"
name = "Stile"
wood = "oak"
length = 700
features = [
  { kind = "mortise", on = "near", from = { A = 10 }, length = 40, width = 8, depth = 32, lean = { LEAN } },
  { kind = "groove", on = "far", width = 6, depth = 9 },
  { kind = "mortise", on = "near", from = { A = 210 }, length = 40, width = 8, through = true },
  { kind = "dado", on = "top", from = { A = 400 }, width = 9, depth = 7 },
  { kind = "bore", on = "top", from = { A = 500, near = 30 }, diameter = 10, depth = 12 },
  { kind = "dowel", on = "top", from = { A = 550, near = 30 }, diameter = 8, depth = 12 },
]
[[parts]]
id = "rail"
name = "Rail"
wood = "oak"
length = 400
features = [
  { kind = ROW },
]
"""
)
TENON = '"tenon", on = "A", fits = "stile.'


def mated(row: str, lean: str = "A = 0") -> list[str] | dict[str, float]:
    """What is wrong, with the hints; otherwise the sizes of the feature."""
    loaded = load_build(MATES.replace("ROW", row).replace("LEAN", lean))
    problems = [f"{each.what} | {each.hint}".rstrip(" |") for each in loaded.problems if each.kind == "problem"]
    if loaded.build is None or problems:
        return problems
    (made,) = loaded.build.part("rail").features
    sizes = {name: getattr(made, name) for name in ("length", "width", "thickness", "diameter")}
    return {name: float(size) for name, size in sizes.items() if size is not None}


@pytest.mark.parametrize(
    ("row", "found"),
    [
        (f'{TENON}mortise 1"', {"length": 32, "width": 40, "thickness": 8}),
        (f'{TENON}mortise 1", play = 7.9', {"length": 32, "width": 32.1, "thickness": 0.1}),
        (f'{TENON}mortise 1", play = 8', ["Rail: tenon: its play leaves nothing of the mortise's width"]),
        (f'{TENON}mortise 1", play = 40', [
            "Rail: tenon: its play leaves nothing of the mortise's length",
            "Rail: tenon: its play leaves nothing of the mortise's width",
        ]),
        (f'{TENON}mortise 1", thickness = 7.5, play = 0.5', {"length": 32, "width": 39.5, "thickness": 7.5}),
        (f'{TENON}mortise 1", thickness = 7.49, play = 0.5', [
            "Rail: tenon: its thickness is 0.51 mm less than the width of the mortise on line 15"
            " | leave it out, and it follows; or say how much play there is",
        ]),
        (f'{TENON}mortise 1", thickness = 8.01', [
            "Rail: tenon: its thickness is 0.01 mm more than the width of the mortise on line 15"
            " | leave it out, and it follows; or say how much play there is",
        ]),
        (f'{TENON}mortise 1", length = 32', {"length": 32, "width": 40, "thickness": 8}),
        (f'{TENON}mortise 1", length = 32.5', [
            "Rail: tenon is longer than the mortise on line 15 is deep | by 0.5 mm",
        ]),
        (f'{TENON}mortise 2"', ["Rail: tenon: its length is missing | it goes through: the length doesn't follow"]),
        (f'{TENON}mortise 2", length = 90', {"length": 90, "width": 40, "thickness": 8}),
        (f'{TENON}mortise 3"', ["Rail: tenon: fits: there is no stile.mortise 3 | Stile has 2 of them"]),
        (f'{TENON}slot 1"', ["Rail: tenon: fits: there is no stile.slot 1 | Stile has no slot"]),
        (f'{TENON}groove 1", width = 60', {"length": 9, "width": 60, "thickness": 6}),
        (f'{TENON}dado 1", width = 60', {"length": 7, "width": 60, "thickness": 9}),
        (f'{TENON}bore 1", width = 9, thickness = 9, length = 9', [
            "Rail: tenon can't fit a bore (line 19) | it fits a mortise, a groove, a dado",
        ]),
        ('"dowel", on = "A", depth = 20, fits = "stile.bore 1"', {"diameter": 10}),
        ('"dowel", on = "A", depth = 20, fits = "stile.dowel 1", play = 0.1', {"diameter": 7.9}),
        ('"bolt", on = "top", from = { A = 50 }, through = true, fits = "stile.bore 1"', {"diameter": 10}),
        ('"bolt", on = "top", from = { A = 50 }, through = true, fits = "stile.dowel 1", diameter = 8', [
            "Rail: bolt can't fit a dowel (line 20) | it fits a bore",
        ]),
        ('"bore", on = "top", from = { A = 50 }, through = true, fits = "stile.bore 1", diameter = 8', [
            "Rail: bore can't fit a bore (line 19) | tenons, dowels and bolts fit something",
        ]),
    ],
)  # fmt: skip
def test_a_feature_and_its_mate_at_each_limit(row: str, found: list[str] | dict[str, float]) -> None:
    assert mated(row) == found


@pytest.mark.parametrize(
    ("lean", "width", "thickness"),
    [("A = 60", 20, 8), ("B = 60", 20, 8), ("top = 60", 40, 4), ("bottom = 60", 40, 4)],
)
def test_a_mortise_that_leans_is_narrower_square_to_the_way_in(lean: str, width: float, thickness: float) -> None:
    """cos 60° is a half, of its length if it leans along it, otherwise of its width."""
    assert mated(f'{TENON}mortise 1", length = 20', lean) == {
        "length": 20, "width": pytest.approx(width), "thickness": pytest.approx(thickness),
    }  # fmt: skip
