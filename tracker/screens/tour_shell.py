"""The tour's stops around the work: the first minute, what is behind More, the settings, the lock, the backups."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tracker.screens.tour import Guide


def first_minute(guide: Guide) -> Iterator[str]:
    """Someone new is shown a sample, and three things of it."""
    from tracker.screens.first_steps import SIGHTS, FirstSteps

    FirstSteps.begin()
    guide.stage.run_for(0.5, 0.1)
    for at in range(len(SIGHTS)):
        yield f"00{'abc'[at]} first steps"
        guide.tap_words("next" if at + 1 < len(SIGHTS) else "begin")


def behind_more(guide: Guide) -> Iterator[str]:
    """What has no place of its own on the rail."""
    guide.go("more")
    yield "20 more, and help"
    guide.go("settings")
    yield "21 settings"
    guide.choose_row("Hand")
    yield "22 which hand"
    guide.leave_panel()
    guide.choose_tile("wipe")
    yield "23 wiping the glass"
    guide.app.root.children[0].close()
    guide.go("restore")
    yield "24 backups"
