"""What the wood of an assembly will do, as it matters while that is joined and proved: for its card and its sheet.

A line's title is what is read from two metres; what it rests on is below it.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from tracker.cards.marks import Tone
from tracker.cards.wood.words import CERTAIN, WoodWords
from tracker.design.one_blank import is_matched
from tracker.floor.board_words import names_of
from tracker.floor.floor import Floor
from tracker.floor.wood import found_in_shop, moisture_words
from tracker.measure.spelling import spelled
from tracker.plan.wood import Assessment, assess, held_in
from tracker.plan.wood.assessment import MitreGap
from tracker.plan.wood.fastened import Gap, Held, SlotNeeded
from tracker.work.run import Item

SEEN = 0.3
"""Millimetres that a mitre opens before anybody sees it; common practice, no source."""


class WoodLine(Struct, frozen=True, kw_only=True):
    """One thing to know. `brief` says it on the card itself; empty where that has nothing to add."""

    title: str
    said: str
    tone: Tone
    brief: str = ""


class WoodCard(Struct, frozen=True, kw_only=True):
    """What the wood of one assembly will do. `tile` is its movement in large, `of` what moves."""

    key: str
    title: str
    lines: tuple[WoodLine, ...]
    tile: str
    tile_said: str
    foot: str


def wood_card(floor: Floor, key: str) -> WoodCard:
    """All there is to say of one assembly; without lines where nothing of it moves, or nothing is known."""
    item = floor.item(key)
    found = found_in_shop(floor)
    assessment = assess(floor.run.build, found)
    held = (*(each for each in assessment.held if each.assembly == item.id), *held_in(floor.run.build, item.id, found))
    lines = tuple(_lines(floor, item, assessment, held))
    tile, said = _tile(floor, item, assessment, held)
    return WoodCard(
        key=key,
        title=item.title,
        lines=lines,
        tile=tile,
        tile_said=said,
        foot=moisture_words(floor, assessment.seasons),
    )


def briefly(card: WoodCard) -> tuple[str, ...]:
    """What the assembly's own card says of it, the warnings first."""
    order: dict[Tone, int] = {"caution": 0}
    said = (line for line in sorted(card.lines, key=lambda line: order.get(line.tone, 1)) if line.brief)
    return tuple(dict.fromkeys(line.brief for line in said))


def _tile(floor: Floor, item: Item, found: Assessment, held: tuple[Held, ...]) -> tuple[str, str]:
    """The largest movement of what it fastens."""
    words = WoodWords(floor.run.build)
    ids = {each.id for each in floor.run.build.assembly(item.id).fastens}
    ids |= {each.id for each in held if each.verdict == "no"}
    moving = [each for each in found.movements if each.id in ids]
    if not moving:
        return "", ""
    most = max(moving, key=lambda each: abs(each.damp - each.dry))
    return words.small(most.damp - most.dry), f"{most.of} moves"


def _lines(floor: Floor, item: Item, found: Assessment, held: tuple[Held, ...]) -> Iterator[WoodLine]:
    words = WoodWords(floor.run.build)
    yield from _matched(floor, item)
    yield from (_solid(words, each) for each in held if each.verdict != "fine")
    yield from _slots(words, [each for each in found.slots if each.assembly == item.id])
    yield from (_gap(words, each) for each in found.gaps if each.assembly == item.id)
    yield from (_mitre(words, each) for each in found.mitres if each.id == item.id and each.gap >= SEEN)
    ids = {id_ for id_, _ in floor.run.build.assembly(item.id).joins} | {item.id}
    for each in found.movements:
        if each.id in ids and abs(each.damp - each.dry) >= SEEN:
            dry, damp = words.small(each.dry), words.small(each.damp)
            yield WoodLine(
                title=f"{each.of} moves {words.small(each.damp - each.dry)}",
                said=f"{words.read(each.width)} across the grain: {_way(each.dry)} {dry} in the driest season, "
                f"{_way(each.damp)} {damp} in the dampest ({CERTAIN[each.certain]}).",
                tone="ready",
            )


def _matched(floor: Floor, item: Item) -> Iterator[WoodLine]:
    """Leaves of one board that go into one assembly: how they are laid so that they match."""
    for key in floor.state.members(floor.run, item):
        leaf = floor.item(key)
        mates = [each for each in leaf.blank if floor.state.into(floor.run, floor.item(each)) == item.key]
        whole = floor.run.build.assembly(item.id)
        if leaf.kind == "piece" and is_matched(floor.part(leaf), whole) and mates and mates[0] == key:
            names = names_of(floor.run, mates)
            yield WoodLine(
                title=f"{names}: a book match",
                said="Sawn faces up, ends A side by side; the edges that lay together in the board meet at the seam. "
                "The triangle on the ends and the arrows show it.",
                tone="ready",
                brief=f"{names}: open like a book, sawn faces up, ends A together",
            )


def _way(millimetres: float) -> str:
    return "shrinks" if millimetres < 0 else "swells"


def _solid(words: WoodWords, each: Held) -> WoodLine:
    to = f" to {each.to}" if each.to else ""
    how = {"glue": "glue", "screws": "screw"}.get(each.by, "fasten")
    wide = f"up to {words.read(each.widest)} wide may be held"
    never = each.verdict == "no"
    title = f"Don't {how} {each.of} solid{to}" if never else f"Take care: {each.of}{to}"
    wants = f"It wants to move {words.small(each.moves)} ({CERTAIN[each.certain]})"
    return WoodLine(
        title=title,
        said=f"{wants}; {wide} (common practice).",
        tone="caution" if never else "ready",
        brief=f"{title}: it moves {words.small(each.moves)}" if never else "",
    )


def _slots(words: WoodWords, slots: list[SlotNeeded]) -> Iterator[WoodLine]:
    """Fasteners that are alike on both sides of where it is held are one line, the outermost first."""
    alike: dict[tuple[str, str, float], list[SlotNeeded]] = {}
    for each in slots:
        alike.setdefault((each.of, each.by, abs(each.at)), []).append(each)
    rows = sorted(alike.values(), key=lambda row: -abs(row[0].at))
    for at, row in enumerate(rows):
        yield fastener_line(words, row[0], first=at == 0)


def fastener_line(words: WoodWords, each: SlotNeeded, first: bool = True) -> WoodLine:
    """One fastener. The card has room for the outermost alone: that of the longest slot."""
    where = f"{words.read(each.at)} from the middle" if each.at else "where it is held"
    said = f"{each.of}, {where}"
    if each.by == "slots":
        long, inner = words.at_least(each.length), words.read(each.screw_from_inner_end)
        title = f"Slot {long} long, screw {inner} from its inner end"
    elif each.by == "buttons":
        title = f"Groove {words.at_least(each.length)} deeper than the button's tongue"
    elif each.enough:
        title = "A figure eight follows"
    else:
        return WoodLine(
            title=f"A figure eight is too short {where}", said=f"{said}: use a slot there.", tone="caution",
            brief=f"A figure eight is too short {where}: use a slot",
        )  # fmt: skip
    said = f"{said}: movement by {CERTAIN[each.certain]}, play by common practice."
    return WoodLine(title=title, said=said, tone="ready", brief=title if first else "")


def _gap(words: WoodWords, each: Gap) -> WoodLine:
    gap = words.at_least(each.gap)
    if each.by == "inset":
        title = f"{each.of}: leave {gap} in all across its grain"
        return WoodLine(
            title=title,
            said=f"Movement by {CERTAIN[each.certain]}, play by common practice.",
            tone="ready",
            brief=title,
        )
    stays = words.read(max(0.0, each.stays or 0.0))
    title = f"{each.of} floats: {gap} free at each side, no glue in the groove"
    said = (
        f"In the driest season {stays} of its edge stays in the groove ({CERTAIN[each.certain]}). Pin it in the middle."
    )
    return WoodLine(title=title, said=said, tone="ready" if each.enough else "caution", brief=title)


def _mitre(words: WoodWords, each: MitreGap) -> WoodLine:
    title = f"{spelled('Mitres', words.build.units)} may open {words.small(each.gap)} on the {each.where}"
    return WoodLine(
        title=title, said="By the frame's own movement (a model on handbook figures).", tone="ready", brief=title
    )
