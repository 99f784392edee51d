"""The current board, cut by cut: the number to cut to, what comes off, how to hold it, and what is left at the end."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.boards.bar import BarSpan, BoardBar, bar_of, offcut_span
from tracker.cards.boards.shopping import money, stock_size
from tracker.cards.cautions import BLADE
from tracker.cards.words import capital
from tracker.floor.board_words import names_of
from tracker.floor.boards import key_of, title_of
from tracker.floor.cut_progress import AtTheSaw, cut_from, cut_step, to_rack
from tracker.floor.floor import Floor
from tracker.measure import Length, Reading, inches
from tracker.measure.length import ZERO
from tracker.measure.reading import read_angle
from tracker.plan.boards import CutBoard, Offcut
from tracker.plan.boards.crosscuts import Crosscut, edge_off, ripped_to
from tracker.plan.boards.offcuts import NamedOffcut
from tracker.words import say
from tracker.words.sides import side
from tracker.work.decide.intents import Do, Intent, Rack, Refusal, UndoEntry, UndoLast
from tracker.work.run import Item, item_key

SHORT_CAUTION = say("Guard on; follow the manual.")
ROOM = 70
"""If this many characters come before it, the short caution is used."""
NARROW = inches(6)
"""A strip narrower than this is pushed past the blade with a stick, not by hand (common practice, no source)."""


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


class BoardUndo(Struct, frozen=True, kw_only=True):
    """What was last done to the current board, or to the plan, and how to undo it."""

    text: str
    intent: Intent
    refusal: Refusal | None = None


class BoardCard(Struct, frozen=True, kw_only=True):
    """The current board. `reading` is the number to cut to; None when no cut is next."""

    key: str
    title: str
    said: str
    reading: Reading | None
    measured: str
    falls: str
    words: str
    """What to do first, what to watch for, or why nothing is to be done."""
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
        words=_words(floor, saw, cut, offcuts),
        bar=_bar(floor, saw, coming=True),
        action=_action(floor, saw, saws, offcuts),
        undo=_undo(floor, saw),
        spoilable=tuple(
            (key_of(p), floor.item(key_of(p)).short) for p in reversed(saw.board.pieces) if key_of(p) in saw.cut
        ),
    )


def about(floor: Floor, board: CutBoard) -> str:
    """Its length, its section, and where it comes from."""
    build = floor.run.build
    wood = build.wood(board.wood)
    price = money(build, board.price) if board.price is not None else ""
    wide, thick = board.width or wood.width, wood.rough or wood.thickness
    section = wood.section or (
        say("{wide} × {thick} rough", wide=floor.read(wide).text, thick=floor.read(thick).text)
        if wood.rough
        else f"{floor.read(wide).text} × {floor.read(thick).text}"
    )
    return ", ".join(each for each in (long_words(floor, board), section, price or _from(board)) if each)


def _from(board: CutBoard) -> str:
    return say("from the rack") if board.key.startswith("rack/") else ""


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


def _words(floor: Floor, saw: AtTheSaw, cut: Crosscut | None, offcuts: tuple[NamedOffcut, ...]) -> str:
    if saw.finished:
        kept = "; ".join(say("{length} is worth keeping", length=floor.read(each.length).text) for each in offcuts)
        racked = say(
            "On the rack: {racked}. Print the label, stick it on.",
            racked=", ".join(offcut.name for offcut in saw.racked),
        )
        return " ".join(
            words
            for words in (say("All cut."), f"{capital(kept)}." if kept else "", racked if saw.racked else "")
            if words
        )
    first = " ".join(_first(floor, each) for each in saw.first)
    hold = _hold(floor, cut) if cut is not None else ""
    said = " ".join(words for words in (first, _edge(floor, saw), _lane(floor, saw), hold) if words)
    return f"{said} {BLADE if len(said) < ROOM else SHORT_CAUTION}".strip()


def _edge(floor: Floor, saw: AtTheSaw) -> str:
    """A defect at the near edge is ripped off before its section is."""
    off = edge_off(saw.board, saw.coming, saw.kerf) if saw.coming and not saw.section_is_off else None
    return say("Rip {off} off its near edge (defect).", off=floor.read(off).text) if off else ""


def _lane(floor: Floor, saw: AtTheSaw) -> str:
    """How the next piece is cut out of its section."""
    lane, mark = saw.lane, saw.lane_mark
    if lane is None or mark is None:
        width = ripped_to(saw.board, saw.next) if saw.next else None
        return say("Then rip it to {width}{push}.", width=floor.read(width).text, push=_push(width)) if width else ""
    wide, push = floor.read(lane.width).text, _push(lane.width)
    piece = saw.coming
    if piece is not None and piece.width is not None and piece.width < lane.width:
        wide += say(", then to {width}", width=floor.read(piece.width).text)
    if saw.section_is_off:
        return say("Lane {number}, ripped to {wide}{push}.", number=lane.number, wide=wide, push=push)
    return say(
        "Then rip lane {number} to {wide}{push}, cut at {mark}.",
        number=lane.number,
        wide=wide,
        push=push,
        mark=floor.read(mark).text,
    )


def _push(width: Length) -> str:
    return say(" (push stick)") if width < NARROW else ""


def _first(floor: Floor, cut: Crosscut) -> str:
    """What is cut off before the piece can be measured."""
    if cut.miter:
        return say(
            "First cut end A at {miter}°, long at the {edge} edge.", miter=read_angle(cut.miter), edge=side(cut.edge)
        )
    what = say("First square end A") if cut.off == "end" else say("First cut away the defect")
    return say("{what} (takes {at}).", what=what, at=floor.read(cut.at).text)


def _hold(floor: Floor, cut: Crosscut) -> str:
    """Which side of the blade to hold, and whether it is long enough to hold."""
    stays = floor.read(cut.stays).text
    if cut.clamp:
        return say("Both lengths are short ({stays} is left): clamp the board.", stays=stays)
    if cut.hold == "piece":
        return say("Hold the piece: only {stays} is left.", stays=stays)
    return say("Hold the long side ({stays}).", stays=stays)


def _bar(floor: Floor, saw: AtTheSaw, *, coming: bool) -> BoardBar:
    build = floor.run.build
    bar = bar_of(
        saw.board,
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
    """The board as it is now: spoiled pieces, the offcuts that are left, and those on the rack by name."""
    yield from (span for span in bar.spans if span.kind != "offcut")
    for away in () if floor.run.build.wood(saw.board.wood).ripped else saw.spoiled:  # its lane is no longer known
        yield BarSpan(kind="spoiled", start=float(away.place.at), end=float(away.place.end), state="gone")
    for offcut in saw.left.offcuts:
        yield offcut_span(offcut, (say("offcut"), floor.read(offcut.length).text))
    for racked in saw.racked:
        yield offcut_span(Offcut(at=racked.at, length=racked.length), (racked.name,), state="gone")


def _action(floor: Floor, saw: AtTheSaw, saws: list[AtTheSaw], offcuts: tuple[NamedOffcut, ...]) -> BoardAction:
    if saw.coming is not None:
        item = floor.item(key_of(saw.coming))
        intent = Do(item.key, cut_step(item), board=saw.board.key, at=saw.coming.at.grid_down(), run=floor.run.name)
        return BoardAction(text=say("Cut"), said=_coming(floor, saw), intent=intent, refusal=floor.refusal(intent))
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


def _undo(floor: Floor, saw: AtTheSaw) -> BoardUndo | None:
    """Undo the latest of: a cut from this board, an offcut of it racked, the choice of the plan."""
    run, state = floor.run, floor.state
    found: list[tuple[tuple[int, str, int], BoardUndo]] = []
    for key in saw.cut:
        item = floor.item(key)
        tick = state.tick(run, item, cut_step(item))
        if tick:
            found.append((tick.first.rank, _undo_cut(floor, item)))
    for name, kept in state.racked(run).items():
        if kept.fact.board == saw.board.key:
            back = UndoEntry(kept.id, run=floor.run.name)
            found.append(
                (
                    kept.entry.rank,
                    BoardUndo(text=say("{name} on the rack", name=name), intent=back, refusal=floor.refusal(back)),
                )
            )
    plan = state.whole(run).boards
    if plan is not None and not any(cut_from(floor, item.key) for item in run.pieces):
        back = UndoEntry(plan.id, run=floor.run.name)
        found.append((plan.entry.rank, BoardUndo(text=say("this plan"), intent=back, refusal=floor.refusal(back))))
    return max(found, key=lambda each: each[0])[1] if found else None


def undo_spoiled(floor: Floor) -> BoardUndo | None:
    """Undo the last spoiling of a piece: it is good after all."""
    spoils = [kept for item in floor.run.pieces for kept in floor.state.spoils(floor.run, item)]
    if not spoils:
        return None
    last = max(spoils, key=lambda kept: kept.entry.rank)
    back = UndoEntry(last.id, run=floor.run.name)
    name = floor.item(last.fact.item).short
    return BoardUndo(text=say("{name} spoiled", name=name), intent=back, refusal=floor.refusal(back))


def _undo_cut(floor: Floor, item: Item) -> BoardUndo:
    last = floor.state.of(floor.run, item)[-1]
    back = UndoLast(item.key, run=floor.run.name)
    if last.step != cut_step(item):
        step = item.step(last.step)
        past = step.past if step else last.step
        return BoardUndo(
            text=item.short,
            intent=back,
            refusal=Refusal(say("{name} is {past}: take that back first.", name=item.short, past=past)),
        )
    return BoardUndo(text=say("{name} cut", name=item.short), intent=back, refusal=floor.refusal(back))


def shown(floor: Floor, saw: AtTheSaw, words: str, keep: BoardAction, undo: BoardUndo | None) -> BoardCard:
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
