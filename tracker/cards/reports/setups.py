"""The saw's setups as plain data, and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.cards.reports.boards import PLAIN
from tracker.cards.reports.numbers import PLACES, Json, mm
from tracker.design.model import Build
from tracker.measure import read_length
from tracker.plan.milling import Milling, milling, piece_by_piece, setting_words
from tracker.plan.setups import Cut, Resets, Rip, Setup, Setups, piece_by_piece_resets, plan_rips
from tracker.words import say, say_many

STOP = say(
    "The stop distance is from the blade to the stop, tip to tip: the stop must be wide enough for the tip to meet it."
)


def setups_report(build: Build, plan: Setups, piece_by_piece: Resets) -> Json:
    """The setups in the order of work, how often the saw and its stop are set, and the least possible number."""
    return {
        "build": build.name,
        "setups": [_setup(setup) for setup in plan.setups],
        "rips": [_rip(rip) for rip in plan_rips(build)],
        "milling": [_milling(build, each) for each in milling(build)],
        "resets": {"saw": plan.resets.saw, "stop": plan.resets.stop},
        "least": {"saw": plan.least.saw, "stop": plan.least.stop},
        "proved": plan.proved,
        "piece_by_piece": {"saw": piece_by_piece.saw, "stop": piece_by_piece.stop},
    }


def _rip(rip: Rip) -> Json:
    """One setting of the rip fence; a piece is ripped after its blank is cut and before its ends are trimmed."""
    return {
        "fence_mm": mm(rip.fence),
        "cuts": [{"part": part, "piece": number, "operation": "rip"} for part, number in rip.pieces],
    }


def _milling(build: Build, each: Milling) -> Json:
    """One setting of the jointer, the bandsaw, the planer or the table saw, for the whole stack."""
    return {
        "operation": each.operation,
        "setting_mm": None if each.setting is None else mm(each.setting),
        "words": setting_words(build, build.part(each.pieces[0][0]), each.operation),
        "pieces": [{"part": part, "piece": number} for part, number in each.pieces],
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
    """The setups for people."""
    for setup in plan.setups:
        stop = (
            say(", stop block at {plain}", plain=read_length(setup.stop, build.shop.mark).plain) if setup.stop else ""
        )
        words = setup.setting.angles if setup.setting.possible else say("not on this saw")
        yield f"{setup.order}. {words}{stop}"
        for cut in setup.cuts:
            end = say(", end {end}", end=cut.end) if cut.end else ""
            yield f"     {build.part(cut.part).name} {cut.piece}: {cut.operation}{end} - {cut.setting.note}"
    stack = milling(build)
    milled = {piece for each in stack for piece in each.pieces}
    for rip in plan_rips(build):
        pieces = [piece for piece in rip.pieces if piece not in milled]  # milled pieces are ripped last: see below
        if pieces:
            yield say("Rip fence at {plain}", plain=read_length(rip.fence, build.shop.mark).plain)
        for part, number in pieces:
            yield say("     {part} {number}: rip", part=build.part(part).name, number=number)
    yield from _milling_lines(build, stack)
    if any(cut.stop and cut.end for setup in plan.setups for cut in setup.cuts):
        yield STOP
    best = (
        say("the least there is")
        if plan.proved
        else say("at least {saw} and {stop}", saw=plan.least.saw, stop=plan.least.stop)
    )
    saw, stop = (say_many("{count} time", "{count} times", each) for each in (plan.resets.saw, plan.resets.stop))
    yield say("The saw is set {saw}, the stop {stop} ({best}).", saw=saw, stop=stop, best=best)
    naive = piece_by_piece_resets(build)
    saws = say_many("{count} saw setting", "{count} saw settings", naive.saw)
    settings = f"{saws}, {say_many('{count} stop setting', '{count} stop settings', naive.stop)}"
    yield say("Piece by piece in file order: {settings}.", settings=settings)


def _milling_lines(build: Build, stack: tuple[Milling, ...]) -> Iterator[str]:
    """The whole stack, machine by machine; each is set once for each number."""
    if stack:
        yield say("Milling, once the blanks are cut and before anything is trimmed:")
    for each in stack:
        words = setting_words(build, build.part(each.pieces[0][0]), each.operation).translate(PLAIN)
        yield f"{each.operation.capitalize()}: {words}"
        numbers: dict[str, list[int]] = {}
        for part, number in each.pieces:
            numbers.setdefault(part, []).append(number)
        for part, which in numbers.items():
            yield f"     {build.part(part).name} {', '.join(map(str, which))}"
    if stack:
        count = sum(each.setting is not None for each in stack)
        naive = piece_by_piece(build)
        by_part = say_many("{count} time", "{count} times", naive)
        yield say(
            "Machines are set {times} for milling (the least there is); part by part {by_part}.",
            times=say_many("{count} time", "{count} times", count),
            by_part=by_part,
        )
