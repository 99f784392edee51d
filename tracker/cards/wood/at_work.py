"""What the wood of an assembly will do, as it matters while joining and checking it: for its card and its sheet.

A line's title is readable from two metres; its basis is below it.
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
from tracker.plan.wood import Assessment, assess, held_in
from tracker.plan.wood.assessment import MitreGap
from tracker.plan.wood.fastened import Gap, Held, SlotNeeded
from tracker.words import say
from tracker.words.sides import side
from tracker.words.spelling import spelled
from tracker.work.run import Item

SEEN = 0.3
"""Millimetres that a mitre must open before anybody sees it; common practice, no source."""


class WoodLine(Struct, frozen=True, kw_only=True):
    """One thing to know. `brief` is its text on the card itself; empty where the card needs none."""

    title: str
    said: str
    tone: Tone
    brief: str = ""


class WoodCard(Struct, frozen=True, kw_only=True):
    """What the wood of one assembly will do. `tile` is its movement in large type, `of` is what moves."""

    key: str
    title: str
    lines: tuple[WoodLine, ...]
    tile: str
    tile_said: str
    foot: str


def wood_card(floor: Floor, key: str) -> WoodCard:
    """Everything there is to say about one assembly; without lines where nothing of it moves, or nothing is known."""
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
    """The text on the assembly's own card, the warnings first."""
    said = (line for line in sorted(card.lines, key=lambda line: line.tone != "caution") if line.brief)
    return tuple(dict.fromkeys(line.brief for line in said))


def _tile(floor: Floor, item: Item, found: Assessment, held: tuple[Held, ...]) -> tuple[str, str]:
    """The largest movement among the parts it fastens."""
    words = WoodWords(floor.run.build)
    ids = {each.id for each in floor.run.build.assembly(item.id).fastens}
    ids |= {each.id for each in held if each.verdict == "no"}
    moving = [each for each in found.movements if each.id in ids]
    if not moving:
        return "", ""
    most = max(moving, key=lambda each: abs(each.damp - each.dry))
    return words.small(most.damp - most.dry), say("{of} moves", of=most.of)


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
                title=say("{of} moves {length}", of=each.of, length=words.small(each.damp - each.dry)),
                said=say(
                    (
                        "{width} across the grain: {way} {dry} in the driest season, {other_way} {damp} in the dampest "
                        "({certain})."
                    ),
                    width=words.read(each.width),
                    way=_way(each.dry),
                    dry=dry,
                    other_way=_way(each.damp),
                    damp=damp,
                    certain=CERTAIN[each.certain],
                ),
                tone="ready",
            )


def _matched(floor: Floor, item: Item) -> Iterator[WoodLine]:
    """The leaves of one board in one assembly: how to lay them so that they match."""
    for key in floor.state.members(floor.run, item):
        leaf = floor.item(key)
        mates = [each for each in leaf.blank if floor.state.into(floor.run, floor.item(each)) == item.key]
        whole = floor.run.build.assembly(item.id)
        if leaf.kind == "piece" and is_matched(floor.part(leaf), whole) and mates and mates[0] == key:
            names = names_of(floor.run, mates)
            yield WoodLine(
                title=say("{names}: a book match", names=names),
                said=say(
                    "Sawn faces up, ends A side by side; the edges that lay together in the board meet at the seam. "
                    "The triangle on the ends and the arrows show it."
                ),
                tone="ready",
                brief=say("{names}: open like a book, sawn faces up, ends A together", names=names),
            )


def _way(millimetres: float) -> str:
    return say("shrinks") if millimetres < 0 else say("swells")


def _solid(words: WoodWords, each: Held) -> WoodLine:
    to = say(" to {to}", to=each.to) if each.to else ""
    how = {"glue": say("glue"), "screws": say("screw")}.get(each.by, "fasten")
    wide = say("up to {widest} wide may be held", widest=words.read(each.widest))
    never = each.verdict == "no"
    title = (
        say("Don't {how} {of} solid{to}", how=how, of=each.of, to=to)
        if never
        else say("Take care: {of}{to}", of=each.of, to=to)
    )
    wants = say("It wants to move {length} ({certain})", length=words.small(each.moves), certain=CERTAIN[each.certain])
    return WoodLine(
        title=title,
        said=say("{wants}; {wide} (common practice).", wants=wants, wide=wide),
        tone="caution" if never else "ready",
        brief=say("{title}: it moves {length}", title=title, length=words.small(each.moves)) if never else "",
    )


def _slots(words: WoodWords, slots: list[SlotNeeded]) -> Iterator[WoodLine]:
    """Fasteners that are equal on both sides of the held line share a line, the outermost first."""
    alike: dict[tuple[str, str, float], SlotNeeded] = {}
    for each in slots:
        alike.setdefault((each.of, each.by, abs(each.at)), each)
    for at, each in enumerate(sorted(alike.values(), key=lambda slot: -abs(slot.at))):
        yield fastener_line(words, each, first=at == 0)


def fastener_line(words: WoodWords, each: SlotNeeded, *, first: bool) -> WoodLine:
    """One fastener. The card has room only for the outermost, which has the longest slot."""
    where = say("{at} from the middle", at=words.read(each.at)) if each.at else say("where it is held")
    said = f"{each.of}, {where}"
    if each.by == "slots":
        long, inner = words.at_least(each.length), words.read(each.screw_from_inner_end)
        title = say("Slot {long} long, screw {inner} from its inner end", long=long, inner=inner)
    elif each.by == "buttons":
        title = say("Groove {at_least} deeper than the button's tongue", at_least=words.at_least(each.length))
    elif each.enough:
        title = say("A figure eight follows")
    else:
        return WoodLine(
            title=say("A figure eight is too short {where}", where=where),
            said=say("{said}: use a slot there.", said=said),
            tone="caution",
            brief=say("A figure eight is too short {where}: use a slot", where=where),
        )
    said = say("{said}: movement by {certain}, play by common practice.", said=said, certain=CERTAIN[each.certain])
    return WoodLine(title=title, said=said, tone="ready", brief=title if first else "")


def _gap(words: WoodWords, each: Gap) -> WoodLine:
    gap = words.at_least(each.gap)
    if each.by == "inset":
        title = say("{of}: leave {gap} in all across its grain", of=each.of, gap=gap)
        return WoodLine(
            title=title,
            said=say("Movement by {certain}, play by common practice.", certain=CERTAIN[each.certain]),
            tone="ready",
            brief=title,
        )
    assert each.stays is not None  # a panel in a groove
    stays = words.read(max(0.0, each.stays))
    title = say("{of} floats: {gap} free at each side, no glue in the groove", of=each.of, gap=gap)
    said = say(
        "In the driest season {stays} of its edge stays in the groove ({certain}). Pin it in the middle.",
        stays=stays,
        certain=CERTAIN[each.certain],
    )
    return WoodLine(title=title, said=said, tone="ready" if each.enough else "caution", brief=title)


def _mitre(words: WoodWords, each: MitreGap) -> WoodLine:
    title = say(
        "{mitres} may open {length} on the {where}",
        mitres=spelled(say("Mitres"), words.build.units),
        length=words.small(each.gap),
        where=side(each.where),
    )
    return WoodLine(
        title=title, said=say("By the frame's own movement (a model on handbook figures)."), tone="ready", brief=title
    )
