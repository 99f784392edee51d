"""Two general solvers on the same requests, as judges of the board planner: least price, one thread each."""

from __future__ import annotations

import resource
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from multiprocessing import get_context
from multiprocessing.connection import Connection
from time import process_time

import highspy
import numpy as np
from ortools.sat.python import cp_model

from tracker.plan.boards import Request


@dataclass(frozen=True, slots=True)
class Verdict:
    """The least price found and whether it is proved; seconds of processor time."""

    price: int | None
    proved: bool
    seconds: float


class Stopwatched:
    """A judge in a separate process with a limit of processor time, because not all of them keep to a limit
    themselves."""

    def __init__(self, judge: Callable[[Request, float], Verdict]) -> None:
        self._judge = judge
        self._start()

    def __str__(self) -> str:
        return self._judge.__name__

    def _start(self) -> None:
        mine, its = get_context("fork").Pipe()
        self._pipe = mine
        self._process = get_context("fork").Process(target=_serve, args=(self._judge, its), daemon=True)
        self._process.start()
        its.close()

    def ask(self, request: Request, seconds: float) -> None:
        """Start the judge; `answer` waits for its verdict."""
        self._seconds = seconds
        self._pipe.send((request, seconds))

    def answer(self) -> Verdict:
        try:
            verdict: Verdict = self._pipe.recv()
            return verdict
        except EOFError:  # out of time: the system has ended it
            self._process.join()
            self._start()
            return Verdict(None, False, self._seconds)


PATIENCE = 100
"""Wall-clock seconds per second of processor time, on a machine that does other things too."""


def _serve(judge: Callable[[Request, float], Verdict], pipe: Connection) -> None:
    while True:
        request, seconds = pipe.recv()
        _, hard = resource.getrlimit(resource.RLIMIT_CPU)
        resource.setrlimit(resource.RLIMIT_CPU, (ceil(process_time() + seconds), hard))
        pipe.send(judge(request, PATIENCE * seconds))


def _sizes(request: Request) -> list[tuple[int, int]]:
    """(size with its kerf, how many), longest first."""
    return sorted(Counter(run + request.kerf for run in request.runs).items(), reverse=True)


def _bins(request: Request) -> tuple[list[tuple[int, int]], list[int]]:
    """(capacity, price) of what can be bought, and the capacities of the rack's stretches; one kerf added to each."""
    bought = [(s.stretches[0] + request.kerf, s.price) for s in request.stocks if s.supply is None and s.stretches]
    rack = [room + request.kerf for s in request.stocks if s.supply is not None for room in s.stretches]
    return bought, rack


def _boards_enough(sizes: list[tuple[int, int]], capacity: int) -> int:
    """How many of the longest board first-fit decreasing needs: no plan needs more boards than a small multiple of
    it."""
    left: list[int] = []
    for size, count in sizes:
        for _ in range(count):
            at = next((b for b, room in enumerate(left) if room >= size), None)
            if at is None:
                left.append(capacity)
                at = len(left) - 1
            left[at] -= size
    return len(left)


def by_cp_sat(request: Request, seconds: float) -> Verdict:
    """CP-SAT on the assignment model: how many of each size in each board, and which length each board is."""
    began = process_time()
    sizes = _sizes(request)
    bought, rack = _bins(request)
    longest, shortest = max(c for c, _ in bought), min(c for c, _ in bought)
    boards = min(sum(n for _, n in sizes), _boards_enough(sizes, longest) * -(-longest // shortest))
    model = cp_model.CpModel()
    inside: list[list[cp_model.IntVar]] = []
    chosen: list[list[cp_model.IntVar]] = []
    for capacity in rack:
        row = [model.new_int_var(0, min(n, capacity // s), "") for s, n in sizes]
        model.add(sum(s * x for (s, _), x in zip(sizes, row, strict=True)) <= capacity)
        inside.append(row)
    for b in range(boards):
        row = [model.new_int_var(0, min(n, longest // s), "") for s, n in sizes]
        kinds = [model.new_bool_var("") for _ in bought]
        model.add_at_most_one(kinds)
        room = sum(c * y for (c, _), y in zip(bought, kinds, strict=True))
        model.add(sum(s * x for (s, _), x in zip(sizes, row, strict=True)) <= room)
        if b:  # boards are interchangeable: longest first
            model.add(room <= sum(c * y for (c, _), y in zip(bought, chosen[-1], strict=True)))
        inside.append(row)
        chosen.append(kinds)
    for i, (_, n) in enumerate(sizes):
        model.add(sum(row[i] for row in inside) == n)
    model.minimize(sum(p * y for kinds in chosen for (_, p), y in zip(bought, kinds, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    price = round(solver.objective_value) if found else None
    return Verdict(price, status == cp_model.OPTIMAL, process_time() - began)


def by_highs(request: Request, seconds: float) -> Verdict:
    """HiGHS on the arc-flow model (Valério de Carvalho 1999, 2002): a pattern is a path, a board is the arc that ends
    it."""
    began = process_time()
    sizes = _sizes(request)
    bought, rack = _bins(request)
    arcs = _arcs(sizes, max(c for c, _ in [*bought, *((c, 0) for c in rack)]))
    nodes = sorted({0, *(a for a, _, _ in arcs), *(b for _, b, _ in arcs)})
    row_of = {node: r for r, node in enumerate(nodes)}
    ends = [(c, float(p), highspy.kHighsInf) for c, p in bought] + [
        (c, 0.0, float(n)) for c, n in Counter(rack).items()
    ]
    # rows: flow is kept at every node, then every demand; columns: arcs, then for each end an arc from every node
    columns: list[tuple[float, float, list[tuple[int, float]]]] = []
    most = float(sum(n for _, n in sizes))
    for a, b, i in arcs:
        columns.append((0.0, float(sizes[i][1]), [(row_of[a], -1.0), (row_of[b], 1.0), (len(nodes) + i, 1.0)]))
    extra = len(nodes) + len(sizes)
    for e, (capacity, price, supply) in enumerate(ends):
        top = row_of[max(n for n in nodes if n <= capacity)]
        columns.append((price, min(supply, most), [(extra + e, -1.0), (0, 1.0)]))
        columns += [(0.0, most, [(r, -1.0), (extra + e, 1.0)]) for r in range(1, top + 1)]
    model = _as_lp(columns, [0.0] * len(nodes) + [float(n) for _, n in sizes] + [0.0] * len(ends))
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", max(0.01, seconds - (process_time() - began)))
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    solver.passModel(model)
    solver.run()
    info = solver.getInfo()
    proved = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    found = info.primal_solution_status == 2
    return Verdict(round(info.objective_function_value) if found else None, proved, process_time() - began)


def _arcs(sizes: list[tuple[int, int]], longest: int) -> list[tuple[int, int, int]]:
    """Arcs (from, to, size index), sizes falling along every path, at most the demand of each size."""
    arcs: set[tuple[int, int, int]] = set()
    reached = {0}
    for i, (size, count) in enumerate(sizes):
        fresh = set()
        for start in reached:
            at = start
            for _ in range(count):
                if at + size > longest:
                    break
                arcs.add((at, at + size, i))
                at += size
                fresh.add(at)
        reached |= fresh
    return sorted(arcs)


def _as_lp(columns: list[tuple[float, float, list[tuple[int, float]]]], rows: list[float]) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(columns), len(rows)
    lp.col_cost_ = np.array([cost for cost, _, _ in columns])
    lp.col_lower_ = np.zeros(len(columns))
    lp.col_upper_ = np.array([upper for _, upper, _ in columns])
    lp.row_lower_ = lp.row_upper_ = np.array(rows)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(columns)
    starts = np.cumsum([0] + [len(entries) for _, _, entries in columns])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = starts
    lp.a_matrix_.index_ = np.array([row for _, _, entries in columns for row, _ in entries])
    lp.a_matrix_.value_ = np.array([value for _, _, entries in columns for _, value in entries])
    return lp
