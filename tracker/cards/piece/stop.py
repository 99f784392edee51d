"""The distance of the stop from the blade for a piece's next cut."""

from __future__ import annotations

from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import setups_of
from tracker.words import say
from tracker.work.operations import Step
from tracker.work.run import Item


def stop_words(floor: Floor, item: Item, step: Step | None) -> str:
    """`stop 9 1⁄4″`; empty for a step without a stop."""
    stops = [setup.stop for setup in setups_of(floor, item, step) if setup.stop] if step else []
    return say("stop {stops}", stops=floor.read(stops[-1]).text) if stops else ""
