"""Cutting boards: what is gone from each, which cut is next and how it is measured, what is left for the rack."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from tracker.cards.floor import Floor
from tracker.cards.laid import HAIR, blank_of, exact, followed, key_of, offcuts_of, snapped, whole_board
from tracker.measure.length import ZERO
from tracker.plan.boards import CutBoard, PlacedPiece
from tracker.plan.boards.crosscuts import Crosscut, cuts_of
from tracker.plan.boards.left import BoardLeft, Place, rack_board, racked_offcut
from tracker.plan.boards.offcuts import NamedOffcut, kept_from
from tracker.work.facts import Done, Racked
from tracker.work.kept import Kept
from tracker.work.run import Item


@dataclass(frozen=True, slots=True, kw_only=True)
class AtTheSaw:
    """A board that is followed, and how far it is cut. `board` is the whole of it, with all that was planned for it.

    `gone` are the keys of the pieces that were cut from it and are good, `spoiled` the places of those that aren't;
    `left` is the rest of it with what is still to come from it, and `cuts` are the cuts for that, in order.
    """

    board: CutBoard
    gone: frozenset[str]
    spoiled: tuple[Place, ...]
    racked: tuple[NamedOffcut, ...]
    """The offcuts of it that went to the rack under names of their own."""
    left: CutBoard
    cuts: tuple[Crosscut, ...]

    @property
    def finished(self) -> bool:
        """Nothing is to be cut from it any more."""
        return not self.left.pieces

    @property
    def coming(self) -> PlacedPiece | None:
        """The next piece."""
        return self.left.pieces[0] if self.left.pieces else None

    @property
    def first(self) -> tuple[Crosscut, ...]:
        """The cuts before the next piece: its end is squared, a defect taken off."""
        until = next((at for at, cut in enumerate(self.cuts) if cut.piece is not None), len(self.cuts))
        return self.cuts[:until]

    @property
    def next(self) -> Crosscut | None:
        """The cut at which the next piece falls off; None where it is what is left, or there is none."""
        return next((cut for cut in self.cuts if cut.piece is not None and cut.piece == self.coming), None)


def at_the_saw(floor: Floor, board: CutBoard) -> AtTheSaw:
    """How far a board of the plan that is followed is cut."""
    kerf = floor.run.build.shop.kerf
    wood = floor.run.build.wood(board.wood)
    whole = whole_board(floor.run, floor.state, board.key, wood, board.length)
    away = tuple(_away(floor, board.key, board.pieces))
    rest = _rest(floor, whole, away)
    waiting = tuple(snapped((p for p in board.pieces if cut_from(floor, key_of(p)) is None), rest.stretches, kerf))
    before = [place.end + kerf for place in away if waiting and place.at < waiting[0].at]
    left = replace(
        board,
        stretches=rest.stretches,
        pieces=waiting,
        offcuts=tuple(offcuts_of(rest.stretches, waiting, kerf)),
        begins=max(before, default=ZERO),
    )
    gone = frozenset(key_of(piece) for piece in board.pieces if cut_from(floor, key_of(piece)) in ("", board.key))
    good = {piece.at for piece in board.pieces if key_of(piece) in gone}
    spoiled = tuple(place for place in away if place.at not in good)
    racked = tuple(racked_from(floor, whole.without(away, kerf)))
    return AtTheSaw(board=board, gone=gone, spoiled=spoiled, racked=racked, left=left, cuts=cuts_of(left, kerf))


def cut_from(floor: Floor, key: str) -> str | None:
    """The key of the board that a piece was cut from; empty when nobody said; None while it isn't cut."""
    item = floor.run.items.get(key)
    tick = floor.state.tick(floor.run, item, "cut") if item else None
    return None if tick is None else tick.done.board


def in_hand(floor: Floor) -> Iterator[BoardLeft]:
    """What is left of every board there is: those of the plan that is followed, the rack, the offcuts put there.

    Without all that was cut from them, spoiled pieces too, and without the offcuts that have names of their own.
    """
    run, build = floor.run, floor.run.build
    mine = {board.key: board for board in followed(run, floor.state)}
    for board in mine.values():
        whole = whole_board(run, floor.state, board.key, build.wood(board.wood), board.length)
        yield _rest(floor, whole, tuple(_away(floor, board.key, board.pieces)))
    others = [rack_board(build, board) for key, board in run.boards.items() if key not in mine]
    racked = ((build.wood(kept.fact.wood), name, kept.fact.length) for name, kept in _racked(floor))
    others += [racked_offcut(wood, name, exact(length)) for wood, name, length in racked]
    for whole in others:
        if whole.key not in mine:
            yield _rest(floor, whole, tuple(_away(floor, whole.key, ())))


def _racked(floor: Floor) -> Iterator[tuple[str, Kept[Racked]]]:
    woods = {wood.id for wood in floor.run.build.woods}
    return (pair for pair in floor.state.racked(floor.run).items() if pair[1].fact.wood in woods)


def _rest(floor: Floor, whole: BoardLeft, away: Iterable[Place]) -> BoardLeft:
    """A board without what was cut from it, and without the offcuts of it that went to the rack."""
    kerf = floor.run.build.shop.kerf
    rest = whole.without(away, kerf)
    for offcut in racked_from(floor, rest):
        rest = rest.without((Place(board=whole.key, at=offcut.at, length=offcut.length),), kerf)
    return replace(rest, stretches=tuple(stretch for stretch in rest.stretches if stretch.length > HAIR))


def racked_from(floor: Floor, rest: BoardLeft) -> Iterator[NamedOffcut]:
    """Which clear stretches of a cut board are the offcuts that went to the rack, by their lengths."""
    free = list(rest.stretches)
    for name, kept in _racked(floor):
        if kept.fact.board == rest.key:
            length = exact(kept.fact.length)
            match = next((stretch for stretch in free if abs(stretch.length - length) < HAIR), None)
            if match:
                free.remove(match)
                yield NamedOffcut(name=name, wood=rest.wood, board=rest.key, at=match.start, length=match.length)


def _away(floor: Floor, key: str, pieces: tuple[PlacedPiece, ...]) -> Iterator[Place]:
    """Where wood is gone from a board. A piece of which nobody said where it was cut, was cut where it was planned."""
    here = {key_of(piece): piece for piece in pieces}
    for piece in pieces:
        if cut_from(floor, key_of(piece)) == "":
            yield Place(board=key, at=piece.at, length=piece.length)
    for item in floor.run.pieces:
        for fact in _cuttings(floor, item):
            if fact.board == key:
                at, planned = exact(fact.at), here.get(item.key)
                at = planned.at if planned and abs(planned.at - at) < HAIR else at
                yield Place(board=key, at=at, length=blank_of(floor.part(item), item.number))


def _cuttings(floor: Floor, item: Item) -> Iterator[Done]:
    """Every time that a piece was cut, the spoiled ones too."""
    if not floor.state.spoils(floor.run, item):
        tick = floor.state.tick(floor.run, item, "cut")
        if tick:
            yield tick.done
        return
    for past in floor.state.history(floor.run, item):
        fact = past.entry.fact
        if past.taken_back is None and isinstance(fact, Done) and fact.step == "cut":
            yield fact


def to_rack(floor: Floor, saw: AtTheSaw) -> tuple[NamedOffcut, ...]:
    """The offcuts worth keeping of a board that is cut up, each under the next free name."""
    if not saw.finished:
        return ()
    return kept_from(floor.run.build, saw.left, tuple(floor.state.racked(floor.run)))
