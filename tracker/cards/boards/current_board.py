"""The current board, cut by cut: the number to cut to, what comes off, how to hold it, and what is left at the end."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.boards.bar import BarSpan, BoardBar, bar_of, offcut_span
from tracker.cards.boards.cut_words import cut_words, first_words
from tracker.cards.boards.shopping import money, stock_size
from tracker.cards.boards.undo import BoardUndo, board_undo
from tracker.cards.cautions import BLADE
from tracker.cards.piece.action import claim
from tracker.cards.words import capital
from tracker.design.model import Wood
from tracker.floor.board_words import names_of
from tracker.floor.boards import key_of, title_of
from tracker.floor.cut_progress import AtTheSaw, cut_step, to_rack
from tracker.floor.floor import Floor
from tracker.measure import Reading
from tracker.measure.length import ZERO
from tracker.measure.tape_reading import read_angle
from tracker.plan.boards import CutBoard, Offcut
from tracker.plan.boards.crosscuts import Crosscut
from tracker.plan.boards.offcuts import NamedOffcut
from tracker.words import say
from tracker.words.sides import side
from tracker.work.decide.intents import Do, Intent, Rack, Refusal
from tracker.work.run import item_key


class BoardAction(Struct, frozen=True, kw_only=True):
    """The large button. Without an intent it leads to the board `go_to`, or does nothing."""

    text: str
    said: str = ""
    intent: Intent | None = None
    refusal: Refusal | None = None
    go_to: str = ""

    @property
    def ready(self) -> bool:
        return bool(self.go_to) or (self.intent is not None and self.refusal is None)


class BoardCard(Struct, frozen=True, kw_only=True):
    """The current board. `reading` is the number to cut to; None when no cut is next."""

    key: str
    title: str
    said: str
    reading: Reading | None
    measured: str
    falls: str
    words: str
    """How the piece is cut out and which side to hold, or why nothing is to be done."""
    first: str = ""
    """What is done before the piece can be measured."""
    caution: str = ""
    """For the bar above the card, while there is something to cut."""
    bar: BoardBar
    action: BoardAction
    undo: BoardUndo | None
    spoilable: tuple[tuple[str, str], ...]
    """The key and name of each piece cut from this board, the last one first."""


def board_card(floor: Floor, saw: AtTheSaw, saws: list[AtTheSaw]) -> BoardCard:
    """A board of the current plan; `saws` are all of its boards."""
    cut = saw.next
    offcuts = to_rack(floor, saw)
    return BoardCard(
        key=saw.board.key,
        title=capital(title_of(saw.board)),
        said=about(floor, saw.board),
        reading=_reading(floor, saw),
        measured=_measured(saw, cut),
        falls=_falls(floor, saw),
        first=first_words(floor, saw),
        words=cut_words(floor, saw, cut, offcuts),
        caution="" if saw.finished else BLADE,
        bar=_bar(floor, saw, coming=True),
        action=_action(floor, saw, saws, offcuts),
        undo=board_undo(floor, saw),
        spoilable=tuple(
            (key_of(p), floor.item(key_of(p)).short) for p in reversed(saw.board.pieces) if key_of(p) in saw.cut
        ),
    )


def about(floor: Floor, board: CutBoard) -> str:
    """Its length, its section and its price; of a board from the rack its three sizes."""
    build = floor.run.build
    wood = build.wood(board.wood)
    price = money(build, board.price) if board.price is not None else ""
    wide, thick = board.width or wood.width, wood.rough or wood.thickness
    sizes = floor.read(wide).text, floor.read(thick).text
    if board.source == "rack":
        return _rough(wood, floor.read(board.length).text, *sizes)
    return ", ".join(each for each in (long_words(floor, board), wood.section or _rough(wood, *sizes), price) if each)


def _rough(wood: Wood, *sizes: str) -> str:
    """`9″ × 2″ rough`; of planed wood the sizes alone."""
    size = " × ".join(sizes)
    return say("{size} rough", size=size) if wood.rough else size


def _reading(floor: Floor, saw: AtTheSaw) -> Reading | None:
    if saw.next is not None:
        return floor.read(saw.next.at)
    mark = saw.lane_mark if saw.section_is_off else None
    return floor.read(mark) if mark is not None else None


def _measured(saw: AtTheSaw, cut: Crosscut | None) -> str:
    """Where the tape is hooked and, for a mitre, along which edge it lies."""
    if cut is None:
        return say("from the section's end A") if saw.section_is_off else ""
    end = say("end A") if saw.left.begins == ZERO and not saw.first else say("the squared end A")
    return (
        say("from {end}, {edge} edge, swing {miter}°", end=end, edge=side(cut.edge), miter=read_angle(cut.miter))
        if cut.miter
        else say("from {end}", end=end)
    )


def _falls(floor: Floor, saw: AtTheSaw) -> str:
    if saw.coming is None:
        return ""
    short = _coming(floor, saw)
    if saw.section_is_off:
        return say("{short} from its lane", short=short)
    if saw.next is None:
        return say("No cut: the rest is {short}", short=short)
    return say("Cut off a section") if saw.next.section else say("Cut off {short}", short=short)


def _coming(floor: Floor, saw: AtTheSaw) -> str:
    """The next piece; or all pieces that are still one blank with it."""
    assert saw.coming is not None
    return names_of(floor.run, (item_key(saw.coming.part, each) for each in saw.left.same_blank(saw.coming)))


def _bar(floor: Floor, saw: AtTheSaw, *, coming: bool) -> BoardBar:
    build = floor.run.build
    bar = bar_of(
        replace(saw.board, pieces=saw.as_planned),
        saw.board.width or build.wood(saw.board.wood).width,
        lambda key: floor.item(key).short,
        lambda length: floor.read(length).text,
        gone=saw.cut,
        coming=key_of(saw.coming) if coming and saw.coming else "",
        hand_of=lambda key: floor.item(key).hand,
    )
    bar = replace(bar, spans=tuple(_spans(floor, saw, bar)), kerf=float(build.shop.kerf), units=build.units)
    cut = saw.next if coming else None
    if cut is None:
        return bar
    return replace(
        bar,
        cut=float(cut.place),
        cut_from=float(cut.place - cut.at),
        cut_words=say("{at}, blade right of the mark", at=floor.read(cut.at).text),
    )


def _spans(floor: Floor, saw: AtTheSaw, bar: BoardBar) -> Iterator[BarSpan]:
    """The board as it is now: pieces cut where they weren't planned, spoiled ones, the offcuts that are left, and those
    on the rack by name."""
    yield from (span for span in bar.spans if span.kind != "offcut")
    if not floor.run.build.wood(saw.board.wood).ripped:  # there the lane is no longer known
        for good in saw.elsewhere:
            item = floor.item(good.item)
            start, end = float(good.place.at), float(good.place.end)
            number = f"{item.number}{(item.hand or '')[:1].upper()}"
            yield BarSpan(kind="piece", start=start, end=end, state="gone", number=number, words=(item.short,))
        for away in saw.spoiled:
            yield BarSpan(kind="spoiled", start=float(away.place.at), end=float(away.place.end), state="gone")
    for offcut in saw.left.offcuts:
        yield offcut_span(offcut, (say("offcut"), floor.read(offcut.length).text))
    for racked in saw.racked:
        yield offcut_span(Offcut(at=racked.at, length=racked.length), (racked.name,), state="gone")


def _action(floor: Floor, saw: AtTheSaw, saws: list[AtTheSaw], offcuts: tuple[NamedOffcut, ...]) -> BoardAction:
    if saw.coming is not None:
        item = floor.item(key_of(saw.coming))
        intent = Do(item.key, cut_step(item), board=saw.board.key, at=saw.coming.at.grid_down(), run=floor.run.name)
        step = item.step(intent.step)
        text = claim(floor, item, step)[0] if step else say("Cut")
        return BoardAction(text=text, intent=intent, refusal=floor.refusal(intent))
    if offcuts:
        best = max(offcuts, key=lambda offcut: offcut.length)
        width = saw.board.width.grid_down() if floor.run.build.wood(best.wood).by_volume else 0
        rack = Rack(best.name, best.wood, best.length.grid_down(), best.board, width=width, run=floor.run.name)
        said = say("as {best}, {length}", best=best.name, length=floor.read(best.length).text)
        return BoardAction(text=say("Rack offcut"), said=said, intent=rack, refusal=floor.refusal(rack))
    other = next((each.board for each in saws if not each.finished), None)
    if other is None:
        return BoardAction(text=say("All boards are cut"))
    return BoardAction(text=say("Next board"), said=title_of(other), go_to=other.key)


def planned_board_card(floor: Floor, saw: AtTheSaw, words: str, keep: BoardAction, undo: BoardUndo | None) -> BoardCard:
    """A board of a plan that isn't in use yet."""
    return BoardCard(
        key=saw.board.key,
        title=capital(title_of(saw.board)),
        said=about(floor, saw.board),
        reading=None,
        measured="",
        falls="",
        words=words,
        bar=_bar(floor, saw, coming=False),
        action=keep,
        undo=undo,
        spoilable=(),
    )


def long_words(floor: Floor, board: CutBoard) -> str:
    """The length as the dealer says it; for a rack board as the tape reads."""
    return floor.read(board.length).text if board.source == "rack" else _at_dealer(floor, board)


def _at_dealer(floor: Floor, board: CutBoard) -> str:
    build = floor.run.build
    return stock_size(build, build.wood(board.wood), board.length)
