"""Narrow parts side by side, and sheets: with polygons, by hand, and against exhaustive search."""

from __future__ import annotations

import itertools
import random
from decimal import Decimal
from fractions import Fraction

import pytest
from board_polygons import outline, overlaps
from test_plan_boards import HEAD, only, part, patient

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.measure import Length, inches, millimetres
from tracker.plan.boards import BoardPlan, Replan, as_left, cuts_of, lanes_of, places, plan_boards, replan
from tracker.plan.boards.blanks import Blank
from tracker.plan.boards.rip.all_sections import best_sections
from tracker.plan.boards.rip.bounds import least_cost, least_length
from tracker.plan.boards.rip.sections import _end_to_end as end_to_end
from tracker.plan.boards.rip.sections import _Stack as Stack
from tracker.plan.boards.rip.strip import Rect, Strip

OAK = """
[woods.oak]
species = "white oak"
thickness = "3/4"
width = "5 1/2"
lengths = ["6 ft", "8 ft"]
prices = [11.40, 15.20]
rip = true
"""
PLY = """
[build]
name = "Cabinet"
units = "mm"
[shop]
kerf = 3
end_trim = 10
[woods.ply]
species = "birch plywood"
thickness = 18
sheets = [[1220, 2440]]
prices = [60]
"""


def made(*sections: str) -> Build:
    loaded = load_build("\n".join(sections))
    assert loaded.build is not None, loaded.problems
    return loaded.build


def slats(name: str, length: str, width: str, quantity: int, wood: str = "oak") -> str:
    return part(name, length, quantity, f'wood = "{wood}"\nwidth = "{width}"')


def planned(build: Build, patience: int = 2_000) -> BoardPlan:
    plan = plan_boards(build, keep_going=patient(patience))
    assert faults(build, plan) == []
    return plan


def faults(build: Build, plan: BoardPlan) -> list[str]:
    """The faults of a plan: a piece lost, twice, nearer than a kerf to another, of a wrong size, or not separable by
    guillotine cuts."""
    wrong = overlaps(build, plan)
    placed = sorted(piece.id for wood in plan.woods for board in wood.boards for piece in board.pieces)
    wanted = sorted((each.id, n) for each in build.parts for n in range(1, each.quantity + 1))
    if sorted([*placed, *((u.part, u.piece) for u in plan.unplaced)]) != wanted:
        wrong.append("a piece is lost, or there twice")
    for wood in plan.woods:
        about = build.wood(wood.wood)
        for board in wood.boards:
            for piece in board.pieces:
                mine = build.part(piece.part)
                sizes = {(piece.length, piece.width)}
                if not sizes & {
                    (mine.length, mine.width),
                    *({(mine.width, mine.length)} if about.grainless else set()),
                }:
                    wrong.append(f"{piece.id} has the wrong size")
            shapes = [tuple(round(x, 6) for x in outline(build, piece).bounds) for piece in board.pieces]
            if not sawn_free(shapes, 0):
                wrong.append(f"guillotine cuts can't set the pieces of {board.key} free")
    return wrong


def sawn_free(shapes: list[tuple[float, ...]], stage: int, idle: int = 0) -> bool:
    """Whether cuts from edge to edge, crosscuts and rips in turn, separate all the boxes; at most four stages."""
    if len(shapes) <= 1:
        return True
    if stage > 4 or idle == 2:
        return False
    axis = stage % 2
    ordered = sorted(shapes, key=lambda each: each[axis])
    groups, end = [[ordered[0]]], ordered[0][axis + 2]
    for shape in ordered[1:]:
        if shape[axis] >= end:
            groups.append([])
        groups[-1].append(shape)
        end = max(end, shape[axis + 2])
    return all(sawn_free(group, stage + 1, idle + 1 if len(groups) == 1 else 0) for group in groups)


def test_two_slats_side_by_side_take_half_the_boards() -> None:
    """Two of 2 in and a kerf take 4 1/8 of 5 1/2. Four rows of 23 in and their kerfs take 92 3/8 of a clear 95."""
    plan = planned(made(HEAD, OAK, slats("slat", "23", "2", 8)))
    wood = only(plan)
    assert (wood.cost, wood.proof_words) == (Decimal("15.20"), "lowest cost possible (proved)")
    (board,) = wood.boards
    assert {piece.across for piece in board.pieces} == {inches(0), inches("2 1/8")}
    assert wood.notes == ()


def test_without_rip_the_whole_width_is_counted_as_before() -> None:
    build = made(HEAD, OAK.replace("rip = true\n", ""), slats("slat", "23", "2", 8))
    assert only(plan_boards(build, keep_going=patient())).cost == Decimal("30.40")


def test_the_section_is_crosscut_then_ripped_and_the_cuts_say_so() -> None:
    build = made(HEAD, OAK, slats("slat", "23", "2", 4), slats("rail", "30", "5", 1))
    (board,) = only(planned(build)).boards
    cuts = cuts_of(board, build.shop.kerf)
    assert [cut.off for cut in cuts if cut.off != "section"] in (["end", "piece"], ["end"])
    freed = [piece.id for cut in cuts for piece in (cut.section or ((cut.piece,) if cut.piece else ()))]
    assert sorted(freed) == sorted(piece.id for piece in board.pieces)
    lanes = [lane for cut in cuts if cut.section for lane in lanes_of(cut.section)]
    assert {lane.width for lane in lanes} == {inches(2)}


def test_lanes_hold_pieces_end_to_end() -> None:
    """One of 46 1/8 beside two of 23 with their kerf."""
    build = made(HEAD, OAK, slats("long", "46 1/8", "2", 1), slats("short", "23", "2", 2))
    (board,) = only(planned(build)).boards
    assert board.length == inches(72)
    assert max(piece.end for piece in board.pieces) == inches("46 5/8")


def test_a_sheet_of_plywood_and_its_grain() -> None:
    """Six of 600 x 380 with the grain along 600 from 1220 x 2440: three lanes of 380 (1146 of 1200), 600 + 600 + 6."""
    build = made(PLY, part("side", "600", 6, 'wood = "ply"\nwidth = 380'))
    wood = only(planned(build))
    assert (wood.cost, wood.proved, len(wood.boards)) == (Decimal(60), True, 1)
    assert all(piece.length == millimetres(600) for board in wood.boards for piece in board.pieces)
    assert min(piece.across for piece in wood.boards[0].pieces) == millimetres(10)


def test_without_grain_pieces_may_lie_across() -> None:
    """1000 x 800 from a clear 1200 x 2420: along the sheet two; turned, three times 800 and two kerfs take 2406."""
    sides = part("panel", "1000", 3, 'wood = "ply"\nwidth = 800')
    along = only(planned(made(PLY, sides)))
    free = only(planned(made(PLY + 'grain = "none"\n', sides)))
    assert (len(along.boards), len(free.boards)) == (2, 1)


def test_a_sheet_too_small_says_so() -> None:
    build = made(PLY, part("top", "2000", 1, 'wood = "ply"\nwidth = 1210'))
    (lost,) = plan_boards(build, keep_going=patient()).unplaced
    assert lost.why == "2000 mm × 1210 mm is more than the 2420 mm × 1200 mm that is clear of ply"


def test_a_sequence_of_a_ripped_wood_keeps_the_whole_width() -> None:
    build = made(
        HEAD, OAK, part("front", "20", 2, 'wood = "oak"\nwidth = "2"\nsequence = "s"'), slats("slat", "20", "2", 2)
    )
    plan = plan_boards(build, keep_going=patient())
    row = [piece for board in only(plan).boards for piece in board.pieces if piece.part == "front"]
    assert row[1].at - row[0].at == inches("20 1/8")


# ---- bounds and the best


def least_boards(rects: list[tuple[int, int]], width: int, kerf: int, long: int) -> int:
    """The fewest boards of one length by sections: every way to share the pieces out, first-fit by every order."""
    best = len(rects)

    def boards(lengths: list[int]) -> int:
        fewest = len(lengths)
        for order in set(itertools.permutations(lengths)):
            left: list[int] = []
            for length in order:
                at = next((n for n, room in enumerate(left) if room >= length + kerf), None)
                if at is None:
                    left.append(long + kerf)
                    at = len(left) - 1
                left[at] -= length + kerf
            fewest = min(fewest, len(left))
        return fewest

    def share(i: int, groups: list[list[tuple[int, int]]]) -> None:
        nonlocal best
        if i == len(rects):
            best = min(best, boards([max(length for length, _ in group) for group in groups]))
            return
        for group in groups:
            if sum(w + kerf for _, w in group) + rects[i][1] <= width:
                group.append(rects[i])
                share(i + 1, groups)
                group.pop()
        groups.append([rects[i]])
        share(i + 1, groups)
        groups.pop()

    share(0, [])
    return best


@pytest.mark.parametrize("seed", range(25))
def test_few_pieces_are_planned_as_well_as_by_trying_everything(seed: int) -> None:
    """Millimetres, one length of 1000 clear, 200 wide. End to end in a lane the plan may even be better."""
    chance = random.Random(f"rip {seed}")
    rects = [(chance.randint(15, 60) * 10, chance.randint(3, 20) * 10) for _ in range(chance.randint(2, 6))]
    text = PLY.replace("[woods.ply]", "[woods.oak]").replace("end_trim = 10", "end_trim = 0")
    text = text.replace("sheets = [[1220, 2440]]", 'width = 200\nlengths = ["1 m"]\nrip = true')
    build = made(text, *(slats(f"p{n}", str(a), str(b), 1) for n, (a, b) in enumerate(rects)))
    wood = only(planned(build))
    assert len(wood.boards) <= least_boards(rects, 200, 3, 1000)
    assert wood.cost_bound is not None
    assert wood.cost is not None
    assert wood.cost_bound <= wood.cost
    strip = Strip.of(millimetres(200), millimetres(0), millimetres(3))
    shapes = [strip.rect(Blank("p", 1, millimetres(a)), millimetres(a), millimetres(b)) for a, b in rects]
    least = least_length(shapes, strip, False)
    assert least.mm >= sum(Fraction((a + 3) * (b + 3), 203) for a, b in rects)
    assert least <= len(wood.boards) * millimetres(1003)


def test_the_bound_sees_how_many_lie_side_by_side() -> None:
    """Three of 90 x 500 don't lie side by side in 200: two lanes at the most. By area 3 x 503 x 93 / 203 = 691 mm would
    do; counted by halves it takes 3 x 503 / 2 = 754.5."""
    strip = Strip.of(millimetres(200), millimetres(0), millimetres(3))
    rects = [strip.rect(Blank("p", n, millimetres(500)), millimetres(500), millimetres(90)) for n in range(3)]
    assert least_length(rects, strip, False) == Length(Fraction(1509, 2))


@pytest.mark.parametrize("seed", range(20))
def test_least_cost_of_so_much_length_by_trying_everything(seed: int) -> None:
    chance = random.Random(f"cover {seed}")
    boards = [(millimetres(chance.randint(50, 200)), chance.randint(5, 30)) for _ in range(3)]
    need = millimetres(chance.randint(1, 600))
    every = (
        sum(n * cost for n, (_, cost) in zip(counts, boards, strict=True))
        for counts in itertools.product(range(14), repeat=3)
        if sum((n * length for n, (length, _) in zip(counts, boards, strict=True)), millimetres(0)) >= need
    )
    assert least_cost(need, boards) == min(every)


def test_what_isnt_proved_says_by_how_much_and_what_was_tried() -> None:
    """600 x 90 lies beside 390 x 100 or 110 x 390, not beside 600 x 110: what the area alone allows can't be had."""
    text = PLY.replace("[woods.ply]", "[woods.oak]").replace("end_trim = 10", "end_trim = 0")
    text = text.replace("sheets = [[1220, 2440]]", 'width = 200\nlengths = ["1 m"]\nrip = true')
    rects = [(600, 90), (600, 110), (390, 110), (390, 90), (390, 100)]
    wood = only(planned(made(text, *(slats(f"p{n}", str(a), str(b), 1) for n, (a, b) in enumerate(rects)))))
    assert wood.proved or wood.proof_words.startswith("within ")
    if not wood.proved:
        assert wood.notes == ("the cheapest of all ways to crosscut first and then rip, a piece to a lane",)


def test_the_waste_of_a_ripped_board_is_counted_by_area() -> None:
    (board,) = only(planned(made(HEAD, OAK, slats("slat", "20", "2 3/4", 1), slats("rail", "20", "2", 1)))).boards
    assert board.in_blanks == Length(Fraction(20 * 254, 10) * (Fraction(11, 4) + 2) / Fraction(11, 2))


def test_the_checker_sees_overlaps_and_lost_pieces() -> None:
    build = made(HEAD, OAK, slats("slat", "23", "2", 2))
    plan = planned(build)
    more = made(HEAD, OAK, slats("slat", "23", "3", 2))
    assert any("apart" in fault or "size" in fault for fault in faults(more, plan))


# ---- after a spoiled piece


def spoiled(build: Build, cut: int, spoil: int) -> tuple[BoardPlan, Replan, list[str]]:
    """The first `cut` pieces are cut, one of them is waste; the new plan, and its faults on polygons."""
    plan = planned(build)
    lies = dict(places(plan))
    order = sorted(lies, key=lambda piece: (lies[piece].board, lies[piece].at, lies[piece].across))
    waste = order[spoil]
    gone = [lies[piece] for piece in order[:cut]]
    lies.pop(waste)
    left = [as_left(board).without(gone, build.shop.kerf) for wood in plan.woods for board in wood.boards]
    done = set(order[:cut]) - {waste}
    again = replan(build, left=left, done=done, previous=lies, keep_going=patient(2_000))
    pieces = [piece.id for wood in again.plan.woods for board in wood.boards for piece in board.pieces]
    wrong = [] if sorted([*pieces, *done]) == sorted(places(plan)) else ["a piece is lost, or there twice"]
    for board in (board for wood in again.plan.woods for board in wood.boards):
        shapes = [(piece.id, outline(build, piece)) for piece in board.pieces]
        shapes += [
            (piece.id, outline(build, piece))
            for wood in plan.woods
            for old in wood.boards
            for piece in old.pieces
            if old.key == board.key and (piece.id in done or piece.id == waste)
        ]
        for n, (one, shape) in enumerate(shapes):
            for other, neighbour in shapes[n + 1 :]:
                if shape.distance(neighbour) < float(build.shop.kerf) - 1e-6:
                    wrong.append(f"{one} and {other} on {board.key}")
    return plan, again, wrong


def test_a_spoiled_slat_comes_from_what_is_left_and_its_neighbour_stays_in_its_lane() -> None:
    build = made(HEAD, OAK, slats("slat", "23", "2", 5))
    plan, again, wrong = spoiled(build, 1, 0)
    assert wrong == []
    assert (again.plan.cost, again.moved) == (0, ())
    lies = places(plan)
    waste = min(lies, key=lambda piece: (lies[piece].board, lies[piece].at, lies[piece].across))
    # the free place is the one beside slat 5, in the lane that was to stay empty: the others move up in their board
    assert {place.board for place in places(again.plan).values()} == {place.board for place in lies.values()}
    beside = next(piece for piece in lies if lies[piece].at == lies[waste].at and piece != waste)
    assert places(again.plan)[beside] == lies[beside]  # its section is cut: it stays in its lane


@pytest.mark.parametrize("seed", range(12))
def test_spoiled_pieces_of_random_ripped_builds(seed: int) -> None:
    chance = random.Random(f"spoiled strips {seed}")
    parts = [
        slats(f"p{n}", str(chance.randint(8, 40)), f"{chance.randint(1, 5)} {chance.choice(('0/8', '1/4'))}", many)
        for n in range(chance.randint(2, 5))
        for many in [chance.randint(1, 4)]
    ]
    build = made(HEAD, OAK, *parts)
    pieces = sum(each.quantity for each in build.parts)
    cut = chance.randint(1, pieces)
    _, again, wrong = spoiled(build, cut, chance.randrange(cut))
    assert wrong == []
    assert again.plan.unplaced == ()


def test_where_ripping_would_save_a_board_the_plan_says_so() -> None:
    """Four strips of 90 x 1900 take four boards 200 wide, and two when two lie side by side: 90 + 3 + 90."""
    text = """
[build]
name = "Strips"
units = "mm"
currency = "EUR"
[shop]
kerf = 3
end_trim = 10
[woods.ash]
species = "white ash"
thickness = 20
width = 200
lengths = ["2 m"]
prices = [25]
"""
    strips = made(text, slats("s", "1900", "90", 4, "ash"))
    (note,) = (n for n in only(plan_boards(strips, keep_going=patient(50))).notes if "rip = true" in n)
    assert note == "ripped into narrower strips (rip = true) 2 instead of 4 boards would do, 50.00 EUR less"
    wide = only(plan_boards(made(text, slats("s", "1900", "110", 4, "ash")), keep_going=patient(50)))
    assert not [n for n in wide.notes if "rip = true" in n], "no two of 110 lie side by side in 200"


def test_a_lane_takes_no_more_pieces_than_it_has_room_for() -> None:
    """Pieces of one length and several widths are one size for the lane: what one width gives the next needn't."""
    strip = Strip(width=1000, edge=0, kerf=0, per_mm=320)
    first = strip_rect("wide", 320 * 100, 900)
    stacks = [
        Stack(320 * 100, across, [Blank(f"p{across}", n, millimetres(100)) for n in range(3)]) for across in (300, 200)
    ]
    lane = end_to_end(stacks, first, 320 * 450, strip)
    assert sum(rect.along for rect in (first, *lane)) <= 320 * 450
    assert len(lane) == 3, "three more of 100 mm have room in 450"


def test_a_search_that_is_to_stop_stops_at_once() -> None:
    asked = 0

    def keep_going() -> bool:
        nonlocal asked
        asked += 1
        return asked < 3

    strip = Strip(width=1000, edge=0, kerf=0, per_mm=320)
    rects = [strip_rect(f"p{n}", 1000 + n, 100 + n) for n in range(9)]
    _, whole = best_sections(rects, strip, lambda lengths: (len(lengths), sum(lengths)), (99, 10**9), keep_going)
    assert not whole
    assert asked <= 3 + len(rects), "each place that is open looks once more, and goes on no further"


def strip_rect(part_id: str, along: int, across: int) -> Rect:
    return Rect(Blank(part_id, 1, millimetres(1)), along, across)
