"""The requirements of intents: each guard returns None, or the refusal that a person reads."""

from __future__ import annotations

from collections import Counter
from typing import Protocol, TypeVar

from tracker.words import say
from tracker.work.board_of_piece import what_was_cut_from
from tracker.work.checklist import checklist
from tracker.work.clocks.elapsed import Now, is_over
from tracker.work.clocks.waits import degrees
from tracker.work.decide.blockers import ahead, begun, blockers, built_into, next_step, sentence
from tracker.work.decide.intents import (
    Answer,
    Check,
    CheckIn,
    ConfirmClock,
    Do,
    DoTogether,
    GiveBack,
    KeepBoards,
    Label,
    Measure,
    Note,
    Overrule,
    Prove,
    Rack,
    ReadMoisture,
    Refusal,
    SetAir,
    Swap,
)
from tracker.work.facts import Done, EntryId, Racked
from tracker.work.revision import misfits
from tracker.work.run import Item, Run, board_key
from tracker.work.state.state import RunningWait, State, running_waits

IntentT = TypeVar("IntentT", contravariant=True)


class Guard(Protocol[IntentT]):
    """Checks one requirement of an intent: the refusal, or None. The item exists once `known_item` has passed."""

    def __call__(self, run: Run, state: State, intent: IntentT, now: Now, /) -> Refusal | None: ...


class AboutItem(Protocol):
    """An intent about one item, by its key."""

    @property
    def item(self) -> str: ...


LONGEST_TEXT = 500
LONGEST_NAME = 40
LONGEST_PICTURE = 255
LONGEST_WAIT = 120 * 86400
LIKELY_CELSIUS = (-30.0, 60.0)
LIKELY_MEASURE = 20_000 * 320
"""20 m."""
LIKELY_MOISTURE = (3.0, 60.0)
"""Percent. A reading drier than a kiln leaves wood, or wetter than most meters show, is a typing slip."""
MOST_DEFECTS = 60


def _refuse(wrong: bool, reason: str) -> Refusal | None:
    return Refusal(reason) if wrong else None


# -- any item --------------------------------------------------------------------------------------------------


def known_item(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    return _refuse(intent.item not in run.items, say("This build has no such piece."))


def a_piece(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(item.kind != "piece", say("{name} isn't a single piece.", name=item.short))


def worked_on(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(not state.of(run, item), say("Nothing was done to {name} yet.", name=item.short))


def not_built_in(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    return _built_in(run, state, run.items[intent.item])


def twin_not_built_in(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    return _built_in(run, state, run.items[intent.twin])


def _built_in(run: Run, state: State, item: Item) -> Refusal | None:
    whole = built_into(run, state, item)
    return Refusal(say("{name} is in {whole} already.", name=item.short, whole=whole.short)) if whole else None


def aside(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(state.aside(run, item) is None, say("{name} isn't set aside.", name=item.short))


def not_aside(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(state.aside(run, item) is not None, say("{name} is set aside already.", name=item.short))


def some_text(run: Run, state: State, intent: Note, now: Now) -> Refusal | None:
    if not intent.text.strip():
        return Refusal(say("There is nothing to note."))
    return _refuse(len(intent.text) > LONGEST_TEXT, say("A note has at most {most} letters.", most=LONGEST_TEXT))


# -- steps and clocks ------------------------------------------------------------------------------------------


def known_step(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items.get(intent.item)
    return _refuse(item is None or item.step(intent.step) is None, say("This build has no such step."))


def not_done_yet(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    step = item.step(intent.step)
    assert step is not None
    if state.is_done(run, item, step.id):
        return Refusal(say("{name} is {past} already.", name=item.short, past=step.past))
    if step in item.extra:  # sanding over a coat: not after the next one is on
        coat = int(step.id.split()[-1])
        return _refuse(
            state.is_done(run, item, f"finish {coat + 1}"),
            say("{name}: coat {coat} is on already.", name=item.short, coat=coat + 1),
        )
    return None


def nothing_in_the_way(run: Run, state: State, intent: Do, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    step = item.step(intent.step)
    assert step is not None
    found = blockers(run, state, item, step, now)
    overridable = all(blocker.overridable for blocker in found)
    if not found or (intent.anyway and overridable):
        return None
    return Refusal(sentence(found), overridable=overridable)


def several_pieces(run: Run, state: State, intent: DoTogether, now: Now) -> Refusal | None:
    items = [run.items.get(key) for key in intent.items]
    pieces = all(item is not None and item.kind == "piece" for item in items)
    return _refuse(not pieces or len(set(intent.items)) != len(items) or len(items) < 2, say("Tick those one by one."))


def each_may_be_done(run: Run, state: State, intent: DoTogether, now: Now) -> Refusal | None:
    """Names the first piece that blocks it."""
    for key in intent.items:
        for guard in (known_step, not_done_yet, nothing_in_the_way):
            refusal = guard(run, state, Do(key, intent.step), now)
            if refusal is not None:
                name = run.items[key].short
                reason = refusal.reason if refusal.reason.startswith(name) else f"{name}: {refusal.reason}"
                return Refusal(reason)
    return None


def _clock(run: Run, state: State, entry: EntryId) -> RunningWait | None:
    return next((each for each in running_waits(run, state) if each.entry.id == entry), None)


def running(run: Run, state: State, intent: Answer, now: Now) -> Refusal | None:
    return _refuse(_clock(run, state, intent.entry) is None, say("That timer isn't running any more."))


def run_out(run: Run, state: State, intent: Answer, now: Now) -> Refusal | None:
    clock = _clock(run, state, intent.entry)
    assert clock is not None
    return None if is_over(clock, now) else Refusal(f"{clock.item.short}: {ahead(clock, now)}.")


def started_clocks(run: Run, state: State, intent: ConfirmClock, now: Now) -> Refusal | None:
    known = [state.find(start) for start in intent.starts]
    started = all(each and isinstance(each.entry.fact, Done) and each.entry.fact.wait for each in known)
    return _refuse(not started, say("That timer isn't known."))


def such_a_wait(run: Run, state: State, intent: Overrule, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(intent.wait not in item.waits, say("{name} has no such wait.", name=item.short))


def likely_time(run: Run, state: State, intent: Overrule, now: Now) -> Refusal | None:
    return _refuse(not 0 < intent.seconds <= LONGEST_WAIT, say("No label says such a time."))


def likely_air(run: Run, state: State, intent: SetAir, now: Now) -> Refusal | None:
    low, high = LIKELY_CELSIUS
    likely = low <= intent.celsius <= high and 0 <= intent.humidity <= 100
    coldest, warmest = (degrees(celsius, run.build.units) for celsius in (low, high))
    return _refuse(
        not likely,
        say("A shop has from {coldest} to {warmest} and from 0 to 100 per cent.", coldest=coldest, warmest=warmest),
    )


# -- the piece's life ------------------------------------------------------------------------------------------


def cut(run: Run, state: State, intent: Measure, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(not state.of(run, item), say("{name} isn't cut yet.", name=item.short))


def likely_measure(run: Run, state: State, intent: Measure, now: Now) -> Refusal | None:
    return _refuse(not 0 < intent.actual <= LIKELY_MEASURE, say("That isn't a measure of a piece."))


def same_part_and_hand(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    one, other = run.items[intent.item], run.items.get(intent.twin)
    if other is None or one.key == other.key or one.kind != "piece" or (one.id, one.hand) != (other.id, other.hand):
        return Refusal(
            say("{first} can change places only with another piece of the same part and hand.", first=one.short)
        )
    return None


def other_places(run: Run, state: State, intent: Swap, now: Now) -> Refusal | None:
    one, other = run.items[intent.item], run.items[intent.twin]
    into = state.into(run, one)
    if into != state.into(run, other):
        return None
    return Refusal(
        say("Both go into {items}.", items=run.items[into].short) if into else say("Neither goes into anything.")
    )


# -- the glue-up -----------------------------------------------------------------------------------------------


def on_the_checklist(run: Run, state: State, intent: Check, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    line = next((line for line in checklist(run, state, item) if line.id == intent.check), None)
    if line is None:
        return Refusal(say("The checklist has no such line."))
    return Refusal(f"{line.words}: {line.said}.") if line.state == "against" else None


def not_checked(run: Run, state: State, intent: Check, now: Now) -> Refusal | None:
    seen = state.checks(run, run.items[intent.item])
    return _refuse(intent.check in seen, say("That line is done already."))


def not_glued(run: Run, state: State, intent: AboutItem, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(begun(run, state, item.key), say("{name} has been started already.", name=item.short))


def a_member(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    item, piece = run.items[intent.item], run.items.get(intent.piece)
    if piece is None:
        return Refusal(say("This build has no such piece."))
    if piece.key in state.members(run, item):
        return None
    into = state.into(run, piece)
    where = say("it goes into {items}", items=run.items[into].short) if into else say("it goes into nothing")
    return Refusal(say("{piece} isn't for {name}: {where}.", piece=piece.short, name=item.short, where=where))


def not_in_yet(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    here = state.checked_in(run, run.items[intent.item])
    return _refuse(intent.piece in here, say("{items} is in already.", items=run.items[intent.piece].short))


def not_set_aside(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    piece = run.items[intent.piece]
    return _refuse(
        state.aside(run, piece) is not None, say("{piece} is set aside: put it back to work first.", piece=piece.short)
    )


def fits(run: Run, state: State, intent: CheckIn, now: Now) -> Refusal | None:
    """A piece made to another size may not be joined."""
    piece = run.items[intent.piece]
    found = misfits(run, state, piece)
    return _refuse(
        bool(found),
        say("{piece} doesn't go in: {small_words}.", piece=piece.short, small_words=found[0].small_words)
        if found
        else "",
    )


def such_a_check(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    checks = run.build.assembly(item.id).prove if item.kind == "assembly" else ()
    return _refuse(intent.check not in checks, say("{name} has no such check.", name=item.short))


def not_proven_yet(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    item = run.items[intent.item]
    return _refuse(state.is_done(run, item, "prove"), say("{name} is checked already.", name=item.short))


def ready_to_prove(run: Run, state: State, intent: Prove, now: Now) -> Refusal | None:
    """Everything required before proving is required before each check: an uncured joint isn't loaded."""
    item = run.items[intent.item]
    step = item.step("prove")
    if step is None:
        missing = next_step(run, state, item)
        return Refusal(say("Not {past} yet", past=missing.past)) if missing else None
    found = tuple(blocker for blocker in blockers(run, state, item, step, now) if blocker.kind != "proof")
    return Refusal(sentence(found)) if found else None


# -- labels and boards -----------------------------------------------------------------------------------------


def something_to_label(run: Run, state: State, intent: Label, now: Now) -> Refusal | None:
    return _refuse(not intent.items, say("There is nothing to label."))


def all_known(run: Run, state: State, intent: Label, now: Now) -> Refusal | None:
    racked = {board_key(name) for name in state.racked(run)}
    return _refuse(not set(intent.items) <= {*run.items, *run.boards, *racked}, say("This build has no such piece."))


def a_plan(run: Run, state: State, intent: KeepBoards, now: Now) -> Refusal | None:
    return _refuse(not intent.boards, say("There is no plan to keep."))


def each_once(run: Run, state: State, intent: KeepBoards, now: Now) -> Refusal | None:
    """Each board only once, each piece only once, and each cut within its board."""
    boards = Counter(board.key for board in intent.boards)
    cuts = Counter(cut.item for board in intent.boards for cut in board.pieces)
    inside = all(
        cut.at >= 0 and cut.length > 0 and cut.at + cut.length <= board.length
        for board in intent.boards
        for cut in board.pieces
    )
    fits = inside and set(cuts) <= set(run.items) and max((*boards.values(), *cuts.values()), default=1) == 1
    return _refuse(not fits, say("This plan isn't one of this build."))


def some_name(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    return _refuse(not 0 < len(intent.name.strip()) <= LONGEST_NAME, say("A board on the rack needs a short name."))


def free_name(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    mine, listed = intent.name in state.racked(run), board_key(intent.name) in run.boards
    if intent.again:
        return _refuse(not mine, say("{intent} isn't a board that was entered here.", intent=intent.name))
    return _refuse(mine or listed, say("There is a board {intent} on the rack already.", intent=intent.name))


def known_wood(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    known = intent.wood in {wood.id for wood in run.build.woods}
    return _refuse(not known or intent.length <= 0, say("This build has no such board."))


def likely_board(run: Run, state: State, intent: Rack, now: Now) -> Refusal | None:
    """The board's sizes are plausible and its defects are on it; a known board from which something was cut keeps its
    sizes."""
    sizes = (intent.length, intent.width, intent.thickness)
    if not all(0 <= size <= LIKELY_MEASURE for size in sizes):
        return Refusal(say("That isn't the size of a board."))
    for each in intent.defects:
        if not 0 <= each.start < each.end <= intent.length or each.deep < 0:
            return Refusal(say("A defect begins and ends on the board."))
    if len(intent.defects) > MOST_DEFECTS:
        return Refusal(say("A board has up to {most} defects.", most=MOST_DEFECTS))
    if len(intent.picture) > LONGEST_PICTURE or intent.picture.startswith(".") or set(intent.picture) & set("/\\\0"):
        return Refusal(say("A photo is a file in the folder of pictures."))
    known = state.racked(run).get(intent.name) if intent.again else None
    if known is None or _same_size(known.fact, intent):
        return None
    cut = what_was_cut_from(run, state, board_key(intent.name))
    return Refusal(say("{cut} was cut from it: its sizes stay as they were.", cut=cut)) if cut else None


def _same_size(known: Racked, intent: Rack) -> bool:
    """Whether sizes and defects are unchanged, so that at most the price or the photo is new."""
    return all(getattr(known, what) == getattr(intent, what) for what in ("length", "width", "thickness", "defects"))


def on_the_rack(run: Run, state: State, intent: GiveBack, now: Now) -> Refusal | None:
    return _refuse(
        intent.name not in state.racked(run), say("{intent} isn't a board that was entered here.", intent=intent.name)
    )


def uncut(run: Run, state: State, intent: GiveBack, now: Now) -> Refusal | None:
    cut = what_was_cut_from(run, state, board_key(intent.name))
    return Refusal(say("{cut} was cut from it: its rest goes to the rack by itself.", cut=cut)) if cut else None


def piece_or_board(run: Run, state: State, intent: ReadMoisture, now: Now) -> Refusal | None:
    boards = {board_key(name) for name in state.racked(run)} | {each.key for each in state.boards(run)}
    return _refuse(intent.of not in {*run.items, *run.boards, *boards}, say("This build has no such piece."))


def likely_moisture(run: Run, state: State, intent: ReadMoisture, now: Now) -> Refusal | None:
    low, high = LIKELY_MOISTURE
    return _refuse(
        not low <= intent.percent <= high, say("A meter reads from {low:g} to {high:g} %.", low=low, high=high)
    )
