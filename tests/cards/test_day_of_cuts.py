"""A whole day of cuts and mishaps, judged by the log alone."""

from __future__ import annotations

import random
from itertools import pairwise
from pathlib import Path

import pytest

from tests.cards.board_shop import SHELF, Saw
from tracker.floor.boards import blank_of, followed, key_of
from tracker.floor.cut_progress import at_the_saw
from tracker.floor.replanning import needed
from tracker.measure import Length
from tracker.measure.length import of_grid
from tracker.plan.boards import clear_stretches
from tracker.work.decide.intents import Do
from tracker.work.facts import Done

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("text", [SHELF, *((SAMPLES / f"{name}.toml").read_text() for name in ("planter", "stool"))])
def test_after_a_day_of_cuts_and_mishaps_every_piece_is_cut_from_wood_that_was_there(text: str, seed: int) -> None:
    """Checked on the log alone: blanks on a board keep a kerf apart and off its trims and defects."""
    saw, chance = Saw(text), random.Random(seed)
    saw.take_plan()
    mishaps = 4
    for _ in range(200):
        boards = [b for b in followed(saw.run, saw.state) if not at_the_saw(saw.floor, b).finished]
        if not boards:
            break
        if chance.random() < 0.2:  # at the station, in any order
            waiting = [key_of(p) for board in boards for p in at_the_saw(saw.floor, board).left.pieces]
            assert saw.do(Do(chance.choice(waiting), "cut")) is None
        else:
            saw.tap(chance.choice(boards).key)
        done = [item.key for item in saw.run.pieces if saw.state.is_done(saw.run, item, "cut")]
        if mishaps and chance.random() < 0.25:
            mishaps -= 1
            assert saw.spoil(chance.choice(done)) is None
        finished = [b for b in followed(saw.run, saw.state) if at_the_saw(saw.floor, b).finished]
        for board in finished:
            card = saw.card(board.key).board
            if card and card.action.text == "Rack offcut" and chance.random() < 0.5:
                saw.tap(board.key)
        if needed(saw.floor):
            saw.take_new_plan(only_the_lost=chance.random() < 0.5)
    assert all(saw.state.is_done(saw.run, item, "cut") for item in saw.run.pieces)
    judge_the_log(saw)


def judge_the_log(saw: Saw) -> None:
    build, kerf, hair = saw.run.build, saw.run.build.shop.kerf, of_grid(4)
    taken: dict[str, list[tuple[Length, Length]]] = {}
    for entry in saw.entries:
        if isinstance(entry.fact, Done) and entry.fact.step == "cut":
            item = saw.run.items[entry.fact.item]
            assert entry.fact.board, "every cut says its board"
            at = of_grid(entry.fact.at)
            taken.setdefault(entry.fact.board, []).append((at, at + blank_of(build.part(item.id), item.number)))
    planned = {board.key: board for board in saw.state.boards(saw.run)}
    racked = saw.state.racked(saw.run)
    rack = {f"rack/{board.name}": board for board in build.rack}
    for key, places in taken.items():
        places.sort()
        for (_, end), (start, _) in pairwise(places):
            assert end + kerf <= start + hair, f"{key}: {float(end)} and {float(start)}"
        if key in rack:
            own = rack[key]
            trim = build.shop.end_trim if own.end_trim is None else own.end_trim
            clear = clear_stretches(own.length, trim, own.defects, kerf)
        elif key.removeprefix("rack/") in racked:
            clear = clear_stretches(of_grid(racked[key.removeprefix("rack/")].fact.length), of_grid(0), (), kerf)
        else:
            clear = clear_stretches(of_grid(planned[key].length), build.shop.end_trim, (), kerf)
        for start, end in places:
            assert any(s.start - hair <= start and end <= s.end + hair for s in clear), f"{key}: {float(start)}"
    for name, kept in racked.items():
        cut = sum((end - start for start, end in taken.get(kept.fact.board, [])), of_grid(0))
        whole = planned[kept.fact.board].length if kept.fact.board in planned else None
        if whole is not None:
            assert cut + of_grid(kept.fact.length) < of_grid(whole), name
