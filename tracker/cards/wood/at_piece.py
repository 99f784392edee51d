"""What the wood asks of one piece: the slots that are drilled in it, the room that it floats in."""

from __future__ import annotations

from tracker.cards.wood.words import CERTAIN, WoodWords
from tracker.floor.floor import Floor
from tracker.floor.wood import found_in_shop
from tracker.measure import Length, Reading
from tracker.plan.wood import assess, slots_by_part
from tracker.plan.wood.fastened import SlotNeeded
from tracker.work.run import Item


def slot_words(floor: Floor, item: Item) -> tuple[str, ...]:
    """`15 3⁄4″ from Top's middle: slot 7⁄16″, screw 1⁄4″ in`, from the slot's inner end; a sentence for each distance,
    the outermost first."""
    words = WoodWords(floor.run.build)
    said = []
    for each in _slots(floor, item):
        where = f"{words.read(each.at)} from {each.of}'s middle" if each.at else "in the middle"
        inner = f", screw {words.read(each.screw_from_inner_end)} in" if each.at else ""
        said.append(f"{where}: slot {words.at_least(each.length)}{inner}")
    return tuple(dict.fromkeys(said))


def longest_slot(floor: Floor, item: Item) -> tuple[Reading, Reading] | None:
    """Of the slots in this piece, how long the longest is, and where its screw is when the top is put on."""
    words, slots = WoodWords(floor.run.build), _slots(floor, item)
    if not slots:
        return None
    return words.up(slots[0].length), floor.read(Length.of(slots[0].screw_from_inner_end, "mm"))


def _slots(floor: Floor, item: Item) -> list[SlotNeeded]:
    build = floor.run.build
    if not any(each.fastens for each in build.assemblies):
        return []
    return sorted(slots_by_part(build, found_in_shop(floor)).get(item.id, ()), key=lambda slot: -abs(slot.at))


def floating_words(floor: Floor, item: Item) -> str:
    """`floats: 3⁄32″ free at each side (handbook figure)`; nothing for what is held."""
    if item.kind != "piece":
        return ""
    words = WoodWords(floor.run.build)
    for each in assess(floor.run.build, found_in_shop(floor)).gaps:
        if each.id == item.id:
            free = "in all" if each.by == "inset" else "at each side"
            return f"floats: {words.at_least(each.gap)} free {free} ({CERTAIN[each.certain]})"
    return ""
