"""The order in which pieces are laid down, worked by hand: posts of 300 × 100 × 20 mm in rows and layers."""

from __future__ import annotations

import pytest
from place.box_build import AT, build_of

from tracker.plan.laying import Laid, Order, laying_order
from tracker.plan.place import Placer


def laid(place: str, count: int, size: str = "size = [400, 200, 300]\n") -> Order:
    build = build_of(place, f"post = {count}", size=size)
    return laying_order(build, Placer(build).placed("box"))


def rows(order: Order) -> list[tuple[int, int, int]]:
    """The number, the layer and the row of each piece."""
    return [(each.key[1], each.layer, each.row) for each in order.parts]


def touching(part: Laid) -> list[tuple[str, int, str, bool]]:
    return [(each.face, each.other[1], each.other_face, each.across) for each in part.touches]


def test_boards_side_by_side_are_a_row_each() -> None:
    order = laid(f'{{ part = "post", {AT}, count = 3, row = "back" }}', 3)
    assert rows(order) == [(1, 0, 0), (2, 0, 1), (3, 0, 2)]
    assert (order.axes, order.layers, order.rows, order.flat, order.halves) == ((0, 1, 2), 1, (3,), True, False)
    assert [touching(part) for part in order.parts] == [[], [("near", 1, "far", True)], [("near", 2, "far", True)]]
    assert {(part.up, part.toward, part.way, part.leaning) for part in order.parts} == {("top", "A", "left", False)}
    assert [part.pieces for part in order.parts] == [(("post", at),) for at in (1, 2, 3)]


def test_boards_end_to_end_are_one_row() -> None:
    """The file places the right one first; it is laid from the left."""
    order = laid(f'{{ part = "post", {AT}, count = 2, row = "left" }}', 2)
    assert rows(order) == [(2, 0, 0), (1, 0, 0)]
    assert [touching(part) for part in order.parts] == [[], [("A", 2, "B", False)]]


@pytest.mark.parametrize(("by", "rows_of_it"), [(49, 1), (51, 2)])
def test_boards_that_share_more_than_half_their_width_are_one_row(by: int, rows_of_it: int) -> None:
    order = laid(f'{{ part = "post", {AT}, count = 2, step = {{ left = 300, back = {by} }} }}', 2)
    assert order.rows == (rows_of_it,)
    assert touching(order.parts[1]) == [("A" if rows_of_it == 1 else "B", 2 if rows_of_it == 1 else 1,
                                         "B" if rows_of_it == 1 else "A", rows_of_it == 2)]  # fmt: skip


def test_layers_go_from_the_bottom_up() -> None:
    """Two posts that lie from left to right, and two across them."""
    under = f'{{ part = "post", {AT}, count = 2, step = {{ back = 200 }} }}'
    at = "at = { left = 0, front = 0, bottom = 20 }, count = 2, step = { right = 200 }"
    over = f'{{ part = "post", lies = "B back, top up", {at} }}'
    order = laid(f"{under}, {over}", 4)
    assert rows(order) == [(1, 0, 0), (2, 0, 1), (3, 1, 0), (4, 1, 0)]
    assert (order.layers, order.rows, order.flat) == (2, (2, 1), True)
    assert [touching(part) for part in order.parts] == [
        [], [], [("bottom", 1, "top", False), ("bottom", 2, "top", False)],
        [("bottom", 1, "top", False), ("bottom", 2, "top", False)],
    ]  # fmt: skip


@pytest.mark.parametrize(("wide", "flat"), [(115, True), (114, False)])
def test_what_is_thin_for_its_width_is_flat(wide: int, flat: bool) -> None:
    """40 mm thick: flat from 40 / 0.35 = 114.3 mm on."""
    order = laid(f'{{ part = "post", {AT}, count = 2, step = {{ back = {wide - 100}, up = 20 }} }}', 2)
    assert order.flat is flat
    assert order.layers == (2 if flat else 1)
    assert rows(order)[0] == (1, 0, 0)


def test_a_stand_is_built_from_the_part_that_touches_most_others() -> None:
    """Two boards side by side, of which the second carries two uprights."""
    stand = (
        f'{{ part = "post", {AT}, count = 2, row = "back" }}, '
        '{ part = "post", lies = "A up, far back", at = { left = 280, front = 100, bottom = 20 } }, '
        '{ part = "post", lies = "A up, far back", at = { left = 0, front = 100, bottom = 20 } }'
    )
    order = laid(stand, 4)
    assert (order.flat, order.layers, order.rows) == (False, 1, (1,))
    assert [part.key[1] for part in order.parts] == [2, 1, 4, 3]
    assert [touching(part) for part in order.parts] == [
        [], [("far", 2, "near", False)], [("B", 2, "top", False)], [("B", 2, "top", False)],
    ]  # fmt: skip
    assert [(part.up, part.toward, part.way) for part in order.parts[1:3]] == [
        ("top", "A", "left"), ("A", "near", "front"),
    ]  # fmt: skip


@pytest.mark.parametrize(("lean", "leaning"), [(2.5, False), (2.6, True)])
def test_a_piece_leans_from_two_and_a_half_degrees_on(lean: float, leaning: bool) -> None:
    """The cosine is 0.999 at 2.56 degrees."""
    (part,) = laid(f'{{ part = "post", {AT}, lean = {{ back = {lean} }} }}', 1).parts
    assert (part.up, part.leaning) == ("top", leaning)


@pytest.mark.parametrize(
    ("lies", "up", "toward", "way"),
    [
        ("B right, bottom up", "bottom", "A", "left"),
        ("A right, top up", "top", "B", "left"),
        ("near up, B right", "near", "bottom", "front"),
        ("far up, B right", "far", "top", "front"),
        ("B up, far back", "B", "near", "front"),
    ],
)
def test_how_a_piece_lies(lies: str, up: str, toward: str, way: str) -> None:
    (part,) = laid(f'{{ part = "post", {AT}, lies = "{lies}" }}', 1).parts
    assert (part.up, part.toward, part.way) == (up, toward, way)
    assert part.pieces == (("post", 1),)


@pytest.mark.parametrize(("overlap", "touches"), [(1.3, True), (1.2, False)])
def test_faces_that_share_too_little_do_not_touch(overlap: float, touches: bool) -> None:
    """Ends of 100 × 20 mm against each other, 20 mm high: 25 square millimetres from 1.25 mm on."""
    order = laid(f'{{ part = "post", {AT}, count = 2, step = {{ right = 300, back = {100 - overlap} }} }}', 2)
    assert bool(order.parts[1].touches) is touches
