"""Where each row of places puts its pieces, as boxes worked by hand; and every sentence about a place."""

from __future__ import annotations

from collections.abc import Iterable
from math import cos, radians, sin

import numpy as np
import pytest
from place.box_build import AT, HEAD, SIZE, build_of

from tracker.design import load_build
from tracker.plan.place import Placed, PlaceError, Placer, place_problems
from tracker.plan.place.bodies import bounds


def placed(
    place: str, joins: str = "post = 1", more: str = "", size: str = SIZE, of: str = "box"
) -> tuple[Placed, ...]:
    return Placer(build_of(place, joins, more, size)).placed(of)


def boxes(pieces: tuple[Placed, ...]) -> list[tuple[float, ...]]:
    """Left, front, bottom, right, back and top of every piece."""
    return [tuple(round(at, 3) + 0.0 for corner in bounds(piece.points) for at in corner) for piece in pieces]


UPRIGHT = 'lies = "A up, far back"'
LEANS = (20 * cos(radians(30)) + 300 * sin(radians(30)), 300 * cos(radians(30)) + 20 * sin(radians(30)))


@pytest.mark.parametrize(
    ("row", "where"),
    [
        ("at = { left = 10, front = 20 }", [(10, 20, 0, 310, 120, 20)]),
        ("at = { right = 390, back = 190, top = 290 }", [(90, 90, 270, 390, 190, 290)]),
        ("at = { left = 10, bottom = 7 }", [(10, 50, 7, 310, 150, 27)]),
        ("at = {}", [(50, 50, 0, 350, 150, 20)]),  # in the middle
        (f'{AT}, count = 2, row = "back"', [(0, 0, 0, 300, 100, 20), (0, 100, 0, 300, 200, 20)]),
        (f'{AT}, count = 3, row = "up"', [(0, 0, at, 300, 100, at + 20) for at in (0, 20, 40)]),
        (f'{AT}, count = 2, row = "left"', [(0, 0, 0, 300, 100, 20), (-300, 0, 0, 0, 100, 20)]),
        (f"{AT}, count = 3, step = {{ right = 30, front = 5, up = 20 }}",
         [(30 * at, -5 * at, 20 * at, 300 + 30 * at, 100 - 5 * at, 20 + 20 * at) for at in range(3)]),
        (f"{AT}, {UPRIGHT}", [(0, 0, 0, 20, 100, 300)]),
        (f'{AT}, lies = "far right, B front"', [(0, 0, 0, 100, 300, 20)]),
        (f'{AT}, lies = "top left, near up"', [(0, 0, 0, 20, 300, 100)]),
        (f"{AT}, turn = 90", [(0, 0, 0, 100, 300, 20)]),
        (f'{AT}, turn = 45, count = 2, row = "right"',  # 400 sin 45 wide
         [(0, 0, 0, 282.843, 282.843, 20), (282.843, 0, 0, 565.685, 282.843, 20)]),
        (f"{AT}, {UPRIGHT}, lean = {{ right = 30 }}", [(0, 0, 0, round(LEANS[0], 3), 100, round(LEANS[1], 3))]),
        (f'{AT}, mirror = "left-right"', [(0, 0, 0, 300, 100, 20), (100, 0, 0, 400, 100, 20)]),
        (f'{AT}, mirror = "front-back"', [(0, 0, 0, 300, 100, 20), (0, 100, 0, 300, 200, 20)]),
        (f'{AT}, mirror = "both"',
         [(0, 0, 0, 300, 100, 20), (100, 0, 0, 400, 100, 20), (0, 100, 0, 300, 200, 20), (100, 100, 0, 400, 200, 20)]),
        # about the middle, at 200, 100, anticlockwise: x' = 300 - y, y' = x - 100
        (f"{AT}, around = [0, 90, 180]",
         [(0, 0, 0, 300, 100, 20), (200, -100, 0, 300, 200, 20), (100, 100, 0, 400, 200, 20)]),
        (f'{AT}, count = 2, step = {{ up = 50 }}, mirror = "left-right"',
         [(0, 0, 0, 300, 100, 20), (100, 0, 0, 400, 100, 20), (0, 0, 50, 300, 100, 70), (100, 0, 50, 400, 100, 70)]),
    ],
)  # fmt: skip
def test_a_row_puts_its_pieces_where_it_says(row: str, where: list[tuple[float, ...]]) -> None:
    found = placed(f'{{ part = "post", {row} }}', f"post = {len(where)}")
    assert boxes(found) == where
    assert [piece.number for piece in found] == list(range(1, len(where) + 1))
    assert {piece.within for piece in found} == {(("box", 1),)}


@pytest.mark.parametrize(("way", "axis", "sign"), [("right", 0, 1), ("left", 0, -1), ("back", 1, 1), ("front", 1, -1)])
def test_a_piece_leans_the_way_it_is_said_to(way: str, axis: int, sign: int) -> None:
    (piece,) = placed(f'{{ part = "post", {AT}, {UPRIGHT}, lean = {{ {way} = 30 }} }}')
    top, bottom = (pick(piece.points, key=lambda point: point[2]) for pick in (max, min))
    assert (top[axis] - bottom[axis]) * sign > 60


def test_places_without_a_size_begin_at_the_sides_given() -> None:
    found = placed('{ part = "post", at = { left = 5, back = 90 } }', size="")
    assert boxes(found) == [(5, -10, 0, 305, 90, 20)]


def test_an_assembly_is_placed_as_one_and_its_pieces_keep_their_numbers() -> None:
    """Two pairs of posts: one at the left, one mirrored at the right."""
    pair = (
        '[[assemblies]]\nid = "pair"\nby = "dry"\njoins = { post = 2 }\nsize = [300, 200, 40]\n'
        f'place = [{{ part = "post", {AT}, count = 2, step = {{ back = 100, up = 20 }} }}]\n'
    )
    found = placed(f'{{ assembly = "pair", {AT}, mirror = "left-right" }}', "pair = 2", pair)
    assert boxes(found) == [
        (0, 0, 0, 300, 100, 20), (0, 100, 20, 300, 200, 40), (100, 0, 0, 400, 100, 20), (100, 100, 20, 400, 200, 40),
    ]  # fmt: skip
    assert [(piece.key, piece.within) for piece in found] == [
        (("post", 1), (("box", 1), ("pair", 1))), (("post", 2), (("box", 1), ("pair", 1))),
        (("post", 3), (("box", 1), ("pair", 2))), (("post", 4), (("box", 1), ("pair", 2))),
    ]  # fmt: skip


def test_an_assembly_is_sawn_to_its_size() -> None:
    row = '{ part = "post", at = { left = -10, front = -5 }, count = 3, row = "back" }'
    found = placed(row, "post = 3", size="size = [250, 280, 20]\ntrim = true\n")
    assert boxes(found) == [(0, 0, 0, 250, 95, 20), (0, 95, 0, 250, 195, 20), (0, 195, 0, 250, 280, 20)]
    assert {name for name, _ in found[0].cells[0].faces} == {"trimmed", "top", "bottom", "far"}


@pytest.mark.parametrize("mirror", ["left-right", "front-back"])
def test_a_handed_piece_is_mirrored_by_its_twin(mirror: str) -> None:
    found = placed(f'{{ part = "hand", {AT}, mirror = "{mirror}" }}', "hand = 2")
    assert [(piece.number, piece.hand) for piece in found] == [(1, "left"), (2, "right")]
    axis, middle = (0, 200.0) if mirror == "left-right" else (1, 100.0)
    corners = sorted(flip(point, axis, middle) for point in found[0].points)
    assert np.array(corners) == pytest.approx(np.array(sorted(map(rounded, found[1].points))), abs=1e-6)
    assert all(piece.cells[0].volume == pytest.approx(found[0].cells[0].volume) for piece in found)


def flip(point: tuple[float, ...], axis: int, middle: float) -> tuple[float, ...]:
    return rounded(2 * middle - at if k == axis else at for k, at in enumerate(point))


def rounded(point: Iterable[float]) -> tuple[float, ...]:
    return tuple(round(at, 6) for at in point)


def test_a_piece_mirrored_both_ways_is_turned_by_half() -> None:
    """It takes the same hand: a piece without a mirror image may have its place twice, but not four times."""
    legs = placed('{ part = "leg", lies = "splayed front left", at = { left = 80, front = 50 }, mirror = "both" }',
                  "leg = 4")  # fmt: skip
    assert len(legs) == 4
    assert {round(min(point[2] for point in leg.points), 6) for leg in legs} == {0.0}
    heights = [sum(1 for point in leg.points if abs(point[2] - 400) < 1e-6) for leg in legs]
    assert heights == [4] * 4, "each stands on its foot, and its seat is level"
    (left, front, *_), (other_left, _, _, other_right, *_) = boxes(legs)[0], boxes(legs)[1]
    assert 400 - other_right == pytest.approx(left)
    assert front == pytest.approx(boxes(legs)[1][1])
    assert other_left > left


# -- what is said -----------------------------------------------------------------------------------------------------


def said(place: str, joins: str = "post = 1", more: str = "", size: str = SIZE) -> list[tuple[str, str, str]]:
    return [(each.what, each.hint, each.kind) for each in place_problems(build_of(place, joins, more, size))]


SIDE = "is its place right?"


@pytest.mark.parametrize(
    ("place", "joins", "size", "told"),
    [
        # half a millimetre over or apart is the rounding of a joint
        (f'{{ part = "post", {AT}, count = 2, step = {{ back = 99.51 }} }}', "post = 2", "", []),
        (f'{{ part = "post", {AT}, count = 2, step = {{ back = 99.49 }} }}', "post = 2", "",
         [("Box: Post 1 and Post 2 overlap by 1 mm", "", "note")]),
        (f'{{ part = "post", {AT}, count = 2, step = {{ back = 100.49 }} }}', "post = 2", "", []),
        (f'{{ part = "post", {AT}, count = 2, step = {{ back = 100.51 }} }}', "post = 2", "",
         [("Box: Post 1 touches nothing", SIDE, "note"), ("Box: Post 2 touches nothing", SIDE, "note")]),
        (f'{{ part = "post", {AT} }}', "post = 1", "", []),
        (f'{{ part = "post", {AT} }}', "post = 1", "size = [300.4, 100, 20]\n", []),
        (f'{{ part = "post", {AT} }}', "post = 1", "size = [305, 90, 25]\n",
         [("Box: 305 mm wide is meant, and its pieces make 5 mm less",
           "measured over all; on splayed legs, over the seat", "note"),
          ("Box: 90 mm deep is meant, and its pieces make 10 mm more",
           "measured over all; on splayed legs, over the seat", "note"),
          ("Box: 25 mm high is meant, and its pieces make 5 mm less",
           "measured over all; on splayed legs, over the seat", "note")]),
        # legs are measured over their seat ends: 300 by 200, though their feet are further apart
        ('{ part = "leg", lies = "splayed front left", at = { left = 0, front = 0 }, mirror = "both" }', "leg = 4",
         "size = [300, 200, 400]\n",
         [(f"Box: Leg {at} touches nothing", SIDE, "note") for at in (1, 2, 3, 4)]),
        ('{ part = "post", lies = "splayed front left", at = { left = 0, front = 0 } }', "post = 1", "",
         [("'post' isn't a splayed leg", 'its joint would be kind = "splayed leg"', "problem")]),
        (f'{{ part = "odd", {AT}, mirror = "left-right" }}', "odd = 2", SIZE,
         [("Box: a mirrored Odd rail isn't the same piece",
           "write left and right instead of quantity, or turn it with 'around'", "problem")]),
        (f'{{ part = "hand", {AT}, count = 2, row = "back" }}', "hand = 2", SIZE,
         [("Box: more left-hand Handed pieces are placed than go into it",
           "left-hand and right-hand pieces are joined in turn", "problem")]),
        ('{ part = "post", at = { left = 300, front = 0 } }', "post = 1", "size = [300, 100, 20]\ntrim = true\n",
         [("Box: trimming to its size leaves nothing of a Post", "its size or that place is wrong", "problem")]),
    ],
)  # fmt: skip
def test_what_is_said_about_places(place: str, joins: str, size: str, told: list[tuple[str, str, str]]) -> None:
    assert said(place, joins, size=size) == told


def test_a_trimmed_assembly_is_turned_but_not_mirrored() -> None:
    pair = (
        '[[assemblies]]\nid = "pair"\nname = "Pair"\nby = "dry"\njoins = { post = 1 }\nsize = [250, 100, 20]\n'
        f'trim = true\nplace = [{{ part = "post", {AT} }}]\n'
    )
    told = said(f'{{ assembly = "pair", {AT}, mirror = "left-right" }}', "pair = 2", pair)
    assert told == [("Box: an assembly that is trimmed can't be mirrored", "turn it instead", "problem")]
    found = placed(f'{{ assembly = "pair", {AT}, around = [0, 180] }}', "pair = 2", pair)
    assert boxes(found) == [(0, 0, 0, 250, 100, 20), (150, 100, 0, 400, 200, 20)]


def test_pieces_that_came_together_before_are_not_told_again() -> None:
    """They overlap in the pair, which is told there; the box of two pairs tells only what it brings together."""
    pair = (
        '[[assemblies]]\nid = "pair"\nname = "Pair"\nby = "dry"\njoins = { post = 2 }\nsize = [300, 190, 20]\n'
        f'place = [{{ part = "post", {AT}, count = 2, step = {{ back = 90 }} }}]\n'
    )
    told = said(f'{{ assembly = "pair", {AT}, count = 2, step = {{ up = 20 }} }}', "pair = 2", pair)
    assert [what for what, _, _ in told if "overlap" in what] == ["Pair: Post 1 and Post 2 overlap by 10 mm"]
    told = said(f'{{ assembly = "pair", {AT}, count = 2, step = {{ up = 15 }} }}', "pair = 2", pair)
    assert [what for what, _, _ in told if "overlap" in what] == [
        "Box: Post 1 and Post 3 overlap by 5 mm", "Box: Post 1 and Post 4 overlap by 5 mm",
        "Box: Post 2 and Post 3 overlap by 5 mm", "Box: Post 2 and Post 4 overlap by 5 mm",
        "Pair: Post 1 and Post 2 overlap by 10 mm",
    ]  # fmt: skip


def test_where_nothing_is_said_there_is_no_place() -> None:
    bare = f'{HEAD}[[assemblies]]\nid = "box"\nname = "Box"\nby = "dry"\njoins = {{ post = 2 }}\n'
    build = load_build(bare).build
    assert build is not None
    assert place_problems(build) == ()
    placer = Placer(build)
    assert not placer.has_places("box")
    with pytest.raises(PlaceError) as wrong:
        placer.placed("box")
    assert (wrong.value.what, wrong.value.hint, wrong.value.line) == (
        "Box: where its pieces are isn't said", "place = [ { part = ... } ]", bare.count("\n") - 4,
    )  # fmt: skip


@pytest.mark.parametrize(("side", "lowest"), [("bottom = 25", 25.0), ("top = 425", 425.0 - 400.0)])
def test_a_splayed_leg_is_placed_by_its_foot_or_by_its_seat_end(side: str, lowest: float) -> None:
    """The leg is 400 mm high: measured up and down it is as high as it stands; from the left and the front, its seat
    end counts, not the foot that is farther out."""
    lies = 'part = "leg", lies = "splayed front left"'
    (leg,) = placed(f"{{ {lies}, at = {{ left = 80, front = 50, {side} }} }}", "leg = 1")
    heights = [point[2] for point in leg.points]
    assert (min(heights), max(heights)) == pytest.approx((lowest, lowest + 400))
    seat = [point for point in leg.points if point[2] > max(heights) - 1e-4]
    assert (min(p[0] for p in seat), min(p[1] for p in seat)) == pytest.approx((80, 50))
    assert min(p[0] for p in leg.points) < 79
    (right,) = placed(f"{{ {lies}, at = {{ right = 200, back = 120 }} }}", "leg = 1")
    seat = [point for point in right.points if point[2] > max(p[2] for p in right.points) - 1e-4]
    assert (max(p[0] for p in seat), max(p[1] for p in seat)) == pytest.approx((200, 120))
