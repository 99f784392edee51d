"""The tour's part at the boards: a plan is chosen, cuts are ticked, a piece is spoiled; the shopping list."""

from __future__ import annotations

import time
from collections.abc import Iterator

from tracker.screens.toolkit.buttons import SmallButton
from tracker.tour.guide import Guide
from tracker.words import say

PATIENCE = 60.0


def boards(guide: Guide) -> Iterator[str]:
    """The boards of the current build; yields the name of what is on the screen."""
    guide.go("boards")
    wait_for_plans(guide)
    yield "17a the boards to cut from"
    guide.tap_kind(SmallButton, text=say("All boards"))
    yield "17a1 all boards"
    guide.leave_panel()
    guide.tap_button()
    yield "17b the first cut of a board"
    guide.tap_button()
    guide.tap_button()
    guide.tap_kind(SmallButton, text="Scrap")
    guide.choose(guide.app.root.screen.card.board.spoilable[0][1])
    guide.tap_words("cut too short")
    guide.app.root.children[0].spoil()  # what its button does after it was held
    wait_for_plans(guide)
    yield "17c planned again"
    guide.tap_button()
    guide.go("shopping")
    yield "17d what to buy"


def wait_for_plans(guide: Guide) -> None:
    """Run until no better plan will come. The search is a real process, so this takes real time."""
    search = guide.app.board_search
    end = time.perf_counter() + PATIENCE
    guide.stage.frames(2)
    while search.searching and time.perf_counter() < end:
        time.sleep(0.005)
        guide.stage.frames(1)
    guide.stage.run_for(0.5, 0.1)
