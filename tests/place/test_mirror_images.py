"""The mirror image of a piece: the other hand of its pair if the build has one, otherwise the piece itself, turned."""

from __future__ import annotations

import pytest

from tracker.design import load_build
from tracker.plan.place.shapes import Shapes

BUILD = """\
[build]
name = "Mirrored"
units = "mm"

[woods.oak]
species = "white oak"
thickness = 20
width = 60
lengths = [2400]

[[parts]]
id = "pair"
wood = "oak"
length = 400
left = {left}
right = {right}
end_b = {{ miter = 30 }}

[[parts]]
id = "plain"
wood = "oak"
length = 400
quantity = 1
"""


@pytest.mark.parametrize(("left", "right", "has_one"), [(1, 1, True), (2, 1, True), (1, 0, False), (2, 0, False)])
def test_a_hand_of_a_pair_is_mirrored_by_the_other_where_the_build_makes_it(
    left: int, right: int, has_one: bool
) -> None:
    build = load_build(BUILD.format(left=left, right=right)).build
    assert build is not None
    shapes = Shapes(build)
    found = shapes.mirror_image(shapes.of("pair", "left"))
    assert (found is not None) == has_one
    if found is not None:
        assert found[0].hand == "right"


def test_a_square_piece_is_its_own_mirror_image() -> None:
    build = load_build(BUILD.format(left=1, right=1)).build
    assert build is not None
    shapes = Shapes(build)
    plain = shapes.of("plain", None)
    found = shapes.mirror_image(plain)
    assert found is not None
    assert found[0] is plain
    _, pose = found
    for point in plain.points:  # every corner falls on a corner
        image = pose.of(point)
        assert any(max(abs(a - b) for a, b in zip(image, other, strict=True)) < 0.001 for other in plain.points)
