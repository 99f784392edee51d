"""Random builds with everything at once: rack, defects, sequences, mitres, ripping, sheets; then a piece is spoiled.

Every plan is checked with polygons (shapely) and by the build file's rules only.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import pytest
from board_checker import faults_of_plan
from board_polygons import TOUCH, outline, overlaps
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_plan_boards import patient

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.boards import BoardPlan, CutBoard, PieceId, as_left, cuts_of, places, plan_boards, replan
from tracker.plan.boards.crosscuts import held

eighths = st.integers(0, 7)


@st.composite
def lengths(draw: st.DrawFn, least: int, most: int) -> str:
    return f"{draw(st.integers(least, most))} {draw(eighths)}/8"


@st.composite
def part_text(draw: st.DrawFn, n: int, wood: str, ripped: bool) -> str:
    text = f'[[parts]]\nid = "p{n}"\nname = "P{n}"\nwood = "{wood}"\nmeasured = "overall"\n'
    text += f'length = "{draw(lengths(14, 44))}"\nquantity = {draw(st.integers(1, 4))}\n'
    if ripped or draw(st.booleans()):
        text += f'width = "{draw(lengths(1, 4))}"\n'
    if draw(st.booleans()):
        text += f'sequence = "{draw(st.sampled_from(("front", "back")))}-{wood}"\n'
    elif draw(st.integers(0, 2)):
        for end in "ab":
            miter = draw(st.sampled_from((0, 22.5, 45)))
            if miter:
                text += f'end_{end} = {{ miter = {miter}, long = "{draw(st.sampled_from(("near", "far")))}" }}\n'
    if draw(st.integers(0, 3)) == 0:
        text += 'allowance = "1/4"\n'
    return text


@st.composite
def builds(draw: st.DrawFn) -> Build:
    ripped, nested = draw(st.booleans()), draw(st.booleans())
    text = (
        '[build]\nname = "Any"\nunits = "in"\n[shop]\nkerf = "1/8"\nend_trim = "1/2"\n'
        f"nest_miters = {str(nested).lower()}\n"
        '[woods.oak]\nspecies = "white oak"\nsection = "1x6"\nlengths = ["6 ft", "8 ft"]\nprices = [11.40, 15.20]\n'
        '[woods.ash]\nspecies = "white ash"\nthickness = "3/4"\nwidth = "7 1/4"\nlengths = ["8 ft"]\n'
        f"rip = {str(ripped).lower()}\n"
    )
    for n in range(draw(st.integers(0, 3))):
        first = draw(st.integers(2, 20))
        text += (
            f'[[rack]]\nwood = "{draw(st.sampled_from(("oak", "ash")))}"\nlength = "{draw(lengths(26, 80))}"\n'
            f'name = "R{n}"\ndefects = [[{first}, {first + draw(st.integers(0, 3))}]]\n'
        )
    for n in range(draw(st.integers(1, 5))):
        wood = draw(st.sampled_from(("oak", "ash")))
        text += draw(part_text(n, wood, ripped and wood == "ash"))
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def wanted(build: Build) -> set[PieceId]:
    return {(part.id, n) for part in build.parts for n in range(1, part.quantity + 1)}


def boards_of(plan: BoardPlan) -> list[CutBoard]:
    return [board for wood in plan.woods for board in wood.boards]


def faults(build: Build, plan: BoardPlan) -> list[str]:
    wrong = overlaps(build, plan)
    placed = [piece.id for board in boards_of(plan) for piece in board.pieces]
    placed += [(lost.part, lost.piece) for lost in plan.unplaced]
    if sorted(placed) != sorted(wanted(build)):
        wrong.append("a piece is lost, or there twice")
    for wood in plan.woods:
        prices = [board.price for board in wood.boards if board.source == "dealer"]
        if wood.cost is not None and wood.cost != sum((price or Decimal(0) for price in prices), Decimal(0)):
            wrong.append("the cost isn't that of the boards")
        if (wood.cost is not None and (wood.cost_bound or 0) > wood.cost) or wood.bought_bound > wood.bought:
            wrong.append("a plan below its bound")
    for board in boards_of(plan):
        wrong += clear_faults(build, board)
        wrong += cut_faults(build, board)
    return wrong + sequence_faults(build, plan)


def clear_faults(build: Build, board: CutBoard) -> list[str]:
    """The pieces in a trim or a defect, as the build file defines these."""
    kerf, trim = float(build.shop.kerf), float(build.shop.end_trim)
    defects = []
    if board.source == "rack":
        (mine,) = [each for each in build.rack if each.name == board.name]
        defects = [(float(a), max(float(b), float(a) + kerf)) for a, b in mine.defects]
    wrong = []
    for piece in board.pieces:
        left, _, right, _ = outline(build, piece).bounds
        if left < trim - TOUCH or right > float(board.length) - trim + TOUCH:
            wrong.append(f"{piece.id} lies in a trim")
        if any(left < last - TOUCH and first < right - TOUCH for first, last in defects):
            wrong.append(f"{piece.id} lies in a defect")
    return wrong


def cut_faults(build: Build, board: CutBoard) -> list[str]:
    """Every piece comes off once, and the longer side is held."""
    cuts = cuts_of(board, build.shop.kerf)
    off = [piece.id for cut in cuts for piece in (cut.section or ((cut.piece,) if cut.piece else ()))]
    wrong = (
        [] if sorted(off) == sorted(piece.id for piece in board.pieces) else [f"the cuts of {board.key} miss a piece"]
    )
    for cut, hand in zip(cuts, held(cuts), strict=True):
        if cut.off in ("piece", "section") and hand < min(cut.stays, cut.off_length):
            wrong.append("the shorter side is held")
        if cut.at.mm < 0 or (cut.at.mm == 0 and not cut.miter):  # a mitre may begin at the board's corner
            wrong.append(f"a mark at {float(cut.at)}")
    return wrong


def sequence_faults(build: Build, plan: BoardPlan) -> list[str]:
    wrong = []
    lost = {(piece.part, piece.piece) for piece in plan.unplaced}
    for name in {part.sequence for part in build.parts if part.sequence}:
        for wood in {part.wood for part in build.parts if part.sequence == name}:
            order = [
                (part.id, n)
                for part in build.parts
                if part.sequence == name and part.wood == wood
                for n in range(1, part.quantity + 1)
                if (part.id, n) not in lost
            ]
            rows = [[piece for piece in board.pieces if piece.id in order] for board in boards_of(plan)]
            rows = [row for row in rows if row]
            if order and (len(rows) != 1 or [piece.id for piece in rows[0]] != order):
                wrong.append(f"the sequence {name} is not on one board in order")
            elif order and any(b.at - a.end != build.shop.kerf for a, b in zip(rows[0], rows[0][1:], strict=False)):
                wrong.append(f"something lies within the sequence {name}")
    return wrong


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(builds())
def test_every_plan_can_be_cut(build: Build) -> None:
    plan = plan_boards(build, keep_going=patient(120))
    assert faults(build, plan) == []


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(builds(), st.data())
def test_after_a_spoiled_piece_the_rest_can_be_cut_from_what_is_left(build: Build, data: st.DataObject) -> None:
    plan = plan_boards(build, keep_going=patient(60))
    lies = dict(places(plan))
    if not lies:
        return
    order = sorted(lies, key=lambda piece: (lies[piece].board, lies[piece].at, lies[piece].across))
    cut = data.draw(st.integers(1, len(order)), "pieces cut")
    waste = data.draw(st.sampled_from(order[:cut]), "spoiled")
    gone = order[:cut]
    boards = [as_left(board).without([lies[piece] for piece in gone], build.shop.kerf) for board in boards_of(plan)]
    previous = {piece: place for piece, place in lies.items() if piece != waste}
    done = set(gone) - {waste}
    again = replan(build, left=boards, done=done, previous=previous, keep_going=patient(200))
    new = [piece.id for board in boards_of(again.plan) for piece in board.pieces]
    new += [(lost.part, lost.piece) for lost in again.plan.unplaced]
    assert sorted(new) == sorted(wanted(build) - done)
    assert beside_the_cut_ones(build, plan, again.plan, gone) == []
    assert len(again.moved) >= again.fewest or not again.moved


def beside_the_cut_ones(build: Build, plan: BoardPlan, again: BoardPlan, gone: Sequence[PieceId]) -> list[str]:
    """The pieces of the new plan nearer than a kerf to each other or to a piece already cut from the same board."""
    old = {board.key: [piece for piece in board.pieces if piece.id in gone] for board in boards_of(plan)}
    wrong = []
    for board in boards_of(again):
        pieces = [*board.pieces, *old.get(board.key, [])]
        shapes = [outline(build, piece) for piece in pieces]
        for n, shape in enumerate(shapes):
            for m in range(n + 1, len(shapes)):
                if shape.distance(shapes[m]) < float(build.shop.kerf) - TOUCH:
                    wrong.append(f"{pieces[n].id} and {pieces[m].id} on {board.key}")
    return wrong


@pytest.mark.parametrize("seed", range(3))
def test_the_plain_checker_agrees_where_nothing_is_shared_or_ripped(seed: int) -> None:
    """The checker of lengths alone and the one of polygons, on the same plan."""
    text = (
        '[build]\nname = "Plain"\nunits = "in"\n[shop]\nkerf = "1/8"\nend_trim = "1/2"\n'
        '[woods.oak]\nspecies = "white oak"\nsection = "1x6"\nlengths = ["6 ft", "8 ft"]\nprices = [11.40, 15.20]\n'
    )
    for n in range(4):
        text += f'[[parts]]\nid = "p{n}"\nname = "P"\nwood = "oak"\nlength = {11 + 7 * n + seed}\nquantity = {n + 2}\n'
    build = load_build(text).build
    assert build is not None
    plan = plan_boards(build, keep_going=patient(200))
    blanks = {piece: length.mm for piece in wanted(build) if (length := build.part(piece[0]).length) is not None}
    assert faults(build, plan) == []
    assert faults_of_plan(build, plan, blanks) == []
