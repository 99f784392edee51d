"""Each sign has one meaning in every state of the work's table: a card shows the sign of what its button does."""

from __future__ import annotations

from typing import get_args

import pytest
from work.one_tablet import Bench
from work.table import ASSEMBLY_STATES, PIECE_STATES, RUN, Made, bench_in

from tracker.cards import marks as signs
from tracker.cards.glueup.glueup import assembly_card, assembly_rows
from tracker.cards.piece.action import next_action
from tracker.cards.piece.piece import piece_card
from tracker.cards.station.station import STATION_WORDS, queue_card
from tracker.floor.floor import Floor
from tracker.work.misfits import misfits

STATES = {f"{kind}: {name}": made for kind, states in (("piece", PIECE_STATES), ("assembly", ASSEMBLY_STATES))
          for name, made in states.items()}  # fmt: skip


def floor_of(bench: Bench) -> Floor:
    return Floor(RUN, bench.state, bench.now)


def test_the_table_of_signs_names_each_once() -> None:
    rows = [line for line in (signs.__doc__ or "").splitlines() if line.startswith(("| `", "| nothing"))]
    named = [line.split("|")[1].strip().strip("`") for line in rows]
    assert sorted(named) == sorted([*get_args(signs.Tone), "nothing"])


@pytest.mark.parametrize("made", STATES.values(), ids=list(STATES))
def test_every_mark_means_one_thing(made: tuple[Made, ...]) -> None:
    bench = bench_in(made)
    floor = floor_of(bench)
    for item in RUN.items.values():
        card = piece_card(floor, item.key) if item.kind == "piece" else assembly_card(floor, item.key)
        live = card.action.ready or bool(getattr(card, "opens", None))
        for step, mark in zip(item.route, card.marks, strict=False):
            done = bench.state.is_done(RUN, item, step.id)
            wrong = any(each.step == step.id for each in misfits(RUN, bench.state, item))
            assert (mark.tone == "done") == (done and not wrong), f"{item.short}: {mark.word} is {mark.tone}"
            assert (mark.tone == "caution") == wrong
            assert mark.tone != "waiting" or not live, f"{item.short}: an hourglass beside a live button"
            assert mark.tone != "ready" or live, f"{item.short}: a ring, and the button is dead"


@pytest.mark.parametrize("made", STATES.values(), ids=list(STATES))
def test_rows_say_what_is_next_or_what_is_in_the_way(made: tuple[Made, ...]) -> None:
    floor = floor_of(bench_in(made))
    for row in assembly_rows(floor):
        card = assembly_card(floor, row.key)
        live = card.action.ready or card.opens is not None
        assert (row.tone == "ready") == live
        assert row.said.startswith("Next: ") == live
    for station in STATION_WORDS:
        for group in queue_card(floor, station).groups:
            for row in group.rows:
                action = next_action(floor, floor.item(row.key))
                assert (row.tone == "ready") == action.ready, (row.title, row.said)
                assert not (row.tone == "waiting" and action.ready)
