"""Plans after a spoiled piece: least extra cost, then least change, from the real rest of the boards; against
exhaustive search."""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass
from fractions import Fraction

import pytest
from board_checker import faults_of_plan
from test_plan_boards import HEAD, OAK, bench, part, patient

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.measure import inches
from tracker.plan.boards import (
    BoardLeft,
    BoardPlan,
    CutBoard,
    PieceId,
    Place,
    Replan,
    as_left,
    bought_board,
    free_names,
    kept_from,
    kept_offcuts,
    places,
    plan_boards,
    racked_offcut,
    replan,
    shopping,
)
from tracker.plan.boards.replanning import fewest_moves
from tracker.plan.boards.replanning.fewest_moves import Job

OAK_ONLY_8 = OAK.replace('["6 ft", "8 ft"]', '["8 ft"]').replace("[11.40, 15.20]", "[15.20]")


@dataclass
class Shopfloor:
    """A plan at work: the cut pieces, the spoiled ones, the rest of the boards."""

    build: Build
    plan: BoardPlan

    def __post_init__(self) -> None:
        self.boards = [as_left(board) for wood in self.plan.woods for board in wood.boards]
        self.lies = dict(places(self.plan))
        self.done: set[PieceId] = set()
        self.gone: list[Place] = []

    def cut(self, piece: PieceId) -> None:
        self.done.add(piece)
        self.gone.append(self.lies[piece])

    def spoil(self, piece: PieceId) -> None:
        self.done.discard(piece)
        place = self.lies.pop(piece)
        if place not in self.gone:
            self.gone.append(place)

    @property
    def left(self) -> list[BoardLeft]:
        return [board.without(self.gone, self.build.shop.kerf) for board in self.boards]

    def again(self) -> Replan:
        found = replan(self.build, left=self.left, done=self.done, previous=self.lies, keep_going=patient(2_000))
        assert faults(self, found) == []
        return found


def followed(build: Build) -> Shopfloor:
    return Shopfloor(build, plan_boards(build, keep_going=patient(300)))


def faults(floor: Shopfloor, again: Replan) -> list[str]:
    """Nothing lost, nothing twice, each piece within what is left of its board with a kerf to its neighbours."""
    wrong = []
    wanted = {(part.id, n) for part in floor.build.parts for n in range(1, part.quantity + 1)} - floor.done
    pieces = [piece.id for wood in again.plan.woods for board in wood.boards for piece in board.pieces]
    if sorted(pieces + [(u.part, u.piece) for u in again.plan.unplaced]) != sorted(wanted):
        wrong.append("a piece is lost, or there twice")
    left = {board.key: board for board in floor.left}
    kerf = floor.build.shop.kerf
    for board in (board for wood in again.plan.woods for board in wood.boards):
        clear = board.stretches
        if board.source != "dealer":
            clear = left[board.key].stretches
        for piece in board.pieces:
            if not any(s.start <= piece.at and piece.end <= s.end for s in clear):
                wrong.append(f"{piece.id} isn't in a clear stretch of {board.key}")
        for one, other in itertools.pairwise(board.pieces):
            if other.at - one.end < kerf:
                wrong.append(f"no kerf between {one.id} and {other.id}")
        if board.source == "dealer" and board.key in left:
            wrong.append(f"two boards are called {board.key}")
    moved = {
        piece.id
        for wood in again.plan.woods
        for board in wood.boards
        for piece in board.pieces
        if piece.id in floor.lies
        and _stretch_of(left, floor.lies[piece.id]) != _stretch_of(left, as_place(board, piece.id))
    }
    if moved != set(again.moved):
        wrong.append(f"moved are {sorted(moved)}, not {sorted(again.moved)}")
    return wrong


def as_place(board: CutBoard, piece: PieceId) -> Place:
    (mine,) = [each for each in board.pieces if each.id == piece]
    return Place(board=board.key, at=mine.at, length=mine.length)


def _stretch_of(left: dict[str, BoardLeft], place: Place) -> tuple[str, int] | str:
    if place.board not in left:
        return f"new board {place.board}"
    for n, stretch in enumerate(left[place.board].stretches):
        if stretch.start <= place.at and place.end <= stretch.end:
            return place.board, n
    return "nowhere"


def on(plan: BoardPlan, piece: PieceId) -> CutBoard:
    (board,) = [b for wood in plan.woods for b in wood.boards if piece in [p.id for p in b.pieces]]
    return board


def test_a_spoiled_piece_comes_from_the_offcut_and_nothing_else_changes() -> None:
    floor = followed(bench(OAK_ONLY_8, part("rail", "20", 3, 'wood = "oak"')))
    floor.cut(("rail", 1))
    floor.cut(("rail", 2))
    floor.spoil(("rail", 2))
    again = floor.again()
    assert (again.plan.cost, again.moved, again.fewest, again.change_words) == (0, (), 0, "nothing else changes")
    assert again.proved
    board = on(again.plan, ("rail", 2))
    assert board.key == "oak/1"
    # two rails are gone: 1/2 + 2 x (20 + 1/8)
    assert board.begins == inches("40 3/4")
    assert [piece.at for piece in board.pieces] == [inches("40 3/4"), inches("60 7/8")]


def test_what_no_board_in_hand_can_give_is_bought_under_the_next_number() -> None:
    floor = followed(bench(OAK_ONLY_8, part("rail", "31", 3, 'wood = "oak"')))
    floor.cut(("rail", 1))
    floor.spoil(("rail", 1))
    again = floor.again()
    assert str(again.plan.cost) == "15.20"
    assert on(again.plan, ("rail", 1)).key == "oak/2"
    assert again.moved == ()
    (buy,) = shopping(floor.build, again.plan)
    assert [(line.count, line.length) for line in buy.lines] == [(1, inches(96))]


def test_one_piece_makes_room() -> None:
    """Left are 40 in with nothing to be cut from it, and 95 in with 33 + 33: a new 60 needs one of the 33s to move."""
    build = bench(OAK_ONLY_8, part("long", "60", 1, 'wood = "oak"'), part("mid", "33", 2, 'wood = "oak"'))
    whole = bought_board(build, build.wood("oak"), "oak/1", inches(96))
    offcut = racked_offcut(build.wood("oak"), "A1", inches(40))
    lies = {
        ("mid", 1): Place(board="oak/1", at=inches("1/2"), length=inches(33)),
        ("mid", 2): Place(board="oak/1", at=inches("33 5/8"), length=inches(33)),
    }
    again = replan(build, left=[whole, offcut], done=set(), previous=lies, keep_going=patient())
    assert again.plan.cost == 0
    assert (len(again.moved), again.fewest) == (1, 1)
    assert again.change_words == "1 piece changes its board; no plan of that cost changes less"
    assert on(again.plan, again.moved[0]).key == "rack/A1"
    assert on(again.plan, ("long", 1)).key == "oak/1"


def test_a_sequence_that_is_begun_runs_on_where_it_is() -> None:
    more = 'wood = "oak"\nsequence = "front"'
    floor = followed(bench(OAK_ONLY_8, part("door", "15", 4, more), part("rail", "30", 1, 'wood = "oak"')))
    floor.cut(("door", 1))
    floor.cut(("rail", 1))
    floor.spoil(("rail", 1))
    again = floor.again()
    assert again.broken == ()
    assert [p.id for p in on(again.plan, ("door", 2)).pieces][:3] == [("door", 2), ("door", 3), ("door", 4)]
    for n in (2, 3, 4):
        assert on(again.plan, ("door", n)).pieces[n - 2].at == floor.lies["door", n].at


def test_a_sequence_with_a_spoiled_piece_is_broken_and_said_so() -> None:
    more = 'wood = "oak"\nsequence = "front"'
    floor = followed(bench(OAK_ONLY_8, part("door", "15", 4, more)))
    for n in (1, 2, 3):
        floor.cut(("door", n))
    floor.spoil(("door", 2))
    again = floor.again()
    assert again.broken == ("front",)


def test_offcuts_worth_keeping_have_names_that_nobody_has() -> None:
    rack = '[[rack]]\nwood = "oak"\nlength = "20"\nname = "a1"\n'
    build = bench(OAK_ONLY_8, rack, part("rail", "40", 1, 'wood = "oak"'), part("slat", "40", 4, 'wood = "oak"'))
    plan = plan_boards(build, keep_going=patient())
    kept = kept_offcuts(build, plan, taken=["A2"])
    # five of 40 in: two, two and one to a clear 95 in
    assert [offcut.name for offcut in kept] == ["A3", "A4", "A5"]
    assert sorted(offcut.length for offcut in kept) == [inches("14 3/4"), inches("14 3/4"), inches("54 7/8")]
    assert kept[0].key == "rack/A3"
    assert all(each.length >= build.shop.least_offcut for each in kept)
    names = free_names(build)
    assert [next(names) for _ in range(2)] == ["A2", "A3"]


def test_the_shop_says_how_short_an_offcut_may_be() -> None:
    plain = bench(OAK_ONLY_8, part("rail", "40", 2, 'wood = "oak"'))
    board = plan_boards(plain, keep_going=patient()).woods[0].boards[0]
    assert [offcut.length for offcut in kept_from(plain, board)] == [inches("14 3/4")]

    text = HEAD + 'least_offcut = "15"\n' + OAK_ONLY_8 + part("rail", "40", 2, 'wood = "oak"')
    strict = load_build(text).build
    assert strict is not None
    assert kept_from(strict, board) == ()


# ---- against trying everything


def by_trying_everything(
    rooms: list[int], kerf: int, stay: list[tuple[int, int]], new: list[int], board: int
) -> tuple[int, int]:
    """(boards bought, fewest moves): over every way of laying all the lengths into the rooms and into new boards."""
    lengths = [length for length, _ in stay] + new
    best = (len(lengths) + 1, len(lengths) + 1)

    def lay(i: int, used: list[int], held: list[int], moves: int) -> None:
        nonlocal best
        bought = len(used) - len(rooms)
        if (bought, moves) >= best:
            return
        if i == len(lengths):
            best = (bought, moves)
            return
        for k in range(len(used) + 1):
            if k == len(used):
                if lengths[i] > board:
                    continue
                used.append(0)
                held.append(0)
            room = rooms[k] if k < len(rooms) else board
            need = lengths[i] + (kerf if held[k] else 0)
            if used[k] + need <= room:
                used[k] += need
                held[k] += 1
                lay(i + 1, used, held, moves + (i < len(stay) and stay[i][1] != k))
                used[k] -= need
                held[k] -= 1
            if k >= len(rooms) and held[k] == 0:
                used.pop()
                held.pop()
                break

    lay(0, [0] * len(rooms), [0] * len(rooms), 0)
    return best


@pytest.mark.parametrize(("seed", "mended"), [*((seed, True) for seed in range(60)), *((n, False) for n in range(40))])
def test_least_cost_and_then_fewest_moves_as_by_trying_everything(
    seed: int, mended: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whole inches, a kerf of 1/8 counted in eighths; up to six pieces and three boards in hand. Where the cheapest
    plan isn't mended first, the search for the fewest moves alone must find them."""
    if not mended:
        monkeypatch.setattr(Job, "_repaired", lambda *_: iter(()))
        monkeypatch.setattr(fewest_moves, "_with_stays", lambda _, cutting, __: cutting)
    chance = random.Random(f"again {seed}")
    rooms, stay = [], []
    for k in range(chance.randint(1, 3)):
        room = chance.randint(20, 60)
        rooms.append(room * 8)
        left = room * 8
        for _ in range(chance.randint(0, 2)):
            length = chance.randint(6, 30) * 8
            if length <= left:
                stay.append((length, k))
                left -= length + 1
    new = [chance.randint(6, 40) * 8 for _ in range(chance.randint(1, 3))]
    ids = [f"p{n}" for n in range(len(stay) + len(new))]
    lengths = [length for length, _ in stay] + new
    wood = OAK_ONLY_8.replace('"8 ft"', '"46"')  # 45 in clear
    build = bench(wood, *(part(i, f"{length // 8}", 1, 'wood = "oak"') for i, length in zip(ids, lengths, strict=True)))
    left_boards = [racked_offcut(build.wood("oak"), f"R{k}", inches(room // 8)) for k, room in enumerate(rooms)]
    at = [Fraction(0)] * len(rooms)
    lies: dict[PieceId, Place] = {}
    for i, (length, k) in zip(ids, stay, strict=False):
        lies[i, 1] = Place(board=f"rack/R{k}", at=inches(at[k]), length=inches(length // 8))
        at[k] += Fraction(length + 1, 8)
    again = replan(build, left=left_boards, done=set(), previous=lies, keep_going=patient())
    bought = sum(board.source == "dealer" for wood_ in again.plan.woods for board in wood_.boards)
    assert again.proved
    assert (bought, len(again.moved)) == by_trying_everything(rooms, 1, stay, new, 45 * 8)


# ---- shop sizes


def big_build(seed: int) -> Build:
    chance = random.Random(f"big {seed}")
    parts = []
    blanks = 0
    while blanks < 60:
        many = chance.randint(1, 6)
        length = f"{chance.randint(5, 50)} {chance.choice(('0/8', '1/8', '1/4', '3/8', '1/2', '5/8'))}"
        parts.append(part(f"p{len(parts)}", length, many, 'wood = "oak"'))
        blanks += many
    return bench(OAK.replace('"6 ft", "8 ft"', '"6 ft", "8 ft", "10 ft"').replace("15.20]", "15.20, 19.5]"), *parts)


@pytest.mark.parametrize("seed", range(4))
def test_sixty_pieces_half_of_them_cut_and_one_spoiled(seed: int) -> None:
    """Checked by the rules; tests/bench/boards_replan.py prints the time that it takes."""
    floor = followed(big_build(seed))
    order = sorted(floor.lies, key=lambda piece: (floor.lies[piece].board, floor.lies[piece].at))
    for piece in order[: len(order) // 2]:
        floor.cut(piece)
    floor.spoil(order[len(order) // 2 - 1])
    again = floor.again()
    assert len(again.moved) <= 6
    assert again.fewest <= len(again.moved)


def test_faults_are_found() -> None:
    """The checker in this file finds faults."""
    floor = followed(bench(OAK_ONLY_8, part("rail", "20", 3, 'wood = "oak"')))
    assert faults_of_plan(floor.build, floor.plan, {("rail", n): inches(20).mm for n in (1, 2, 3)}) == []
    again = floor.again()
    floor.cut(("rail", 1))
    assert "a piece is lost, or there twice" in faults(floor, again)
    assert any("clear stretch" in each for each in faults(floor, again))
