"""What wood movement requires of one piece: the slots drilled in it, the room in which it floats.

Most builds hold nothing wide: the calculation, which needs places in space, is imported only for those that do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracker.floor.floor import Floor
from tracker.measure import Length, Reading
from tracker.words import say
from tracker.work.run import Item

if TYPE_CHECKING:
    from tracker.plan.wood.fastened import SlotNeeded


def slot_words(floor: Floor, item: Item) -> tuple[str, ...]:
    """`15 3⁄4″ from Top's middle: slot 7⁄16″, screw 1⁄4″ in`, measured from the slot's inner end; a sentence for each
    distance, the outermost first."""
    slots = _slots(floor, item)
    if not slots:
        return ()
    from tracker.cards.wood.words import WoodWords

    words, said = WoodWords(floor.run.build), []
    for each in slots:
        where = say("{at} from {of}'s middle", at=words.read(each.at), of=each.of) if each.at else say("in the middle")
        inner = say(", screw {distance} in", distance=words.read(each.screw_from_inner_end)) if each.at else ""
        said.append(
            say("{where}: slot {at_least}{inner}", where=where, at_least=words.at_least(each.length), inner=inner)
        )
    return tuple(dict.fromkeys(said))


def longest_slot(floor: Floor, item: Item) -> tuple[Reading, Reading] | None:
    """The length of the longest slot in this piece, and the position of its screw when the top is put on."""
    slots = _slots(floor, item)
    if not slots:
        return None
    from tracker.cards.wood.words import WoodWords

    words = WoodWords(floor.run.build)
    return words.up(slots[0].length), floor.read(Length.of(slots[0].screw_from_inner_end, "mm"))


def _slots(floor: Floor, item: Item) -> list[SlotNeeded]:
    if not _holds_something_wide(floor):
        return []
    from tracker.floor.wood import found_in_shop
    from tracker.plan.wood import slots_by_part

    return sorted(slots_by_part(floor.run.build, found_in_shop(floor)).get(item.id, ()), key=lambda slot: -abs(slot.at))


def _holds_something_wide(floor: Floor) -> bool:
    return any(each.fastens for each in floor.run.build.assemblies)


def floating_words(floor: Floor, item: Item) -> str:
    """`floats: 3⁄32″ free at each side (handbook figure)`; empty for a piece that is held."""
    if item.kind != "piece" or not _holds_something_wide(floor):
        return ""
    from tracker.cards.wood.words import CERTAIN, WoodWords
    from tracker.floor.wood import found_in_shop
    from tracker.plan.wood import assess

    words = WoodWords(floor.run.build)
    for each in assess(floor.run.build, found_in_shop(floor)).gaps:
        if each.id == item.id:
            free = say("in all") if each.by == "inset" else say("at each side")
            return say(
                "floats: {at_least} free {free} ({certain})",
                at_least=words.at_least(each.gap),
                free=free,
                certain=CERTAIN[each.certain],
            )
    return ""
