"""The laying order of a glue-up, as plain data and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.cards.picture.laying_words import LayingLine, laying_lines, order_words
from tracker.cards.picture.plan_pages import name_in
from tracker.cards.reports.numbers import Json
from tracker.design.model import Build
from tracker.plan.laying import Touch, laying_order
from tracker.plan.place import Placed


def order_report(build: Build, placed: Sequence[Placed]) -> list[Json]:
    """One object for each part, in the order they are laid down; touches are with parts that are already there."""
    order = laying_order(build, placed)
    lines = laying_lines(build, order, name_in(build))
    return [
        {
            "id": part.key[0],
            "number": part.key[1],
            "layer": part.layer + 1,
            "row": part.row + 1,
            "up": part.up,
            "toward": part.toward,
            "way": None if part.up is None else part.way or "outward",
            "touches": [_touch(touch) for touch in part.touches],
            "words": line.words,
        }
        for part, line in zip(order.parts, lines, strict=True)
    ]


def _touch(touch: Touch) -> Json:
    return {
        "own": touch.face, "of": list(touch.other), "theirs": touch.other_face, "across_the_seam": touch.across
    }  # fmt: skip


def order_lines(build: Build, placed: Sequence[Placed]) -> Iterator[str]:
    """The order as a whole, then a line for each part, and a heading where a row begins."""
    order = laying_order(build, placed)
    yield order_words(order)
    for at, line in enumerate(laying_lines(build, order, name_in(build)), start=1):
        yield from _line(at, line)


def _line(at: int, line: LayingLine) -> Iterator[str]:
    if line.row:
        yield f"{line.row}:"
    yield f"  {at}. {line.words}"
