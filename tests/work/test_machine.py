"""A few thousand taps at random; `python -m tests.work.machine 100000` taps more."""

from __future__ import annotations

import os

from work import machine


def test_whatever_is_tapped_nothing_illegal_stands_and_every_undo_leaves_no_trace() -> None:
    before = sum(machine.intents.values())
    machine.run(int(os.environ.get("KERFCARD_INTENTS", "2000")))
    assert sum(machine.intents.values()) - before > 1000
    assert {"Do", "Spoil", "Swap", "Prove", "UndoEntry", "Rack", "Overrule"} <= set(machine.intents)
