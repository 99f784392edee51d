"""Plans for boards of different widths beside a general solver with the same limit: `python -m tests.bench.mixed_boards
[COUNT] [SECONDS]`.

The judge (CP-SAT, one thread) may lay pieces anywhere on a board, by no guillotine: its minimum is no more than any
plan for a saw. So where the planner calls its plan optimal, the judge must find none with less; elsewhere the ratio
shows what may be missed. Beside them: how long growing requests take, up to 300 pieces.
"""

from __future__ import annotations

import random
import sys
from fractions import Fraction
from time import process_time

from msgspec import Struct

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.boards import plan_boards

KERF, ENDS, EDGE = 3, 20, 5
HEAD = f"""[build]
name = "Bench"
units = "mm"
[shop]
kerf = {KERF}
[woods.oak]
species = "white oak"
rough = "27 mm"
mill = {{ face = 5, edge = {EDGE}, ends = {ENDS}, shortest = 0 }}
widths = [60, 320]
"""


class Asked(Struct, frozen=True):
    """Boards and pieces as (length, width) in whole mm: boards between their trims, pieces with what jointing takes."""

    boards: tuple[tuple[int, int], ...]
    pieces: tuple[tuple[int, int], ...]
    build: Build


class Found(Struct, frozen=True):
    """The area left without a board, the area of the boards begun, whether it is proved, and seconds of processor
    time."""

    left: int
    begun: int
    proved: bool
    seconds: float


def request(seed: int, pieces: int | None = None) -> Asked:
    """A rack and a cut list like those of a small shop."""
    dice = random.Random(seed)
    many = dice.randint(3, 12) if pieces is None else pieces
    boards = [
        (dice.randint(70, 320) * 10, dice.randint(90, 300))
        for _ in range(dice.randint(2, 6) if pieces is None else max(3, pieces // 4))
    ]
    kinds = [(dice.randint(25, 120) * 10, dice.randint(40, 200)) for _ in range(dice.randint(1, 4))]
    parts = [dice.choice(kinds) for _ in range(many)]
    text = HEAD + "".join(
        f'[[rack]]\nwood = "oak"\nname = "R{n}"\nlength = {long}\nwidth = {wide}\n'
        for n, (long, wide) in enumerate(boards)
    )
    text += "".join(
        f'[[parts]]\nid = "p{n}"\nwood = "oak"\nlength = {long}\nwidth = {wide}\n'
        for n, (long, wide) in enumerate(parts)
    )
    loaded = load_build(text)
    assert loaded.build is not None, loaded.problems
    return Asked(
        tuple((long - 2 * ENDS, wide) for long, wide in boards),
        tuple((long, wide + EDGE) for long, wide in parts),
        loaded.build,
    )


def planned(asked: Asked, seconds: float) -> Found:
    """The planner's result, checked piece by piece; a plan that can't be sawn is a failure."""
    start = process_time()
    plan = plan_boards(asked.build, keep_going=lambda: process_time() - start < seconds)
    spent = process_time() - start
    (wood,) = plan.woods
    begun = 0
    placed = set()
    for board in wood.boards:
        long, wide = asked.boards[int(board.name[1:])]
        begun += (long + 2 * ENDS) * wide
        lying = []
        for piece in board.pieces:
            number = int(piece.part[1:])
            along, across = asked.pieces[number]
            assert piece.width is not None
            assert (piece.length.mm, piece.width.mm) == (along, across)
            assert piece.at.mm >= ENDS
            assert piece.at.mm + along <= ENDS + long
            assert piece.across.mm >= 0
            assert piece.across.mm + across <= wide
            lying.append((piece.at.mm, piece.across.mm, along, across))
            placed.add(number)
        for at, one in enumerate(lying):
            for other in lying[at + 1 :]:
                assert _clear(one, other), (asked, one, other)
    left = sum(along * across for n, (along, across) in enumerate(asked.pieces) if n not in placed)
    said = any("no plan begins less" in note for note in wood.notes)
    return Found(left, begun, said or not placed, spent)


def _clear(one: tuple[Fraction, Fraction, int, int], other: tuple[Fraction, Fraction, int, int]) -> bool:
    """Whether two pieces are a kerf apart, along or across."""
    (x, y, along, across), (u, v, other_along, other_across) = one, other
    beyond = x + along + KERF <= u or u + other_along + KERF <= x
    return beyond or y + across + KERF <= v or v + other_across + KERF <= y


def judged(asked: Asked, seconds: float) -> Found:
    """The result of CP-SAT: rectangles that don't overlap, each larger by a kerf, on boards larger by a kerf."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    start = process_time()
    used = [model.new_bool_var(f"b{b}") for b in range(len(asked.boards))]
    on: list[list[cp_model.IntVar]] = []
    spans: list[list[tuple[cp_model.IntervalVar, cp_model.IntervalVar]]] = [[] for _ in asked.boards]
    for i, (along, across) in enumerate(asked.pieces):
        row = []
        for b, (long, wide) in enumerate(asked.boards):
            here = model.new_bool_var(f"p{i}b{b}")
            row.append(here)
            if along > long or across > wide:
                model.add(here == 0)
                continue
            model.add_implication(here, used[b])
            x, y = model.new_int_var(0, long - along, ""), model.new_int_var(0, wide - across, "")
            spans[b].append(
                (
                    model.new_optional_fixed_size_interval_var(x, along + KERF, here, ""),
                    model.new_optional_fixed_size_interval_var(y, across + KERF, here, ""),
                )
            )
        model.add_at_most_one(row)
        on.append(row)
    for pairs in spans:
        if pairs:
            model.add_no_overlap_2d([x for x, _ in pairs], [y for _, y in pairs])
    areas = [(long + 2 * ENDS) * wide for long, wide in asked.boards]
    heavy = sum(areas) + 1
    sizes = [along * across for along, across in asked.pieces]
    left = sum(size * (1 - sum(row)) for size, row in zip(sizes, on, strict=True))
    model.minimize(heavy * left + sum(area * each for area, each in zip(areas, used, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    spent = process_time() - start
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(sum(sizes), 0, False, spent)
    value = round(solver.objective_value)
    return Found(value // heavy, value % heavy, status == cp_model.OPTIMAL, spent)


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 1.0
    mine, its, wrong, worse, better, equal = [], [], 0, [], 0, 0
    for seed in range(count):
        asked = request(seed)
        one, other = planned(asked, seconds), judged(asked, seconds)
        mine.append(one)
        its.append(other)
        ours, theirs = (one.left, one.begun), (other.left, other.begun)
        if one.proved and theirs < ours:
            wrong += 1
            print(f"seed {seed}: called the least, and the judge has less: {ours} {theirs}")
        equal += ours == theirs
        better += ours < theirs
        if theirs < ours:
            worse.append((seed, ours, theirs))
    print(
        f"{count} requests, {seconds:g} s each: equal {equal}, the planner's better {better}, the judge's {len(worse)}"
    )
    proved = [sum(found.proved for found in each) for each in (mine, its)]
    print(f"called the least {proved[0]} (wrongly {wrong}); the judge proves {proved[1]}")
    middle = count // 2
    for name, found in (("planner", mine), ("judge", its)):
        times = sorted(f.seconds for f in found)
        print(f"{name}: median {times[middle]:.3f} s, nine of ten {times[count * 9 // 10]:.3f} s of processor time")
    begun = [(o[1], t[1]) for _, o, t in worse if o[0] == t[0]]
    if begun:
        print(
            f"where the judge begins less: {100 * sum(o / t - 1 for o, t in begun) / len(begun):.1f} % less on average"
        )
    for pieces in (10, 30, 100, 300):
        found = planned(request(7, pieces), 5.0)
        first = planned(request(7, pieces), 0.0)
        print(f"{pieces} pieces: first plan {first.seconds:.2f} s, {found.seconds:.2f} s in all, proved {found.proved}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
