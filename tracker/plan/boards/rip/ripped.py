"""The plan of one wood that is ripped, or comes in sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from msgspec import Struct, field
from msgspec.structs import replace

from tracker.design.model import Build, Wood
from tracker.measure.length import ZERO
from tracker.plan.boards.blanks import Batch, Demand, as_read
from tracker.plan.boards.cancel import KeepGoing, allowance
from tracker.plan.boards.plan import Unplaced, WoodPlan
from tracker.plan.boards.remaining import BoardLeft
from tracker.plan.boards.rip.all_sections import FEW, best_sections
from tracker.plan.boards.rip.bounds import least_cost, least_length
from tracker.plan.boards.rip.sections import ways
from tracker.plan.boards.rip.strip import Rect, Strip
from tracker.plan.boards.solver import Cutting, Proof, cut
from tracker.plan.boards.wood_problem import Order, order, wood_plan
from tracker.words import say

AT_ONCE = 4
MANY = 60
"""From this many pieces up, only one way is tried at once."""
A_LOOK = 5
"""How many times one way to make sections may call `keep_going`, before the best of them is planned fully."""


class RippedOrder(Struct):
    """What is wanted of a wood that is ripped: sequences take the whole width, everything else lies in lanes."""

    build: Build
    wood: Wood
    demand: Demand
    have: tuple[BoardLeft, ...]
    strip: Strip
    first_number: int
    rects: list[Rect] = field(default_factory=list)
    whole: list[Batch] = field(default_factory=list)

    @classmethod
    def of(
        cls, build: Build, wood: Wood, demand: Demand, have: Sequence[BoardLeft], first_number: int = 1
    ) -> RippedOrder:
        """Pieces that don't fit either way are unplaced, with the reason. Bought boards are numbered from
        `first_number` up."""
        edge = build.shop.end_trim if wood.sheet else ZERO
        clear = wood.width - 2 * edge
        sizes = (size for run in demand.runs for size in (run.blanks[0].length, run.blanks[0].across))
        lengths = (stretch.length for each in have for stretch in each.stretches)
        strip = Strip.of(clear, edge, build.shop.kerf, (*sizes, *lengths))
        mine = cls(build, wood, demand, tuple(have), strip, first_number)
        longest = max((stretch.length for each in have for stretch in each.stretches), default=ZERO)
        room = strip.down(longest)
        unplaced = list(demand.unplaced)
        for run in demand.runs:
            (first, *others) = run.blanks
            rect = strip.rect(first, first.length, first.across)
            lays = (rect, rect.turned) if wood.grainless else (rect,)
            if others:
                mine.whole.append(run)
            elif any(each.across <= strip.width and each.along <= room for each in lays):
                mine.rects.append(rect)
            else:
                size = f"{as_read(build, first.length)} × {as_read(build, first.across)}"
                most = f"{as_read(build, longest)} × {as_read(build, max(clear, ZERO))}"
                why = say("{size} is more than the {most} that is clear of {wood}", size=size, most=most, wood=wood.id)
                unplaced.append(Unplaced(part=first.part, piece=first.piece, why=why))
        mine.demand = replace(demand, unplaced=tuple(unplaced))
        return mine

    def plan(self, keep_going: KeepGoing) -> WoodPlan:
        """The best plan found before `keep_going` returns False."""
        stretches = [stretch.length for each in self.have for stretch in each.stretches]
        sections = ways(self.rects, self.strip, stretches, self.wood.grainless)
        runs, best = min(self._try_each(sections, keep_going), key=lambda pair: _objective(pair[1][1]))
        if keep_going():
            best = min(best, self._cut(runs, keep_going), key=lambda pair: _objective(pair[1]))
        least = self._least(best[0], keep_going)
        note, tried = "", True
        if _objective(best[1])[1] > least and len(self.rects) <= FEW and not self.wood.grainless:
            costs: dict[tuple[int, ...], tuple[int, int] | None] = {}
            known = (best[1].price, best[1].length)
            cost_of = partial(self._cost, costs, keep_going)
            better, tried = best_sections(self.rects, self.strip, cost_of, known, keep_going)
            if better is not None:
                best = self._cut(better, keep_going)
            if tried:
                note = say("the cheapest of all ways to crosscut first and then rip, a piece to a lane")
        return self._wood_plan(*best, least, note, tried and keep_going())

    def _try_each(
        self, ways: Iterator[list[Batch]], keep_going: KeepGoing
    ) -> Iterator[tuple[list[Batch], tuple[Order, Cutting]]]:
        """Each way with a plan made of it quickly: some of them at once, the others for as long as time allows."""
        at_once = AT_ONCE if len(self.rects) <= MANY else 1
        for n, sections in enumerate(ways):
            yield sections, self._cut(sections, allowance(A_LOOK, keep_going))
            if n + 1 >= at_once and not keep_going():
                return

    def _wood_plan(self, mine: Order, cutting: Cutting, least: int, note: str, exhausted: bool) -> WoodPlan:
        priced = bool(self.wood.prices)
        proved = least >= (cutting.price if priced else cutting.length)
        cutting = replace(
            cutting,
            price_bound=min(least, cutting.price) if priced else 0,
            length_bound=0 if priced else min(least, cutting.length),
            proof=Proof(price=proved, length=proved and not priced),
        )
        plan = wood_plan(mine, cutting, self.first_number)
        notes = (*plan.notes, *([note] if note and not proved else []))
        return replace(plan, notes=notes, exhausted=exhausted)

    def _cut(self, sections: Sequence[Batch], keep_going: KeepGoing) -> tuple[Order, Cutting]:
        demand = replace(self.demand, runs=(*self.whole, *sections))
        mine = replace(order(self.build, self.wood, demand, self.have), slants={})
        return mine, cut(mine.request, keep_going)

    def _cost(
        self,
        costs: dict[tuple[int, ...], tuple[int, int] | None],
        keep_going: KeepGoing,
        lengths: Sequence[int],
    ) -> tuple[int, int] | None:
        """The least cost of boards for sections of these lengths, together with the sequences."""
        key = tuple(sorted(lengths))
        if key not in costs:
            _, cutting = self._cut([Batch((), self.strip.length(each)) for each in lengths], keep_going)
            costs[key] = None if cutting.unplaced else (cutting.price, cutting.length)
        return costs[key]

    def _least(self, mine: Order, keep_going: KeepGoing) -> int:
        """The lower bound, in the solver's prices or, where none are known, in grid lengths."""
        kerf = self.build.shop.kerf
        need = least_length(self.rects, self.strip, self.wood.grainless, keep_going)
        need = need + sum((run.length + kerf for run in self.whole), ZERO)
        dealer, best = [], 0
        for each, stock in zip(self.have, mine.request.stocks, strict=True):
            cost = stock.price if self.wood.prices else stock.length
            for stretch in each.stretches:
                if each.source == "dealer":
                    dealer.append((stretch.length + kerf, cost))
                else:
                    need = need - stretch.length - kerf
        if dealer and need > ZERO:
            best = least_cost(need, dealer, keep_going)
        return max(best, self._least_of_wide(keep_going))

    def _least_of_wide(self, keep_going: KeepGoing) -> int:
        """The bound for pieces too wide to lie side by side and those of full width, for which one dimension is
        enough."""
        if self.wood.grainless or not keep_going():
            return 0
        wide = [rect for rect in self.rects if 2 * rect.across + self.strip.kerf > self.strip.width]
        if not wide and not self.whole:
            return 0
        _, cutting = self._cut([Batch((), self.strip.length(rect.along)) for rect in wide], keep_going)
        return cutting.price_bound if self.wood.prices else cutting.length_bound


def _objective(cutting: Cutting) -> tuple[int, int, int]:
    return len(cutting.unplaced), cutting.price, cutting.length
