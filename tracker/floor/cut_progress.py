"""Cutting boards: what is gone from each, which cut is next and how it is measured, what is left for the rack."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from tracker.floor.boards import blanks_of, key_of, offcuts_of, snapped, whole_board
from tracker.floor.floor import Floor
from tracker.floor.rack import entered
from tracker.measure import Length
from tracker.measure.length import ZERO, of_grid
from tracker.plan.boards import CutBoard, PlacedPiece
from tracker.plan.boards.crosscuts import Crosscut, Lane, cuts_of, lanes_of
from tracker.plan.boards.offcuts import NamedOffcut, kept_from
from tracker.plan.boards.remaining import HAIR, BoardLeft, Place, rack_board
from tracker.work.facts import Done, Racked
from tracker.work.run import Item
from tracker.work.state.records import Recorded


class CutBlank(Struct, frozen=True):
    """A blank that was cut from a board: its item, and its position."""

    item: str
    place: Place


class AtTheSaw(Struct, frozen=True, kw_only=True):
    """A board of the current plan, and how far it is cut. `board` is all of it, with everything that was planned for
    it.

    `cut` are the keys of the good pieces planned on it and cut from it, `elsewhere` the places of good pieces that were
    cut from it where it wasn't planned, `spoiled` the places of the spoiled ones; `left` is the rest of it with what is
    still to be cut from it.
    """

    board: CutBoard
    cut: frozenset[str]
    elsewhere: tuple[CutBlank, ...]
    spoiled: tuple[CutBlank, ...]
    racked: tuple[NamedOffcut, ...]
    """The offcuts of it that went to the rack under their own names."""
    rest: BoardLeft
    """What is left of it, as input for a new plan."""
    left: CutBoard
    kerf: Length

    @property
    def shared(self) -> bool:
        """Whether pieces of it lie side by side, or share a cut along their mitres."""
        return any(piece.width for piece in self.board.pieces)

    @property
    def begun(self) -> bool:
        """Whether something was cut from it."""
        return bool(self.cut or self.elsewhere or self.spoiled)

    @property
    def as_planned(self) -> tuple[PlacedPiece, ...]:
        """The pieces that are still to be cut from it, or were cut where they were planned."""
        moved = {blank.item for blank in self.elsewhere}
        keys = {key_of(piece) for piece in self.left.pieces} | (self.cut - moved)
        return tuple(piece for piece in self.board.pieces if key_of(piece) in keys)

    @property
    def finished(self) -> bool:
        """Whether nothing more is to be cut from it."""
        return not self.left.pieces

    @property
    def coming(self) -> PlacedPiece | None:
        """The next piece; None when there is none."""
        return self.left.pieces[0] if self.left.pieces else None

    @property
    def cuts(self) -> tuple[Crosscut, ...]:
        """The cuts up to the one that frees the next piece, which is the last, including what must be cut away before.

        Empty where the piece is what is left, or is in a section that is already off. Where pieces share cuts, the end
        left by a shared cut isn't square: the cuts are those of the whole board.
        """
        found: list[Crosscut] = []
        for cut in cuts_of(self.board if self.shared else self.left, self.kerf):
            found.append(cut)
            if self._frees(cut):
                return () if self.section_is_off else tuple(found)
            if cut.piece or cut.section:
                found = []
        return ()

    def _frees(self, cut: Crosscut) -> bool:
        free = (cut.piece, *cut.section)
        return any(piece is not None and self.coming is not None and piece.id == self.coming.id for piece in free)

    @property
    def section(self) -> tuple[PlacedPiece, ...]:
        """The pieces that come off the board together with the next one, to be ripped apart."""
        cuts = cuts_of(self.board, self.kerf) if self.shared else ()
        return next((cut.section for cut in cuts if self._frees(cut)), ())

    @property
    def section_is_off(self) -> bool:
        """Whether the section is off the board, which is known because one of its pieces was cut."""
        return any(key_of(piece) in self.cut for piece in self.section)

    @property
    def lane(self) -> Lane | None:
        """The strip of its section that the next piece is cut from."""
        lanes = lanes_of(self.section) if self.section else ()
        return next((lane for lane in lanes if self._in(lane) is not None), None)

    @property
    def lane_mark(self) -> Length | None:
        """Where the next piece ends on its lane, from the section's end A."""
        lane = self.lane
        at = self._in(lane) if lane else None
        return lane.at[at] if lane and at is not None else None

    def _in(self, lane: Lane) -> int | None:
        ids = [piece.id for piece in lane.pieces]
        return ids.index(self.coming.id) if self.coming and self.coming.id in ids else None

    @property
    def first(self) -> tuple[Crosscut, ...]:
        """The cuts before that: squaring its end, cutting off a defect."""
        return self.cuts[:-1]

    @property
    def next(self) -> Crosscut | None:
        """The cut that frees the next piece."""
        return self.cuts[-1] if self.cuts else None


class Sawn(Struct, frozen=True):
    """Everything ever cut: `places` by board (item, where it begins), and the board of each good blank."""

    places: Mapping[str, tuple[tuple[Item, Length], ...]]
    board_of: Mapping[str, str]
    """Empty where nobody said which board it was."""
    at_of: Mapping[str, Length]
    """Where on its board each good blank begins."""


def sawn(floor: Floor) -> Sawn:
    """What was cut according to the log, including spoiled pieces."""
    places: dict[str, list[tuple[Item, Length]]] = {}
    board_of: dict[str, str] = {}
    at_of: dict[str, Length] = {}
    for item in floor.run.pieces:
        tick = floor.state.tick(floor.run, item, cut_step(item))
        if tick is not None:
            board_of[item.key], at_of[item.key] = tick.done.board, of_grid(tick.done.at)
        for fact in _cuttings(floor, item):
            if fact.board:
                places.setdefault(fact.board, []).append((item, of_grid(fact.at)))
    return Sawn({key: tuple(cuts) for key, cuts in places.items()}, board_of, at_of)


def at_the_saw(floor: Floor, board: CutBoard, done: Sawn | None = None) -> AtTheSaw:
    """How far a board of the current plan is cut; `done` avoids computing `sawn` again."""
    done = done or sawn(floor)
    kerf = floor.run.build.shop.kerf
    wood = floor.run.build.wood(board.wood)
    whole = whole_board(floor.run, floor.state, board.key, wood, board.length).as_laid(board.pieces)
    away = tuple(_cut_blanks(floor, board.key, board.pieces, done))
    without = whole.without((each.place for each in away), kerf)
    racked = tuple(_racked_from(floor, without))
    rest = _without_racked(without, racked, kerf)
    gone = frozenset(key_of(piece) for piece in board.pieces if done.board_of.get(key_of(piece)) in ("", board.key))
    waiting = tuple(snapped((p for p in board.pieces if key_of(p) not in done.board_of), rest.stretches, kerf))
    planned = {key_of(piece): piece.at for piece in board.pieces}
    good = [blank for blank in away if _good(blank, done)]
    return AtTheSaw(
        board=board,
        cut=gone,
        elsewhere=tuple(blank for blank in good if planned.get(blank.item) != blank.place.at),
        spoiled=tuple(blank for blank in away if blank not in good),
        racked=racked,
        rest=rest,
        left=replace(
            board,
            stretches=rest.stretches,
            pieces=waiting,
            offcuts=tuple(offcuts_of(rest.stretches, waiting, kerf)),
            begins=_begins(away, waiting, kerf),
        ),
        kerf=kerf,
    )


def _good(blank: CutBlank, done: Sawn) -> bool:
    """Whether a blank that was cut is the piece that is kept, wherever on the boards it was cut."""
    board = done.board_of.get(blank.item)
    if not board:  # it was cut where it was planned, as far as is known
        return board == ""
    return board == blank.place.board and abs(done.at_of[blank.item] - blank.place.at) < HAIR


def _begins(away: Iterable[CutBlank], waiting: tuple[PlacedPiece, ...], kerf: Length) -> Length:
    """Where the board's end A is now, measured from the old one."""
    before = [each.place.end + kerf for each in away if waiting and each.place.at < waiting[0].at]
    return max(before, default=ZERO)


def all_at_the_saw(floor: Floor, boards: Iterable[CutBoard]) -> list[AtTheSaw]:
    """`at_the_saw` for many boards."""
    done = sawn(floor)
    return [at_the_saw(floor, board, done) for board in boards]


def cut_step(item: Item) -> str:
    """The step in which a blank comes off its board: `cut`, or the first step of a route without a cut."""
    return "cut" if item.step("cut") or not item.route else item.route[0].id


def cut_from(floor: Floor, key: str) -> str | None:
    """The key of the board that a piece was cut from; empty when nobody said; None while it isn't cut."""
    item = floor.run.items.get(key)
    tick = floor.state.tick(floor.run, item, cut_step(item)) if item else None
    return None if tick is None else tick.done.board


def boards_at_hand(floor: Floor, saws: Iterable[AtTheSaw]) -> Iterator[BoardLeft]:
    """What is left of every board in the shop: those of the current plan (`saws`), the rack, the offcuts put there.

    Everything that was cut from them is excluded, including spoiled pieces, and so are offcuts with their own names.
    """
    run, build = floor.run, floor.run.build
    mine = set()
    for saw in saws:
        mine.add(saw.board.key)
        yield saw.rest
    others = [rack_board(build, board) for board in {**run.boards, **entered(run, floor.state)}.values()]
    done = sawn(floor)
    for whole in others:
        if whole.key not in mine:
            places = (each.place for each in _cut_blanks(floor, whole.key, (), done))
            without = whole.without(places, build.shop.kerf)
            yield _without_racked(without, _racked_from(floor, without), build.shop.kerf)


def _racked(floor: Floor) -> Iterator[tuple[str, Recorded[Racked]]]:
    woods = {wood.id for wood in floor.run.build.woods}
    return (pair for pair in floor.state.racked(floor.run).items() if pair[1].fact.wood in woods)


def _without_racked(left: BoardLeft, racked: Iterable[NamedOffcut], kerf: Length) -> BoardLeft:
    """A board without its offcuts that went to the rack, and without slivers."""
    places = tuple(Place(board=left.key, at=offcut.at, length=offcut.length) for offcut in racked)
    rest = left.without(places, kerf)
    return replace(rest, stretches=tuple(stretch for stretch in rest.stretches if stretch.length > HAIR))


def _racked_from(floor: Floor, rest: BoardLeft) -> Iterator[NamedOffcut]:
    """The clear stretches of a cut board that are the offcuts that went to the rack, matched by length."""
    free = list(rest.stretches)
    for name, kept in _racked(floor):
        if kept.fact.board == rest.key:
            length = of_grid(kept.fact.length)
            match = next((stretch for stretch in free if abs(stretch.length - length) < HAIR), None)
            if match:
                free.remove(match)
                yield NamedOffcut(name=name, wood=rest.wood, board=rest.key, at=match.start, length=match.length)


def _cut_blanks(floor: Floor, key: str, pieces: tuple[PlacedPiece, ...], done: Sawn) -> Iterator[CutBlank]:
    """Where wood is gone from a board. A piece cut from an unknown place is assumed to have been cut where it was
    planned."""
    here = {key_of(piece): piece for piece in pieces}
    for item_key, piece in here.items():
        if done.board_of.get(item_key) == "":
            yield CutBlank(item_key, Place(board=key, at=piece.at, length=piece.length))
    for item, at in done.places.get(key, ()):
        planned = here.get(item.key)
        just = planned is not None and abs(planned.at - at) < HAIR
        length = planned.length if planned and just else blanks_of(floor.run.build, floor.part(item), item.number)[0]
        yield CutBlank(item.key, Place(board=key, at=planned.at if planned and just else at, length=length))


def _cuttings(floor: Floor, item: Item) -> Iterator[Done]:
    """Every cutting of a piece, including spoiled ones."""
    if not floor.state.spoils(floor.run, item):
        tick = floor.state.tick(floor.run, item, cut_step(item))
        if tick:
            yield tick.done
        return
    for past in floor.state.history(floor.run, item):
        fact = past.entry.fact
        if past.undone_by is None and isinstance(fact, Done) and fact.step == cut_step(item):
            yield fact


def to_rack(floor: Floor, saw: AtTheSaw) -> tuple[NamedOffcut, ...]:
    """The offcuts worth keeping of a board that is fully cut, each with the next free name."""
    if not saw.finished:
        return ()
    return kept_from(floor.run.build, saw.left, tuple(floor.state.racked(floor.run)))
