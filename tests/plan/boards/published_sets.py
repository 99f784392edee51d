"""Published bin-packing instances: some as they were printed, others by their published recipes with fixed seeds."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tracker.plan.boards import Request, Stock

FOLDER = Path(__file__).parent / "published"


@dataclass(frozen=True, slots=True)
class Instance:
    """Items for bins of one capacity; `optimum` None where nobody has published one."""

    name: str
    capacity: int
    sizes: tuple[int, ...]
    optimum: int | None = None

    @property
    def request(self) -> Request:
        """Boards without kerf, of which each is one long: the length bought is the number of bins."""
        return Request(runs=self.sizes, kerf=0, stocks=(Stock(stretches=(self.capacity,), length=1),))


def printed() -> Iterator[Instance]:
    """Of the file: name, capacity and optimum on a line, then the sizes. Sources stand in it."""
    lines = [line for line in (FOLDER / "falkenauer.txt").read_text("utf-8").splitlines() if line[0] != "#"]
    head: list[str] = []
    sizes: list[int] = []
    for line in [*lines, "end 0 0"]:
        if line[0].isdigit():
            sizes += map(int, line.split())
            continue
        if head:
            yield Instance(head[0], int(head[1]), tuple(sizes), int(head[2]))
        head, sizes = line.split(), []


def uniform(items: int, seed: int) -> Instance:
    """Falkenauer's uniform class: sizes from 20 to 100, capacity 150 (Falkenauer 1996)."""
    chance = random.Random(f"uniform {items} {seed}")
    return Instance(f"uniform {items}/{seed}", 150, tuple(chance.randint(20, 100) for _ in range(items)))


def triplets(items: int, seed: int) -> Instance:
    """Falkenauer's triplets, thousandfold: first 380 to 490, second 250 to half the rest, third what fills the bin."""
    chance = random.Random(f"triplets {items} {seed}")
    sizes: list[int] = []
    while len(sizes) < items:
        first = chance.randint(380, 490)
        second = chance.randint(250, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    chance.shuffle(sizes)
    return Instance(f"triplets {items}/{seed}", 1000, tuple(sizes), items // 3)


def scholl_one(items: int, capacity: int, least: int, seed: int) -> Instance:
    """Data set 1 of Scholl, Klein & Jürgens (1997): n, c in 100, 120, 150, and sizes from 1, 20 or 30 to 100."""
    chance = random.Random(f"scholl {items} {capacity} {least} {seed}")
    sizes = tuple(chance.randint(least, 100) for _ in range(items))
    return Instance(f"Scholl 1 n {items} c {capacity} from {least}/{seed}", capacity, sizes)


def scholl_two(items: int, share: int, spread: float, seed: int) -> Instance:
    """Data set 2: capacity 1000, sizes about 1000 / share, within a spread of 20, 50 or 90 per cent of that."""
    chance = random.Random(f"scholl two {items} {share} {spread} {seed}")
    mean = 1000 // share
    low, high = round(mean * (1 - spread)), round(mean * (1 + spread))
    sizes = tuple(chance.randint(max(1, low), high) for _ in range(items))
    return Instance(f"Scholl 2 n {items} mean {mean} spread {spread:g}/{seed}", 1000, sizes)


def schwerin(items: int, seed: int) -> Instance:
    """Schwerin & Wäscher (1997): capacity 1000, sizes from 150 to 200, 100 or 120 items."""
    chance = random.Random(f"schwerin {items} {seed}")
    return Instance(f"Schwerin {items}/{seed}", 1000, tuple(chance.randint(150, 200) for _ in range(items)))


def small() -> Iterator[Instance]:
    """Those with up to 120 items."""
    yield from printed()
    for seed in range(5):
        yield triplets(60, seed)
        yield triplets(120, seed)
        yield uniform(120, seed)
        yield schwerin(100, seed)
        yield schwerin(120, seed)
        for capacity in (100, 120, 150):
            for least in (1, 20, 30):
                yield scholl_one(50, capacity, least, seed)
                yield scholl_one(100, capacity, least, seed)
        for share in (3, 5, 7, 9):
            for spread in (0.2, 0.5, 0.9):
                yield scholl_two(50, share, spread, seed)
                yield scholl_two(100, share, spread, seed)


def harder() -> Iterator[Instance]:
    """Larger ones."""
    for seed in range(3):
        yield uniform(250, seed)
        yield uniform(500, seed)
        yield triplets(249, seed)
        yield scholl_one(200, 150, 1, seed)
        yield scholl_two(200, 3, 0.5, seed)
