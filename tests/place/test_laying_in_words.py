"""The rows and layers of a glue-up in words, for every direction that they may have."""

from __future__ import annotations

import pytest

from tracker.cards.picture.laying_words import _row, order_words
from tracker.plan.laying import Laid, Order

ALONG = ("from left to right", "from front to back", "from the bottom up")
FIRST_AND_LAST = {0: ("left", "right"), 1: ("front", "back"), 2: ("bottom", "top")}


def order(axes: tuple[int, int, int], *rows: int, parts: int = 0, flat: bool = True, halves: bool = False) -> Order:
    """As many rows in each layer, of two parts each."""
    laid = tuple(
        Laid(key=("part", number), layer=layer, row=row, pieces=())
        for layer, count in enumerate(rows)
        for row in range(count)
        for number in (1, 2)
    )
    return Order(parts=laid[: parts or None], axes=axes, layers=len(rows), rows=rows, flat=flat, halves=halves)


@pytest.mark.parametrize("axes", [(0, 1, 2), (1, 0, 2), (2, 0, 1), (0, 2, 1)])
def test_two_and_three_rows(axes: tuple[int, int, int]) -> None:
    across, along, _ = axes
    first, last = FIRST_AND_LAST[along]
    two, three = order(axes, 2), order(axes, 3)
    assert [_row(two, part) for part in two.parts[::2]] == [f"{first} row".capitalize(), f"{last} row".capitalize()]
    assert [_row(three, part) for part in three.parts[::2]] == [f"Row {at} of 3, from the {first}" for at in (1, 2, 3)]
    assert order_words(three) == f"In 3 rows, {ALONG[along]}, each {ALONG[across]}."


@pytest.mark.parametrize("axes", [(0, 1, 2), (1, 2, 0), (2, 0, 1)])
def test_layers(axes: tuple[int, int, int]) -> None:
    across, along, up = axes
    first, last = FIRST_AND_LAST[along]
    both = order(axes, 2, 1)
    assert [_row(both, part) for part in both.parts[::2]] == [
        f"Layer 1 of 2, {first} row", f"Layer 1 of 2, {last} row", "Layer 2 of 2",
    ]  # fmt: skip
    assert order_words(both) == f"In 2 layers, {ALONG[up]}, in 2 rows, {ALONG[along]}, each {ALONG[across]}."
    assert order_words(order(axes, 1, 1)) == f"In 2 layers, {ALONG[up]}."


def test_one_row_and_rows_of_one_part() -> None:
    row = order((0, 1, 2), 1)
    assert _row(row, row.parts[0]) == ""
    assert order_words(row) == "From left to right."
    assert order_words(order((0, 1, 2), 1, flat=False)) == "As it goes together."
    single = Order(parts=order((0, 1, 2), 3).parts[::2], axes=(0, 1, 2), layers=1, rows=(3,), flat=True)
    assert [_row(single, part) for part in single.parts] == ["", "", ""]
    assert order_words(single) == "From front to back."


def test_the_halves_of_a_ring() -> None:
    ring = order((0, 1, 2), 2, halves=True)
    assert [_row(ring, part) for part in ring.parts[::2]] == ["First half", "Second half"]
    assert order_words(ring) == "In two halves, anticlockwise as seen from above."
