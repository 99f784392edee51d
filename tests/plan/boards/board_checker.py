"""Checks board plans by the rules of the build file only; shares no code with the planner.

Every function returns the faults as sentences; an empty list means a good plan.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from tracker.design.model import Build
from tracker.plan.boards import BoardPlan, CutBoard, Cutting, Request


def faults_of_cutting(request: Request, cutting: Cutting) -> list[str]:
    """The faults of a plan in whole numbers: every run once, stretches hold their runs and the kerfs between, sums are
    right."""
    faults = []
    seen = Counter(i for board in cutting.boards for runs in board.stretches for i in runs)
    seen.update(cutting.unplaced)
    for i in range(len(request.runs)):
        if seen[i] != 1:
            faults.append(f"run {i} is there {seen[i]} times")
    if len(seen) != len(request.runs):
        faults.append("there are runs that nobody asked for")
    for board in cutting.boards:
        stock = request.stocks[board.stock]
        if len(board.stretches) != len(stock.stretches):
            faults.append("a board with the wrong number of stretches")
        for room, runs in zip(stock.stretches, board.stretches, strict=True):
            need = sum(request.runs[i] for i in runs) + max(0, len(runs) - 1) * request.kerf
            if need > room:
                faults.append(f"{need} in a stretch of {room}")
    used = Counter(board.stock for board in cutting.boards)
    for stock_index, count in used.items():
        supply = request.stocks[stock_index].supply
        if supply is not None and count > supply:
            faults.append(f"stock {stock_index} is used {count} times")
    if cutting.price != sum(request.stocks[board.stock].price for board in cutting.boards):
        faults.append("the price is not that of the boards")
    if cutting.length != sum(request.stocks[board.stock].length for board in cutting.boards):
        faults.append("the length is not that of the boards")
    if cutting.price_bound > cutting.price:
        faults.append("the plan costs less than its bound")
    if cutting.proof.price and cutting.price_bound != cutting.price:
        faults.append("said to be proved, and it isn't")
    return faults


def faults_of_plan(build: Build, plan: BoardPlan, blanks: dict[tuple[str, int], Fraction]) -> list[str]:
    """The faults of a whole build's plan, in exact millimetres. `blanks`: lengths along the board, from the test."""
    faults = []
    placed = Counter((p.part, p.piece) for wood in plan.woods for board in wood.boards for p in board.pieces)
    placed.update((p.part, p.piece) for p in plan.unplaced)
    wanted = {(part.id, n) for part in build.parts for n in range(1, part.quantity + 1)}
    faults += [f"{piece} is there {placed[piece]} times" for piece in wanted if placed[piece] != 1]
    faults += [f"{piece} was never asked for" for piece in placed if piece not in wanted]
    for wood in plan.woods:
        for board in wood.boards:
            faults += _board_faults(build, wood.wood, board, blanks)
        faults += _rack_faults(build, wood.wood, wood.boards)
        cost = sum(board.price or 0 for board in wood.boards)
        if wood.cost is not None and wood.cost != cost:
            faults.append(f"{wood.wood} costs {cost}, not {wood.cost}")
        bought = sum((board.length.mm for board in wood.boards if board.source == "dealer"), Fraction(0))
        if wood.bought.mm != bought:
            faults.append(f"{wood.wood}: the bought length is wrong")
    return faults + _sequence_faults(build, plan)


def _board_faults(build: Build, wood: str, board: CutBoard, blanks: dict[tuple[str, int], Fraction]) -> list[str]:
    """Pieces are in order, neighbours a kerf apart, and nothing is in a trim or a defect."""
    faults = []
    kerf, trim = build.shop.kerf.mm, build.shop.end_trim.mm
    defects: list[tuple[Fraction, Fraction]] = []
    if board.source == "rack":
        (mine,) = [each for each in build.rack if each.name == board.name and each.wood == wood]
        trim = trim if mine.end_trim is None else mine.end_trim.mm
        # a defect narrower than the kerf counts as wide as the kerf, from where it begins
        defects = [(a.mm, max(b.mm, a.mm + kerf)) for a, b in mine.defects]
    previous = None
    for piece in board.pieces:
        start, end = piece.at.mm, piece.at.mm + piece.length.mm
        if piece.length.mm != blanks[piece.part, piece.piece]:
            faults.append(f"{piece.part} {piece.piece} has the wrong blank length")
        if start < trim or end > board.length.mm - trim:
            faults.append(f"{piece.part} {piece.piece} lies in an end trim")
        if any(start < last and first < end for first, last in defects):
            faults.append(f"{piece.part} {piece.piece} lies in a defect")
        if previous is not None and start - previous < kerf:
            faults.append(f"no kerf before {piece.part} {piece.piece}")
        previous = end
    for offcut in board.offcuts:
        first, last = offcut.at.mm, offcut.at.mm + offcut.length.mm
        if any(first < p.at.mm + p.length.mm + kerf and p.at.mm < last for p in board.pieces):
            faults.append("an offcut and a piece, or its kerf, in one place")
        if any(first < b and a < last for a, b in defects) or first < trim or last > board.length.mm - trim:
            faults.append("an offcut that is not clear")
    return faults


def _rack_faults(build: Build, wood: str, boards: tuple[CutBoard, ...]) -> list[str]:
    on_rack = {board.name: board.length for board in build.rack if board.wood == wood}
    used = Counter(board.name for board in boards if board.source == "rack")
    faults = [f"rack board {name} is cut {count} times" for name, count in used.items() if count > 1]
    for board in boards:
        if board.source == "rack" and on_rack.get(board.name) != board.length:
            faults.append(f"there is no {board.name} of that length")
        if board.source == "dealer" and board.length not in build.wood(wood).lengths:
            faults.append(f"nobody sells {wood} so long")
    return faults


def _sequence_faults(build: Build, plan: BoardPlan) -> list[str]:
    """The pieces of a sequence are neighbours, a kerf apart, in the order of the file."""
    faults = []
    for name in {part.sequence for part in build.parts if part.sequence}:
        order = [(part.id, n) for part in build.parts if part.sequence == name for n in range(1, part.quantity + 1)]
        lost = {(p.part, p.piece) for p in plan.unplaced}
        order = [piece for piece in order if piece not in lost]
        rows = [[p for p in board.pieces if (p.part, p.piece) in order] for wood in plan.woods for board in wood.boards]
        rows = [row for row in rows if row]
        if not order:
            continue
        if len(rows) != 1 or [(p.part, p.piece) for p in rows[0]] != order:
            faults.append(f"the sequence {name} is not on one board in order")
            continue
        for a, b in zip(rows[0], rows[0][1:], strict=False):
            if b.at.mm - (a.at.mm + a.length.mm) != build.shop.kerf.mm:
                faults.append(f"something lies within the sequence {name}")
    return faults
