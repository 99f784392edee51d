"""The saw's setups and the board plan as plain data, and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from tracker.cards.report import PLACES, Json, mm
from tracker.design.lumber import SECTIONS
from tracker.design.model import Build
from tracker.design.waste import customary_waste
from tracker.measure import Length, read_length
from tracker.plan.boards.plan import BoardPlan, CutBoard, WoodPlan
from tracker.plan.setups import Cut, Resets, Setup, Setups, piece_by_piece_resets

STOP = (
    "The stop distance is from the blade to the stop, tip to tip: the stop must be wide enough for the tip to meet it."
)


def setups_report(build: Build, plan: Setups, piece_by_piece: Resets) -> Json:
    """The setups in the order of work, how often the saw and its stop are set, and the least that is possible."""
    return {
        "build": build.name,
        "setups": [_setup(setup) for setup in plan.setups],
        "resets": {"saw": plan.resets.saw, "stop": plan.resets.stop},
        "least": {"saw": plan.least.saw, "stop": plan.least.stop},
        "proved": plan.proved,
        "piece_by_piece": {"saw": piece_by_piece.saw, "stop": piece_by_piece.stop},
    }


def _setup(setup: Setup) -> Json:
    saw = setup.setting
    return {
        "order": setup.order,
        "miter_deg": round(saw.miter_deg, PLACES),
        "bevel_deg": round(saw.bevel_deg, PLACES),
        "swing": saw.swing,
        "tilt": saw.tilt,
        "possible": saw.possible,
        "words": saw.angles,
        "stop_mm": None if setup.stop is None else mm(setup.stop),
        "stop_side": setup.stop_side,
        "sets_saw": setup.sets_saw,
        "sets_stop": setup.sets_stop,
        "cuts": [_cut(cut) for cut in setup.cuts],
    }


def _cut(cut: Cut) -> Json:
    return {
        "part": cut.part,
        "piece": cut.piece,
        "end": cut.end,
        "operation": cut.operation,
        "up": cut.setting.up,
        "fence": cut.setting.fence,
        "note": cut.setting.note,
    }


def setups_lines(build: Build, plan: Setups) -> Iterator[str]:
    """The setups as a person reads them."""
    for setup in plan.setups:
        stop = f", stop {read_length(setup.stop, build.shop.mark).plain}" if setup.stop else ""
        words = setup.setting.angles if setup.setting.possible else "not on this saw"
        yield f"{setup.order}. {words}{stop}"
        for cut in setup.cuts:
            end = f", end {cut.end}" if cut.end else ""
            yield f"     {build.part(cut.part).name} {cut.piece}: {cut.operation}{end} - {cut.setting.note}"
    if any(cut.stop and cut.end for setup in plan.setups for cut in setup.cuts):
        yield STOP
    best = "the least there is" if plan.proved else f"at least {plan.least.saw} and {plan.least.stop}"
    yield f"The saw is set {plan.resets.saw} times, the stop {plan.resets.stop} times ({best})."
    naive = piece_by_piece_resets(build)
    yield f"Piece by piece in file order: {naive.saw} saw settings, {naive.stop} stop settings."


def boards_report(plan: BoardPlan) -> Json:
    """Which pieces come from which board, and what to buy; money in the build's currency."""
    return {
        "woods": [_wood(wood) for wood in plan.woods],
        "cost": _money(plan.cost),
        "unpriced": list(plan.unpriced),
        "unplaced": [{"part": each.part, "piece": each.piece, "why": each.why} for each in plan.unplaced],
    }


def _wood(wood: WoodPlan) -> Json:
    bound = wood.bound
    return {
        "wood": wood.wood,
        "boards": [_board(board) for board in wood.boards],
        "buy": [{"length_mm": mm(length), "count": count} for length, count in to_buy(wood)],
        "cost": None if wood.cost is None else _money(wood.cost),
        "bought_mm": mm(wood.bought),
        "waste_mm": mm(wood.waste),
        "bound": mm(bound) if isinstance(bound, Length) else _money(bound),
        "bound_is": "length_mm" if isinstance(bound, Length) else "cost",
        "proved": wood.proved,
        "standing": wood.standing,
        "notes": list(wood.notes),
    }


def _board(board: CutBoard) -> Json:
    return {
        "from": board.source,
        "name": board.name,
        "length_mm": mm(board.length),
        "price": None if board.price is None else _money(board.price),
        "pieces": [
            {"part": piece.part, "piece": piece.piece, "at_mm": mm(piece.at), "length_mm": mm(piece.length)}
            for piece in board.pieces
        ],
        "offcut_mm": mm(board.longest_offcut),
        "offcuts_mm": [{"at_mm": mm(offcut.at), "length_mm": mm(offcut.length)} for offcut in board.offcuts],
    }


def to_buy(wood: WoodPlan) -> tuple[tuple[Length, int], ...]:
    """How many of each length, the longest first."""
    bought = [board.length for board in wood.boards if board.source == "dealer"]
    return tuple((length, bought.count(length)) for length in sorted(set(bought), reverse=True))


def boards_lines(build: Build, plan: BoardPlan) -> Iterator[str]:
    """The board plan as a person reads it."""

    def read(length: Length) -> str:
        return read_length(length, build.shop.mark).plain

    for wood in plan.woods:
        about = build.wood(wood.wood)
        section = SECTIONS.get(about.section)
        over = customary_waste(section) if section else None
        cost = "price not known" if wood.cost is None else f"{wood.cost:.2f} {build.currency}".strip()
        yield f"{wood.wood} ({about.species}, {about.section}): {cost}, {wood.standing}"
        for length, count in to_buy(wood):
            yield f"  buy {count} of {read(length)}"
        if over and wood.bought:
            yield f"  {over.words}"
        for board in wood.boards:
            name = f" {board.name}" if board.name else ""
            placed = ", ".join(f"{build.part(piece.part).name} {piece.piece}" for piece in board.pieces)
            yield f"  {board.source}{name} {read(board.length)}: {placed}; offcut {read(board.longest_offcut)}"
        yield from (f"  note: {note}" for note in wood.notes)
    for missing in plan.unplaced:
        yield f"  {build.part(missing.part).name} {missing.piece}: {missing.why}"
    if len(plan.woods) > 1:
        yield f"All boards: {plan.cost:.2f} {build.currency}".rstrip()


def _money(amount: Decimal) -> float:
    return float(amount)
