"""Small requests to the parts of the search for boards that are ripped, asked directly: see `small_searches`."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from plan.boards import test_rip_bounds
from said.odd_plans import Asked
from said.small_searches import with_limits

from tracker.measure import millimetres
from tracker.measure.length import ZERO
from tracker.plan.boards.rip import all_sections, bounds, sections, small_packings
from tracker.plan.boards.rip.strip import Strip


def small_boards() -> Iterator[Any]:
    """A few pieces on boards of different widths, by every load; the sections of ripped boards, and their bounds."""
    for seed in range(20):
        chance = random.Random(f"small boards {seed}")
        sizes = tuple({(chance.randint(2, 6), chance.randint(2, 5)): 0 for _ in range(chance.randint(1, 3))})
        counts = tuple(chance.randint(1, 3) for _ in sizes)
        rooms = [
            small_packings.Room(n // 2, n % 2 if seed % 2 else 0, chance.randint(4, 10), chance.randint(3, 7))
            for n in range(4)
        ]
        known = small_packings.SmallPackings(sizes, counts, seed % 2, rooms)
        yield known.run(Asked(3)), known.run(Asked(10_000)), known.laid, known.sawn
        for fronts in (known.laid, known.sawn):
            yield [known.best(fronts, rooms, (40, 30), Asked(most)) for most in (0, 2, 99)]
        with with_limits(small_packings, MOST_LOADS=3):
            yield small_packings.SmallPackings(sizes, counts, 0, rooms).run(Asked(99))


def ripped_sections() -> Iterator[Any]:
    """Sections of one board's width in every way, and what they take at least."""
    for seed in range(16):
        chance = random.Random(f"sections {seed}")
        strip = Strip.of(millimetres(chance.randint(9, 14)), ZERO, millimetres(seed % 2), [millimetres(1)])
        sizes = [(chance.randint(3, 12), chance.randint(2, 8)) for _ in range(chance.randint(1, 5))]
        rects = test_rip_bounds.rects(strip, *sizes)
        stretches = [millimetres(chance.randint(12, 25)) for _ in range(2)]
        for grainless in (False, True):
            asked = Asked(seed % 7)
            yield bounds.least_length(rects, strip, grainless, asked), asked.count
        prices = [(millimetres(chance.randint(5, 20)), chance.randint(3, 12)) for _ in range(3)]
        for patience in (0, 2, 99):
            asked = Asked(patience)
            yield bounds.least_cost(millimetres(chance.randint(0, 60)), prices, asked), asked.count
        for most in (sections.MANY_SIZES, 1):
            with with_limits(sections, TRIES=3, MANY_SIZES=most, FINE=9):
                yield [
                    [[(laid.at, laid.across, laid.width) for laid in batch.laid] for batch in way]
                    for grainless in (False, True)
                    for way in sections.ways(rects, strip, stretches, grainless)
                ]
        for patience in (99, 12):
            asked = Asked(patience)
            cost_of = partial(_cost_of_sections, strip.per_mm)
            found, tried = all_sections.best_sections(rects, strip, cost_of, (4, 10**9), asked)
            yield None if found is None else [each.length for each in found], tried, asked.count


def _cost_of_sections(per_mm: int, lengths: list[int]) -> tuple[int, int] | None:
    """Boards 9 mm long, of which there are some."""
    total = sum(lengths)
    return None if total > 40 * per_mm else (-(-total // (9 * per_mm)), total)


RIPS: dict[str, Callable[[], Iterator[Any]]] = {each.__name__: each for each in (small_boards, ripped_sections)}
