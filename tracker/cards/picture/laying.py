"""Laying down a glue-up part by part: the picture and the words of one step."""

from __future__ import annotations

from tracker.cards.picture.furniture import FurnitureCard, item_numbered
from tracker.cards.picture.laying_words import laying_lines, order_words
from tracker.floor.floor import Floor
from tracker.plan.laying import Order
from tracker.words import say
from tracker.work.run import Item, item_key


def laying_card(floor: Floor, key: str, order: Order, step: int) -> FurnitureCard:
    """Step `step` of an assembly, from 1: this part highlighted, those before it as wood, the others as outlines."""
    item = floor.item(key)
    now = _now(floor, item)
    lines = laying_lines(floor.run.build, order, lambda place: floor.item(now[item_key(*place)]).short)
    step = max(1, min(step, len(lines)))
    line = lines[step - 1]
    row = f"{line.row}. " if line.row else ""
    how = f"{order_words(order)} " if step == 1 else ""
    return FurnitureCard(
        title=say("{name}: part {step} of {count}", name=item.title, step=step, count=len(lines)),
        said=f"{how}{row}{line.words}",
        assembly=item_numbered(item),
        here=frozenset(line.pieces),
        done=frozenset(piece for before in lines[: step - 1] for piece in before.pieces),
        steps=len(lines),
        step=step,
    )


def _now(floor: Floor, item: Item) -> dict[str, str]:
    """For each piece and assembly inside this one, whose place in the file it has: after swaps, what is there now."""
    found: dict[str, str] = {}
    for place, there in zip(item.members, floor.state.members(floor.run, item), strict=True):
        found[place] = there
        found |= _now(floor, floor.item(place))
    return found
