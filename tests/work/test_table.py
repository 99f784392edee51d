"""The rules as a table: every state of a piece and of an assembly, crossed with every intent, cell by cell.

The table, in `piece_answers` and `assembly_answers`, was written down once, for people to read. `yes` means done; a
refusal is given in its words, with a `+` if it can be done anyway.
"""

from __future__ import annotations

import pytest
from work.assembly_answers import ASSEMBLY, ASSEMBLY_USUALLY
from work.piece_answers import PIECE, PIECE_USUALLY
from work.table import ASSEMBLY_STATES, INTENTS, PIECE_STATES, answer, bench_in

CELLS = [
    (kind, state, intent)
    for kind, table in (("piece", PIECE), ("assembly", ASSEMBLY))
    for state in table
    for intent in INTENTS
]


@pytest.mark.parametrize(("kind", "state", "intent"), CELLS)
def test_every_cell_of_the_table(kind: str, state: str, intent: str) -> None:
    piece = kind == "piece"
    expected = ((PIECE if piece else ASSEMBLY)[state]).get(
        intent, (PIECE_USUALLY if piece else ASSEMBLY_USUALLY)[intent]
    )
    bench = bench_in((PIECE_STATES if piece else ASSEMBLY_STATES)[state])
    assert answer(bench, INTENTS[intent](bench, "rail:1" if piece else "frame:1")) == expected


def test_the_table_has_every_state_and_every_intent() -> None:
    assert set(PIECE) == set(PIECE_STATES)
    assert set(ASSEMBLY) == set(ASSEMBLY_STATES)
    assert set(PIECE_USUALLY) == set(ASSEMBLY_USUALLY) == set(INTENTS)
    assert len(CELLS) == (len(PIECE_STATES) + len(ASSEMBLY_STATES)) * len(INTENTS) > 900


def test_what_is_allowed_can_be_done_and_what_is_refused_writes_nothing() -> None:
    for kind, state, intent in CELLS:
        piece = kind == "piece"
        bench = bench_in((PIECE_STATES if piece else ASSEMBLY_STATES)[state])
        asked = INTENTS[intent](bench, "rail:1" if piece else "frame:1")
        allowed, before = answer(bench, asked) == "yes", len(bench.replay)
        bench.do(asked)
        assert (len(bench.replay) > before) == allowed, f"{kind}, {state}: {intent}"
