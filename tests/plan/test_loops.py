"""Pieces that form a ring or a frame, and pieces that only look like it."""

from __future__ import annotations

from typing import Any

from made import build, ends, mm, part
from msgspec.structs import replace

from tracker.design.model import Assembly, Build, CornerJoint, EndCut, EndCuts, Part, RingJoint
from tracker.plan.loops import Loop, loop_of

UPRIGHT = EndCuts(a=EndCut(bevel=45), b=EndCut(bevel=45))


def joined(*parts: Part, **counts: int) -> Build:
    """An assembly of all parts, with all pieces of each unless `counts` says otherwise."""
    joins = tuple((each.id, counts.get(each.id, each.quantity)) for each in parts)
    whole = Assembly(id="whole", name="Whole", quantity=1, copies=1, clamps=0, line=0, joins=joins, by="glue")
    return replace(build(*parts), assemblies=(whole,))


def found(made: Build, part_id: str) -> tuple[int, float, list[float]] | None:
    loop: Loop | None = loop_of(made, made.part(part_id))
    return loop and (loop.sides, loop.lean, [round(mm(length), 3) for length in loop.sides_long])


def pieces(id_: str, quantity: int, length: float, cut: Any) -> Part:
    return part(id=id_, quantity=quantity, length=length, ends=cut)


def test_a_ring_of_pieces_alike() -> None:
    side = pieces("side", 6, 300, RingJoint(sides=6, lean=10))
    assert found(joined(side), "side") == (6, 10, [300])
    assert found(build(side), "side") == (6, 10, [300])


def test_two_rings_are_joined_one_at_a_time() -> None:
    side = pieces("side", 12, 300, RingJoint(sides=6, lean=10))
    assert found(joined(side, side=6), "side") == (6, 10, [300])


def test_a_ring_that_is_not_whole_still_turns() -> None:
    assert found(joined(pieces("side", 5, 300, RingJoint(sides=6))), "side") == (6, 0, [])


def test_a_leaning_box_has_two_lengths() -> None:
    long, short = (pieces(name, 2, size, RingJoint(sides=4, lean=15)) for name, size in (("l", 500), ("s", 300)))
    assert found(joined(long, short), "s") == (4, 15, [500, 300])


def test_a_hexagon_of_two_lengths_has_no_one_width() -> None:
    long, short = (pieces(name, 3, size, RingJoint(sides=6)) for name, size in (("l", 500), ("s", 300)))
    assert found(joined(long, short), "l") == (6, 0, [])


def test_corners_that_make_a_whole_turn() -> None:
    long, short = (pieces(name, 2, size, CornerJoint(angle=90, lean=15)) for name, size in (("l", 500), ("s", 300)))
    assert found(joined(long, short), "s") == (4, 15, [500, 300])
    bay = pieces("bay", 3, 400, CornerJoint(angle=135))
    assert found(joined(bay), "bay") is None
    assert found(joined(pieces("side", 7, 400, CornerJoint(angle=100))), "side") is None


def test_a_butted_ring_is_whole_but_not_as_long_as_its_pieces() -> None:
    side = pieces("side", 4, 300, RingJoint(sides=4, lean=5, butted=True))
    assert found(joined(side), "side") == (4, 5, [])


def test_a_picture_frame_and_a_box_are_known_by_their_ends() -> None:
    for cut, lean in ((ends(45, 45), 90), (UPRIGHT, 0)):
        rail, stile = pieces("rail", 2, 500, cut), pieces("stile", 2, 300, cut)
        assert found(joined(rail, stile), "rail") == (4, lean, [500, 300])
        assert found(joined(pieces("side", 4, 400, cut)), "side") == (4, lean, [400])


def test_what_only_looks_like_a_frame() -> None:
    brace, leg = pieces("brace", 4, 300, ends(45, 45)), pieces("leg", 4, 700, ends())
    assert found(joined(brace, leg), "brace") is None
    assert found(joined(pieces("brace", 3, 300, ends(45, 45))), "brace") is None
    assert found(joined(pieces("slat", 4, 300, ends(45, 45, a_long="near"))), "slat") is None
    assert found(joined(pieces("slat", 4, 300, ends(44, 44))), "slat") is None
    assert found(joined(pieces("slat", 2, 300, ends(80, 80))), "slat") is None
    assert found(joined(pieces("rail", 4, 300, ends())), "rail") is None
