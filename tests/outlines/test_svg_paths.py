"""The path data of drawings, against svgelements."""

from __future__ import annotations

import random
from itertools import pairwise
from math import cos, pi, sin

import numpy as np
import pytest
import svgelements
from shapely.geometry import LineString, Point

from tracker.plan.outline.curve import (
    flat,
)
from tracker.plan.outline.errors import OutlineError
from tracker.plan.outline.svg_path import MOST_NUMBERS, elliptic, svg_loops


def random_path(rng: random.Random) -> str:
    """Path data with every command, absolute and relative, written as tightly as the grammar allows now and then."""
    words = [f"M{rng.randint(0, 50)},{rng.randint(0, 50)}"]
    before = "M"
    for _ in range(rng.randint(3, 9)):
        # svgelements mirrors the handle of the other kind of curve, too; SVG 1.1 (8.3.6, 8.3.7) has none there
        letter = rng.choice(
            [each for each in "LlHhVvCcSsQqTtAa" if (each in "Ss", before in "QT") != (True, True)
             and (each in "Tt", before in "CS") != (True, True)]
        )  # fmt: skip
        before = letter.upper()
        n = [rng.randint(-60, 60) for _ in range(6)]
        words.append(
            {
                "L": f"{n[0]} {n[1]}", "H": f"{n[0]}", "V": f"{n[0]}", "C": " ".join(map(str, n)),
                "S": f"{n[0]},{n[1]} {n[2]},{n[3]}", "Q": f"{n[0]}-7 {n[2]}.5.25", "T": f"{n[0]} {n[1]}",
                "A": f"{abs(n[0]) + 5} {abs(n[1]) + 5} {n[2]} {rng.randint(0, 1)}{rng.randint(0, 1)}{n[4]} {n[5]}",
            }[letter.upper()].join((letter, ""))
        )  # fmt: skip
    return " ".join(words) + rng.choice("zZ")


@pytest.mark.parametrize("seed", range(60))
def test_a_path_goes_where_svgelements_goes(seed: int) -> None:
    d = random_path(random.Random(seed))
    (loop,) = svg_loops(d)
    theirs = [
        segment.point(t)
        for segment in svgelements.Path(d)
        if not isinstance(segment, svgelements.Move)
        for t in np.linspace(0, 1, 60)
    ]
    ours = LineString([*flat(loop, 0.002), loop[0].start])
    assert max(ours.distance(Point(each.x, each.y)) for each in theirs) < 0.02
    line = LineString([(each.x, each.y) for each in theirs])
    assert max(line.distance(Point(each)) for each in flat(loop, 1.0)) < 0.6


@pytest.mark.parametrize(
    ("d", "plain"),
    [
        ("M0 0Q10 20 30 0S50 9 60 0z", "M0 0Q10 20 30 0C30 0 50 9 60 0z"),
        ("M0 0C5 9 20 20 30 0T60 0z", "M0 0C5 9 20 20 30 0Q30 0 60 0z"),
        ("M0 0H30S50 9 60 0z", "M0 0H30C30 0 50 9 60 0z"),
        ("M0 0C5 9 20 20 30 0S50 9 60 0z", "M0 0C5 9 20 20 30 0C40 -20 50 9 60 0z"),
        ("M0 0Q10 20 30 0T60 0z", "M0 0Q10 20 30 0Q50 -20 60 0z"),
        ("M0 0A0 9 30 0 1 60 0V9z", "M0 0H60V9z"),  # an arc without a radius is a line (F.6.2)
        ("M0 0A9 0 30 0 1 60 0V9z", "M0 0H60V9z"),
        ("M0 0H60A9 9 0 1 1 60 0V9z", "M0 0H60V9z"),  # and one that ends where it begins is left out
        ("M0 0H60V0V9z", "M0 0H60V9z"),
        ("M0 0H1e7V9z", "M0 0L10000000 0V9z"),
    ],
)
def test_two_ways_to_write_a_path(d: str, plain: str) -> None:
    """A handle is mirrored only from a curve of its own kind; else it is the current point (SVG 1.1, 8.3.6, 8.3.7)."""
    (one,), (two,) = svg_loops(d), svg_loops(plain)
    assert [each.at(t) for each in one for t in (0.2, 0.7)] == [
        pytest.approx(each.at(t)) for each in two for t in (0.2, 0.7)
    ]


@pytest.mark.parametrize(
    ("d", "loops"),
    [
        ("M0 0H9V9z", 1), ("M0 0 9 0 9 9z", 1), ("m0 0 9 0 0 9z", 1), ("M0 0H9V9zM20 0h9v9z", 2),
        ("M0 0H9V9zh-9v-9z", 2), ("M0 0z", 0),
    ],
)  # fmt: skip
def test_each_closed_part_is_a_loop(d: str, loops: int) -> None:
    assert len(svg_loops(d)) == loops


@pytest.mark.parametrize(
    "d", ["L9 9z", "M0 0H9V9", "M0 0H", "M0 0 5", "M0 0H9z5", "M0 0H1e8z", "M0 0Hx", "M0 0H9V9M5 5z"]
)
def test_what_is_no_closed_path_is_refused(d: str) -> None:
    with pytest.raises(OutlineError):
        svg_loops(d)


def test_an_open_path_whose_ends_meet_is_closed_where_that_is_asked() -> None:
    square = "M1 1H9V9H1V1.0000005"
    assert len(svg_loops(square, closing=True)) == 1
    assert svg_loops("M1 1H9V9H1V1.1", closing=True) == ()
    assert svg_loops("M0 0H9V9H0V.0000009", closing=True) != ()
    with pytest.raises(OutlineError):
        svg_loops(square)


def test_a_path_has_room_for_so_many_numbers_and_commands_and_no_more() -> None:
    """`M x y` counts three, each `H x` two, `z` one."""
    steps = "".join(f"H{1 + at % 2}" for at in range((MOST_NUMBERS - 4) // 2))
    assert len(svg_loops(f"M0 0{steps}z")) == 1
    with pytest.raises(OutlineError, match="too many points"):
        svg_loops(f"M0 0{steps}H5z")


@pytest.mark.parametrize(
    ("eighths", "curves"), [(0.01, 1), (0.9, 1), (1.0, 1), (1.01, 2), (4.0, 4), (-1.0, 1), (-2.5, 3)]
)
def test_an_elliptical_arc_is_a_curve_for_each_begun_sixteenth_of_a_turn(eighths: float, curves: int) -> None:
    """Each curve joins the one before, and is on the ellipse x² / 9 + y² / 4 = 1."""
    made = elliptic(lambda u, v: (3 * u, 2 * v), 0.3, eighths * pi / 8)
    assert len(made) == curves
    ends = [(3 * cos(angle), 2 * sin(angle)) for angle in (0.3, 0.3 + eighths * pi / 8)]
    assert (made[0].start, made[-1].end) == (pytest.approx(ends[0]), pytest.approx(ends[1]))
    for one, two in pairwise(made):
        assert one.end == two.start
    for x, y in (each.at(t) for each in made for t in (0.0, 0.25, 0.5, 0.75, 1.0)):
        assert x * x / 9 + y * y / 4 == pytest.approx(1, abs=3e-7)
