"""Random requests, by seed, as in a small shop: a few board lengths, many blanks in small lots, a rack with defects.

Everything is drawn from `random.Random(seed)`; lengths are whole 1/320 mm, from a tape in sixteenths or millimetres.
"""

from __future__ import annotations

import random

from tracker.plan.boards import Request, Stock

INCH = 8128  # 25.4 mm in 1/320 mm
FOOT = 12 * INCH
FEET = (4, 5, 6, 7, 8, 10, 12, 14, 16)
EIGHT_INCH = """
[build]
name = "Frames"
units = "in"
[shop]
kerf = "1/8"
end_trim = "1/2"
nest_miters = true
[woods.oak]
species = "white oak"
thickness = "3/4"
width = "7 1/4"
lengths = ["8 ft"]
prices = [20]
"""
"""The beginning of a build file whose mitred blanks share cuts."""


def shop_request(
    seed: int, blanks: int, *, linear: bool = False, rack: bool = True, kinds: int | None = None
) -> Request:
    """`linear`: prices in proportion to length; otherwise each differs by up to 9 %. `kinds`: dealer lengths, 2 to
    8."""
    chance = random.Random(f"{seed}/{blanks}/{linear}/{rack}")
    kerf = chance.choice((INCH // 8, INCH // 8, INCH * 3 // 32))
    trim = chance.choice((INCH // 4, INCH // 2, INCH))
    feet = sorted(chance.sample(FEET, kinds or chance.randint(2, 8)))
    if feet[-1] < 8:
        feet[-1] = 8
    per_foot = chance.choice((95, 140, 210, 320, 450))
    stocks = [
        Stock(
            stretches=(f * FOOT - 2 * trim,),
            price=per_foot * f if linear else round(per_foot * f * (1 + chance.uniform(-0.09, 0.09))),
            length=f * FOOT,
        )
        for f in feet
    ]
    longest = feet[-1] * FOOT - 2 * trim
    if rack:
        stocks += [_rack_board(chance, trim, kerf) for _ in range(chance.randint(1, 8))]
    return Request(runs=tuple(_runs(chance, blanks, longest, kerf)), kerf=kerf, stocks=tuple(stocks))


def _rack_board(chance: random.Random, trim: int, kerf: int) -> Stock:
    length = round(chance.uniform(18, 110) * 16) * INCH // 16
    edges = [trim]
    for _ in range(chance.choice((0, 0, 0, 1, 1, 2))):
        at = chance.randint(trim, length - trim)
        edges += [at, min(at + chance.randint(kerf, 4 * INCH), length - trim)]
    edges.append(length - trim)
    runs, at = [], trim
    for first, last in sorted(zip(edges[1:-1:2], edges[2:-1:2], strict=True)):
        if first > at:
            runs.append(first - at)
        at = max(at, last)
    if length - trim > at:
        runs.append(length - trim - at)
    return Stock(stretches=tuple(runs), supply=1)


def _runs(chance: random.Random, blanks: int, longest: int, kerf: int) -> list[int]:
    lots: list[list[int]] = []
    left = blanks
    while left:
        lot = min(left, chance.choice((1, 1, 2, 2, 2, 2, 3, 4, 4, 4, 5, 6, 8)))
        low, high = chance.choices(((4, 16), (16, 36), (36, 72)), (35, 40, 25))[0]
        inches = chance.uniform(low, high)
        length = round(inches * 16) * INCH // 16 if chance.random() < 0.9 else round(inches * 25.4) * 320
        lots.append([min(length, longest)] * lot)
        left -= lot
    for _ in range(chance.choice((0, 0, 1, 2, 3))):  # sequences: some of a lot must stay together
        lot_of = chance.choice(lots)
        together = chance.randint(2, 4)
        whole = sum(lot_of[:together]) + (together - 1) * kerf
        if len(lot_of) >= together and whole <= longest:
            del lot_of[:together]
            lots.append([whole])
    return [length for lot_of in lots for length in lot_of]


def tight_request(seed: int) -> Request:
    """Boards that are filled to the last unit, or nearly: what is cheapest by length often can't be cut."""
    chance = random.Random(f"tight {seed}")
    most = chance.choice((60, 100, 150))
    if seed % 2:
        few = (most // 3 - 1, most // 3 + 1, most // 4 + 1, most // 2 - 1, most // 5 + 2, most // 2 + 1)
        runs = [chance.choice(few) for _ in range(chance.randint(15, 30))]
        stocks = [Stock(stretches=(room,), price=price, length=room) for room, price in ((most, 10), (most + 7, 11))]
        return Request(runs=tuple(runs), kerf=chance.choice((0, 1)), stocks=tuple(stocks))
    runs, stocks = [], [Stock(stretches=(most,), price=10, length=most)]
    for _ in range(chance.randint(4, 8)):
        room = chance.randint(most // 2, most)
        cuts = sorted(chance.sample(range(room // 6, room - room // 6), chance.randint(1, 2)))
        runs += [b - a for a, b in zip([0, *cuts], [*cuts, room], strict=True)]
        stocks.append(Stock(stretches=(room - chance.choice((0, 0, 0, 1)),), supply=1))
    return Request(runs=tuple(runs), kerf=0, stocks=tuple(stocks))


def tight_stretches(seed: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """A dozen pieces or so into three to five stretches with next to no length to spare: about half can be cut."""
    chance = random.Random(seed)
    rooms = tuple(sorted(chance.randint(30, 60) for _ in range(chance.randint(3, 5))))
    spare = sum(rooms) - chance.randint(0, 3)
    pieces: list[int] = []
    while sum(pieces) < spare - 30:
        pieces.append(chance.randint(9, 26))
    rest = spare - sum(pieces)
    pieces += [rest] if rest <= 26 else [rest // 2, rest - rest // 2]
    return tuple(sorted(pieces, reverse=True)), rooms
