"""The commands with a stranger's file, within the fence: boards, setups, labels, restore."""

from __future__ import annotations

import io
import json
import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from faults import strangers
from faults.databases import stranger
from faults.day import SAMPLES, HandClock, acts
from faults.guard import Fence, bounded_memory

from tracker.cards.boards.sheet import board_sheet
from tracker.cards.labels.labels_of_run import label_keys, labels_for
from tracker.cards.reports.boards import boards_lines, boards_report, plan_proof_words
from tracker.cards.reports.setups import setups_lines, setups_report
from tracker.design.model import Build
from tracker.design.name_lookup import nearest
from tracker.floor.boards import laid_out
from tracker.paper.board_sheet import write_board_sheet
from tracker.paper.labels import missing_signs
from tracker.paper.printout import Printout
from tracker.paper.sheets import DEFAULT_A4, DEFAULT_LETTER, sheet_named
from tracker.plan.boards import plan_boards
from tracker.plan.setups import piece_by_piece_resets, plan_setups
from tracker.shop import Shop, read_build
from tracker.store.closed_copy import proven_rows, settings_in
from tracker.store.errors import DamagedLogError
from tracker.store.log import Log
from tracker.work.run import start_run

THINK_SECONDS = 0.5
"""Seconds of this process's own time; a person gives the planner more, and it returns its best by then."""


def boards(build: Build) -> None:
    """`kerfcard boards`, its JSON and its sheet."""
    until = time.process_time() + THINK_SECONDS
    plan = plan_boards(build, keep_going=lambda: time.process_time() < until)
    json.dumps(boards_report(build, plan))
    list(boards_lines(build, plan))
    write_board_sheet(io.BytesIO(), board_sheet(start_run(build), laid_out(plan), plan_proof_words(plan)), "a4")


def setups(build: Build) -> None:
    """`kerfcard setups`, its JSON and its lines."""
    plan = plan_setups(build)
    json.dumps(setups_report(build, plan, piece_by_piece_resets(build)))
    list(setups_lines(build, plan))


MOST_LABELS = 60
"""Long printouts are measured elsewhere; here the question is what stops the drawing."""


def labels(build: Build) -> None:
    """`kerfcard labels -o`, with the boards on the rack."""
    run = start_run(build)
    keys = label_keys(run)[:MOST_LABELS]
    sheet = sheet_named(DEFAULT_LETTER if build.units == "in" else DEFAULT_A4)
    if keys:
        Printout(sheet=sheet, labels=tuple(labels_for(run, keys)), title=build.name).write(io.BytesIO())
        missing_signs(labels_for(run, keys))


def _worked_on(work: Callable[[Build], None]) -> Callable[[int, int, Path], Fence]:
    """A kind of fuzzing: what can be read of a stranger's build file is processed."""

    def fuzz(count: int, seed: int, folder: Path) -> Fence:
        path = folder / "stranger.toml"
        nearest("lenght", ("length",))  # import what is imported late
        for sample in sorted(SAMPLES.glob("*.toml")):
            build = read_build(sample).build
            assert build is not None
            work(build)
        fence = Fence()
        with bounded_memory():
            for data in _files(count, seed):
                path.write_bytes(data)

                def read() -> bool:
                    build = read_build(path).build
                    if build is not None:
                        work(build)
                    return build is not None

                fence.run(data, read, path)
        return fence

    return fuzz


def _files(count: int, seed: int) -> Iterator[bytes]:
    """Build files: only a quarter of the changed ones can still be read, so unchanged samples are mixed in."""
    chance = random.Random(seed)
    for _ in range(count):
        yield strangers.build_file(chance)


def restored(count: int, seed: int, folder: Path) -> Fence:
    """`kerfcard restore FILE`: databases with an altered schema, rows or bytes."""
    shop = Shop(folder / "home", HandClock())
    for act in acts(shop, 30):
        act()
    good = shop.back_up()
    shop.close()
    truth = {row.id: row for row in proven_rows(good)}
    settings_in(good)
    Log.in_memory(truth.values(), "").close()
    fence = Fence(also=frozenset({"sqlite3.connect", "sqlite3.connect/handle"}))
    chance, path = random.Random(seed), folder / "stranger.db"
    with bounded_memory():
        for _ in range(count):
            stranger(path, good.read_bytes(), chance)

            def read() -> bool:
                try:
                    rows = list(proven_rows(path))
                    copied = Log.in_memory(rows, "")
                except DamagedLogError:
                    return False
                assert all(truth.get(row.id) == row for row in rows)
                assert list(copied.rows()) == rows
                copied.close()
                assert all(isinstance(value, str) for value in settings_in(path).values())
                return True

            fence.run(path.read_bytes(), read, path)
    return fence


KINDS: dict[str, Callable[[int, int, Path], Fence]] = {
    "boards": _worked_on(boards),
    "setups": _worked_on(setups),
    "labels": _worked_on(labels),
    "records to put back": restored,
}
