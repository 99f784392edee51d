"""The passes of a piece over the saw, in order: how it lies for each, what to set, to mark and to check.

Everything that shows a person how to make a cut (the card and its drawing, the commands, the paper) is made from these
values, so that words and drawing can't disagree. How the saw is set comes from `plan.saw_setting`, the order and the
stop from `plan.setups`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Literal

from msgspec import Struct

from tracker.design.model import Build, EndName, Part
from tracker.measure import Angle, Length, read_angle, read_length
from tracker.measure.length import ZERO
from tracker.plan.geometry import solid
from tracker.plan.hand_clearance import JIG, too_small
from tracker.plan.saw_setting import SawSetting, Side, square_setting
from tracker.plan.setups import Cut, Setups, goes_over_saw, is_ripped
from tracker.plan.shape import ENDS, Solid
from tracker.words import say
from tracker.words.sides import turned

Operation = Literal["cut", "rip", "trim"]


class Pass(Struct, frozen=True, kw_only=True):
    """One pass over the saw. Angles in degrees, lengths along the piece.

    `end` is the end that is cut; None for the cut that makes the blank, and for a rip. `first`: the first of the two
    ends, which is cut without a stop. A crosscut is seen from where the person stands, with the fence at the back.
    """

    operation: Operation
    """The operation of the route that the pass belongs to."""
    end: EndName | None
    first: bool = False
    up: str
    """Which side faces up: `top face`, `bottom face`, `near edge` or `far edge`."""
    fence: str
    """What lies against the fence: an edge, a face, or an end when the piece points at the person."""
    piece: Side
    """The side of the blade on which the kept piece lies."""
    swing: Literal["left", "right", "none"] = "none"
    """Which way the handle swings."""
    swing_deg: Angle = 0.0
    tilt: Literal["left", "none"] = "none"
    tilt_deg: Angle = 0.0
    stop: Length | None = None
    """The distance from the blade to the stop block, on the piece's side; None where the cut is made to a mark."""
    set: Length
    """The number to set or mark for this pass: the distance of the stop or of the rip fence, or how far the mark is
    from the end of the stock (the finished end or the blank's)."""
    check: Length
    """What the tape should read afterwards: the finished length as the build file measures it, the blank's length, or
    the width of a rip."""
    setting: SawSetting | None = None
    """The entry for the same cut in `plan.setups`; None for a rip."""
    small: bool
    """Whether the cut brings a hand too near the blade: use a jig or a long strip, and no stop."""
    words: str

    @property
    def warning(self) -> str:
        """The caution for a cut with a hand near the blade; empty where the usual care is enough."""
        if self.operation == "rip":
            return JIG["rip"] if self.small else JIG["narrow"] if too_small(self.set) else ""
        return JIG["crosscut"] if self.small else ""

    @property
    def possible(self) -> bool:
        return self.setting is None or self.setting.possible

    @property
    def square(self) -> bool:
        return self.swing_deg == 0 and self.tilt_deg == 0

    @property
    def angles(self) -> str:
        """`swing 5.7° left, tilt 29.5° left`, or `square`."""
        return self.setting.angles if self.setting else "square"

    @property
    def blade(self) -> Literal["left", "right", ""]:
        """On which side of the mark the blade goes: the waste side. Empty where the piece points at the person."""
        return {"left of the blade": "right", "right of the blade": "left"}.get(self.piece, "")  # type: ignore[return-value]


class PieceCuts(Struct, frozen=True, kw_only=True):
    """All passes of one piece; empty for a piece whose route has no saw work."""

    passes: tuple[Pass, ...]
    """The passes in the order of work: the blank, its rip, its trims."""
    ends: tuple[Pass, ...]
    """The pass that makes each end, the first end first. An end that is finished when the blank is cut has one of the
    blank's passes here: the board's end is squared, and the blank is cut off against the stop."""
    swapped: tuple[Pass, ...] = ()
    """The same when a person cuts the ends in the other order; empty where there is no other order."""

    def end(self, which: EndName, done: Collection[EndName] = ()) -> Pass:
        """The pass that makes an end when the ends `done` are already made. Raises KeyError for a piece without saw
        work."""
        for ends in (self.ends, self.swapped):
            for each in ends:
                if each.end == which and each.first == (not done):
                    return each
        return {each.end: each for each in self.ends}[which]

    def others(self, each: Pass) -> tuple[Pass, ...]:
        """The passes of the other ends in the same order of work."""
        ends = self.swapped if each in self.swapped else self.ends
        return tuple(other for other in ends if other is not each)

    def of(self, operation: str) -> tuple[Pass, ...]:
        """The passes of one operation of the route, in the order of work."""
        return tuple(each for each in self.passes if each.operation == operation)


def piece_cuts(build: Build, plan: Setups, part: Part, number: int) -> PieceCuts:
    """The passes of piece `number` of `part`; `plan` holds the setups of the same build."""
    return _Passes(build, plan, part, number).all()


class _Passes:
    """Builds the passes of one piece."""

    def __init__(self, build: Build, plan: Setups, part: Part, number: int) -> None:
        self.build, self.plan, self.part, self.number = build, plan, part, number
        self.solid: Solid = solid(part, part.hand(number))

    def all(self) -> PieceCuts:
        if not goes_over_saw(self.part):
            return PieceCuts(passes=(), ends=())
        blank = self._cut(None)
        cut = sorted((found for end in ENDS if (found := self._place(end))), key=lambda pair: pair[0])
        trims = [found for _, found in cut]
        done = [end for end in ENDS if end not in {each.end for each in trims}]
        stop = next((cut.stop for cut in trims if cut.stop), None)
        ends = (*self._with_blank(done), *self._trims(trims, stop, first=not done))
        swapped = tuple(self._trims(trims[::-1], stop, first=True)) if len(trims) == len(ENDS) else ()
        passes = ((self._blank(blank),) if blank else (), tuple(self._rip()), ends[len(done) :])
        return PieceCuts(passes=tuple(each for group in passes for each in group), ends=ends, swapped=swapped)

    def _cut(self, end: EndName | None) -> Cut | None:
        found = self._place(end)
        return found[1] if found else None

    def _place(self, end: EndName | None) -> tuple[tuple[int, int], Cut] | None:
        """A planned cut and its turn: the number of its setup, and its place in the setup."""
        setup = self.plan.of(self.part.id, self.number, end)
        for at, cut in enumerate(setup.cuts if setup else ()):
            if (cut.part, cut.piece, cut.end) == (self.part.id, self.number, end):
                return (setup.order if setup else 0, at), cut
        return None

    def _blank(self, cut: Cut) -> Pass:
        check = cut.length if self.solid.needs_trim() else self.solid.length
        return self._crosscut(cut.setting, "cut", None, stop=cut.stop, set=cut.length, check=check)

    def _with_blank(self, ends: list[EndName]) -> Iterator[Pass]:
        """The passes for ends that are square and have no allowance: the squared end of the board, and the blank's
        cut."""
        overall = self.solid.edges.overall
        for at, end in enumerate(ends):
            stop = None if at == 0 or too_small(overall) else overall
            yield self._crosscut(
                square_setting(end, self.build.shop), "cut", end, first=at == 0, stop=stop, set=overall if at else ZERO
            )

    def _trims(self, cuts: list[Cut], stop: Length | None, *, first: bool) -> Iterator[Pass]:
        """The passes that trim the ends; the last one is cut against `stop`."""
        for at, cut in enumerate(cuts):
            is_first = first and at == 0
            mark = self.solid.allowance / 2 if is_first else self.solid.edges.overall
            at_stop = None if is_first else stop
            yield self._crosscut(cut.setting, cut.operation, cut.end, first=is_first, stop=at_stop, set=mark)

    def _rip(self) -> Iterator[Pass]:
        if not is_ripped(self.build, self.part):
            return
        width, small = self.solid.across_board, too_small(self.solid.along_board)
        warning = "rip" if small else "narrow" if too_small(width) else ""
        words = say(
            "Rip fence at {width}, the straight edge to the fence. {caution}",
            width=self._read(width),
            caution=JIG.get(warning, ""),
        ).rstrip()
        yield Pass(
            operation="rip", end=None, up="top face", fence="far edge", piece="right of the blade", set=width,
            check=width, small=small, words=words,
        )  # fmt: skip

    def _crosscut(
        self,
        saw: SawSetting,
        operation: Operation,
        end: EndName | None,
        *,
        first: bool = False,
        stop: Length | None,
        set: Length,
        check: Length | None = None,
    ) -> Pass:
        small = too_small(self.solid.edges.overall if end else set)
        return Pass(
            operation=operation,
            end=end,
            first=first,
            up=saw.up,
            fence=saw.fence,
            piece=saw.piece,
            swing=saw.swing or "none",
            swing_deg=saw.miter_deg,
            tilt=saw.tilt or "none",
            tilt_deg=saw.bevel_deg,
            stop=stop,
            set=set,
            check=self.solid.length if check is None else check,
            setting=saw,
            small=small,
            words=" ".join(self._words(saw, end, first=first, stop=stop, set_to=set, small=small)),
        )

    def _words(
        self, saw: SawSetting, end: EndName | None, *, first: bool, stop: Length | None, set_to: Length, small: bool
    ) -> Iterator[str]:
        """The instruction in the order of work: which end, the stop or the mark, the angles, how the piece lies."""
        which = say("Blank")
        if end:
            which = say("End {end} first", end=end) if first else say("End {end} second", end=end)
        if stop is not None:
            how = say("stop block at {stop}", stop=self._read(stop))
        elif first:
            how = say("no stop")
        else:
            how = say("no stop: cut to a mark at {set_to}", set_to=self._read(set_to))
        yield f"{which}, {how}; {saw.angles}." if saw.possible else f"{which}, {how}."
        yield f"{saw.note[0].upper()}{saw.note[1:]}."
        if small:
            yield JIG["crosscut"]

    def _read(self, length: Length) -> str:
        return read_length(length, self.build.shop.mark).text


def angle_words(each: Pass) -> Iterator[tuple[str, str]]:
    """The setting of each scale, in the order of setting: (`30°`, `swing left`), (`15°`, `tilt left`)."""
    for angle, motion, way in ((each.swing_deg, "swing", each.swing), (each.tilt_deg, "tilt", each.tilt)):
        if read_angle(angle) != "0":
            yield f"{read_angle(angle)}°", turned(motion, way)
