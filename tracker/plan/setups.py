"""All saw cuts of a build, grouped by the saw's setting and the stop, in the order of work.

The objective: set the saw's angles as seldom as possible, then the stop; every blank is cut before its trims. Each
piece is laid as `plan.saw_setting` says. Of its two trims the first needs no stop (take off only what cleans the end);
for the second the finished end rests against the stop, whose distance is tip to tip: make the stop wide enough that the
tip meets it. Pieces so short that a hand would come too near the blade are cut to a mark: a stop would trap what is cut
off a long strip.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, EndName, Hand, Part, Shop
from tracker.measure import Length
from tracker.plan.geometry import solid
from tracker.plan.hand_clearance import too_small
from tracker.plan.saw_setting import SawSetting, setting, square_setting
from tracker.plan.setup_order import Stop, Trim, Visit, best_order, stop_moves
from tracker.plan.shape import ENDS, Solid

SQUARE_SIDE = "left of the blade"
"""Where a blank lies: the board is fed from the right, and the blank rests against a stop to the left of the blade."""
Angles = tuple[float, float, str, str, str]


class Cut(Struct, frozen=True, kw_only=True):
    """One cut. `end` is None for the cut that makes the blank; `stop` is None for a piece's first trim, and where a
    stop would trap a short piece. `length` is the blank's for the cut that makes it, and tip to tip for a trim."""

    part: str
    piece: int
    end: EndName | None
    operation: Literal["cut", "trim"]
    setting: SawSetting
    length: Length
    stop: Length | None = None


class Rip(Struct, frozen=True, kw_only=True):
    """One setting of the rip fence, measured from the blade, and the pieces ripped at it: part and number."""

    fence: Length
    pieces: tuple[tuple[str, int], ...]


class Setup(Struct, frozen=True, kw_only=True):
    """One setting of the saw and of its stop, and the cuts made at it, in order."""

    order: int
    setting: SawSetting
    """The setting of its first cut: the scales are the same for all; how each piece lies is in its own cut."""
    stop: Length | None
    """The distance from the blade to the stop; None when the cuts need no stop."""
    stop_side: str
    sets_saw: bool
    """Whether the angles change from the setup before."""
    sets_stop: bool
    cuts: tuple[Cut, ...]


class Resets(Struct, frozen=True, kw_only=True):
    """How often the saw's angles and its stop are set, including the first time."""

    saw: int
    stop: int


class Setups(Struct, frozen=True, kw_only=True):
    """The setups of a build in the order of work. `least` is a number of settings that no order of the same cuts can
    beat."""

    setups: tuple[Setup, ...]
    resets: Resets
    least: Resets
    places: Mapping[tuple[str, int, EndName | None], int]
    """The index in `setups` of every cut."""

    @property
    def proved(self) -> bool:
        return self.resets == self.least

    def of(self, part: str, piece: int, end: EndName | None) -> Setup | None:
        """The setup of one cut: of a piece's end, or of its blank (`end` None). None when there is no such cut."""
        at = self.places.get((part, piece, end))
        return None if at is None else self.setups[at]


class _Piece(Struct, frozen=True):
    """The cuts of one piece before they have stops."""

    blank: Cut | None
    blank_length: Length
    trims: tuple[Cut, ...]
    overall: Length

    def numbered(self, number: int) -> _Piece:
        trims = tuple(replace(cut, piece=number) for cut in self.trims)
        return replace(self, blank=self.blank and replace(self.blank, piece=number), trims=trims)

    def trim_kind(self, numbers: dict[Angles, int]) -> Trim:
        if too_small(self.overall) or not all(cut.setting.possible for cut in self.trims):
            return Trim(_mm(self.overall), ())  # cut to a line, without a stop
        return Trim(_mm(self.overall), tuple((numbers[_angles(cut.setting)], cut.setting.piece) for cut in self.trims))


def plan_setups(build: Build) -> Setups:
    """The setups of a build. Cuts that this saw can't make come last, in setups of their own."""
    pieces = list(_pieces(build))
    cuts = [cut for piece in pieces for cut in (piece.blank, *piece.trims) if cut and cut.setting.possible]
    numbers = _numbers(cuts)
    kinds = [piece.trim_kind(numbers) for piece in pieces]
    blanks = [Stop(_mm(piece.blank_length), SQUARE_SIDE) for piece in pieces if piece.blank and piece.blank.stop]
    leads = frozenset(
        _mm(piece.blank_length)
        for piece, kind in zip(pieces, kinds, strict=True)
        if piece.blank and piece.blank.stop and kind.ends and all(at == 0 for at, _ in kind.ends)
    )
    found = best_order(len(numbers), sorted(set(blanks)), list(dict.fromkeys(kinds)), leads)
    stopped = [_stopped(piece, kind, found.visits) for piece, kind in zip(pieces, kinds, strict=True)]
    setups = _numbered([*_walk(found.visits, stopped, numbers), *_impossible(pieces)])
    least = Resets(saw=len(numbers), stop=found.least)
    places = {(cut.part, cut.piece, cut.end): at for at, setup in enumerate(setups) for cut in setup.cuts}
    resets = _resets(cut for setup in setups for cut in setup.cuts)
    return Setups(setups=setups, resets=resets, least=least, places=places)


def plan_rips(build: Build) -> tuple[Rip, ...]:
    """The settings of the rip fence, widest first: what is left of a board is ripped narrower."""
    pieces: dict[Length, list[tuple[str, int]]] = {}
    for part in build.parts:
        if is_ripped(build, part):
            here = pieces.setdefault(part.width, [])
            here += [(part.id, number) for number in range(1, part.quantity + 1)]
    widest_first = sorted(pieces, key=lambda width: -width.mm)
    return tuple(Rip(fence=width, pieces=tuple(pieces[width])) for width in widest_first)


def is_ripped(build: Build, part: Part) -> bool:
    """Whether its route rips it. A route that isn't written does where the part is narrower than its wood, or the wood
    is rough."""
    if part.route is not None:
        return "rip" in part.route
    wood = build.wood(part.wood)
    return wood.mill is not None or part.width < wood.width


def goes_over_saw(part: Part) -> bool:
    """Whether its route cuts or trims it. A route that isn't written follows from its features."""
    return part.route is None or not {"cut", "trim"}.isdisjoint(operation.split()[0] for operation in part.route)


def piece_by_piece_resets(build: Build) -> Resets:
    """The resets needed to finish one piece after the other in the order of the file, for comparison."""
    return _resets(cut for piece in _pieces(build) for cut in _in_turn(piece))


def _in_turn(piece: _Piece) -> Iterator[Cut]:
    if piece.blank:
        yield piece.blank
    for at, cut in enumerate(piece.trims):
        last = at == len(piece.trims) - 1 and not too_small(piece.overall)
        yield replace(cut, stop=piece.overall) if last else cut


def _resets(cuts: Iterable[Cut]) -> Resets:
    made = [cut for cut in cuts if cut.setting.possible]
    angles = [_angles(cut.setting) for cut in made]
    saw = sum(1 for at, here in enumerate(angles) if at == 0 or here != angles[at - 1])
    return Resets(saw=saw, stop=stop_moves(_stop(cut) for cut in made))


def _pieces(build: Build) -> Iterator[_Piece]:
    """Every piece in the order of the file. All pieces of one part and hand are cut alike."""
    for part in build.parts:
        alike: dict[Hand | None, _Piece] = {}
        for number in range(1, part.quantity + 1):
            hand = part.hand(number)
            if hand not in alike:
                alike[hand] = _piece(part, hand, number, build.shop)
            yield alike[hand].numbered(number)


def _piece(part: Part, hand: Hand | None, number: int, shop: Shop) -> _Piece:
    """The cuts of a piece: a blank if its route cuts it, and every end that this doesn't finish."""
    shape = solid(part, hand)
    words = None if part.route is None else {operation.split()[0] for operation in part.route}
    cut = words is None or "cut" in words
    trim = words is None or "trim" in words
    length = shape.along_board
    stop = None if too_small(length) else length
    square = square_setting("B", shop)
    blank = Cut(part=part.id, piece=number, end=None, operation="cut", setting=square, stop=stop, length=length)
    trims = tuple(
        Cut(
            part=part.id,
            piece=number,
            end=end,
            operation="trim" if trim else "cut",
            setting=setting(shape.end(end), end, shop),
            length=shape.edges.overall,
        )
        for end in ENDS
        if (cut or trim) and _trimmed(shape, end)
    )
    return _Piece(blank if cut else None, length, trims, shape.edges.overall)


def _trimmed(shape: Solid, end: EndName) -> bool:
    return bool(shape.allowance) or not shape.end(end).square


def _angles(of: SawSetting) -> Angles:
    """The key by which two cuts have the same setting of the saw; angles are equal within floating-point error."""
    return (round(of.miter_deg, 6), round(of.bevel_deg, 6), of.swing, of.tilt, of.way)


def _mm(length: Length) -> float:
    return round(float(length), 4)


def _numbers(cuts: list[Cut]) -> dict[Angles, int]:
    """The number of every setting of the saw, in the order of the file; the square one is 0 where there are blanks."""
    blanks_first = sorted(cuts, key=lambda cut: cut.end is not None)
    return {angles: at for at, angles in enumerate(dict.fromkeys(_angles(cut.setting) for cut in blanks_first))}


def _stop(cut: Cut) -> Stop | None:
    return None if cut.stop is None else Stop(_mm(cut.stop), cut.setting.piece)


def _stopped(piece: _Piece, kind: Trim, visits: tuple[Visit, ...]) -> _Piece:
    """The piece with its last trim against a stop of the order; its trims are in the order of work."""
    if not kind.ends:
        return replace(piece, trims=tuple(cut for cut in piece.trims if cut.setting.possible))
    turn = {visit.setting: at for at, visit in enumerate(visits)}
    latest = max(turn[at] for at, _ in kind.ends)
    ends = list(zip(piece.trims, kind.ends, strict=True))
    last = next(
        cut for cut, (at, side) in reversed(ends) if turn[at] == latest and Stop(kind.mm, side) in visits[latest].stops
    )
    first = [cut for cut in piece.trims if cut is not last]
    return replace(piece, trims=(*first, replace(last, stop=piece.overall)))


def _walk(visits: tuple[Visit, ...], pieces: list[_Piece], numbers: dict[Angles, int]) -> Iterator[list[Cut]]:
    """The cuts of each setup. Before a piece is trimmed against a stop, its other end has been trimmed without one."""
    made: dict[int, dict[Stop | None, list[tuple[_Piece, Cut]]]] = {}
    for piece in pieces:
        for cut in (piece.blank, *piece.trims):
            if cut:
                here = made.setdefault(numbers[_angles(cut.setting)], {})
                here.setdefault(_stop(cut), []).append((piece, cut))
    for visit in visits:
        here = made.get(visit.setting, {})
        waiting = here.get(None, [])
        yield [cut for _, cut in waiting if cut.end is None]
        blanked = {id(piece) for piece, cut in waiting if cut.end is None or visit.setting != 0 or piece.blank is None}
        waiting = [(piece, cut) for piece, cut in waiting if cut.end is not None]
        for stop in visit.stops:
            at_stop = here.get(stop, [])
            trimmed_here = {id(piece) for piece, cut in at_stop if cut.end is not None}
            if any(id(piece) in trimmed_here for piece, _ in waiting):
                yield [cut for piece, cut in waiting if id(piece) in blanked]
                waiting = [(piece, cut) for piece, cut in waiting if id(piece) not in blanked]
            yield [cut for _, cut in at_stop]
            blanked |= {id(piece) for piece, cut in at_stop if cut.end is None}
        yield [cut for _, cut in waiting]


def _impossible(pieces: list[_Piece]) -> Iterator[list[Cut]]:
    yield [cut for piece in pieces for cut in piece.trims if not cut.setting.possible]


def _numbered(groups: Iterable[list[Cut]]) -> tuple[Setup, ...]:
    setups: list[Setup] = []
    angles: Angles | None = None
    at: Stop | None = None
    for cuts in groups:
        if not cuts:
            continue
        first = cuts[0]
        stop = _stop(first)
        setups.append(
            Setup(
                order=len(setups) + 1,
                setting=first.setting,
                stop=first.stop,
                stop_side=first.setting.piece if stop else "",
                sets_saw=_angles(first.setting) != angles,
                sets_stop=stop is not None and stop != at,
                cuts=tuple(cuts),
            )
        )
        angles, at = _angles(first.setting), stop or at
    return tuple(setups)
