"""Requests for boards that are rarer than those of `test_plans_kept`.

Blanks that share mitred cuts, boards of different widths, more blanks than there is time for, and pieces that make room
for new ones."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random

from plan.boards.board_shop import EIGHT_INCH, FOOT, INCH, tight_request
from plan.boards.test_fewest_moves import Rack
from said.lines import stamp

from tests.bench.mixed_boards import HEAD, request
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.design.tables.grades import GRADES
from tracker.floor.boards import laid_out
from tracker.plan.boards import Request, Stock, board_plans, cut, laid_again
from tracker.plan.boards.by_volume import volume_to_buy
from tracker.plan.boards.replanning.fewest_moves_exact import fewest_moves


class Asked:
    """A keep_going that is true for a number of questions, and counts them."""

    def __init__(self, patience: int) -> None:
        self.patience, self.count = patience, 0

    def __call__(self) -> bool:
        self.count += 1
        return self.count <= self.patience


def _mitred(name: str, length: str, quantity: int, ends: tuple[int, int], more: str = "") -> str:
    """A part whose mitres are long at the far edge, or, where negative, at the near one."""
    cuts = "".join(
        f'end_{end} = {{ miter = {abs(angle)}, long = "{"far" if angle > 0 else "near"}" }}\n'
        for end, angle in zip("ab", ends, strict=True)
        if angle
    )
    head = f'[[parts]]\nid = "{name}"\nquantity = {quantity}\nwood = "oak"\nlength = "{length}"\n'
    return f'{head}measured = "overall"\n{cuts}{more}'


def nested(seed: int) -> Iterator[str]:
    """Frames of which neighbours share mitred cuts, with blanks that can't; and the same boards laid again."""
    chance = Random(f"nested {seed}")
    parts = [_mitred("square", "19 1/4", 2, (0, 0))]
    for n in range(chance.randint(2, 4)):
        a, b = (chance.choice((0, 15, 30, 45)) * chance.choice((1, -1)) for _ in "ab")
        length = f"{chance.randint(16, 40)} {chance.randint(0, 7)}/8"
        more = chance.choice(("", "", 'allowance = "1/2"\n', 'sequence = "front"\n'))
        ends = (a, -b if chance.random() < 0.5 else a)
        parts.append(_mitred(f"p{n}", length, chance.randint(1, 4), ends, more))
    build = load_build(EIGHT_INCH + "".join(parts)).build
    assert build is not None
    yield from _all_plans(build, 60)
    (*_, last) = board_plans(build, keep_going=Asked(60))
    yield stamp([laid_again(build, board.pieces) for wood in last.woods for board in wood.boards])


def mixed(seed: int) -> Iterator[str]:
    """Boards of different widths, and how much to buy of what they can't give, with and without a grade."""
    build = request(seed, None if seed % 2 else 9).build
    yield from _all_plans(build, 30)
    yield stamp([volume_to_buy(build, wood, ()) for wood in build.woods])


def wide(seed: int) -> Iterator[str]:
    """Boards of different widths with defects at their edges, a sequence, and too many sizes to try every plan."""
    chance = Random(f"wide {seed}")
    text = HEAD
    for board in range(chance.randint(4, 6)):
        at = chance.randint(200, 900)
        defects = f'defects = [[{at}, {at + 90}, "{chance.choice(("near", "far"))}", {chance.randint(15, 60)}]]\n'
        size = f"length = {chance.randint(120, 260) * 10}\nwidth = {chance.randint(140, 300)}\n"
        text += f'[[rack]]\nwood = "oak"\nname = "R{board}"\n{size}{defects if board % 2 else ""}'
    for kind in range(7):
        size = f"length = {chance.randint(250, 900)}\nwidth = {chance.randint(40, 130)}\n"
        text += f'[[parts]]\nid = "p{kind}"\nquantity = {chance.randint(2, 4)}\nwood = "oak"\n{size}'
        text += 'sequence = "front"\n' if kind == 0 else ""
    build = load_build(text).build
    assert build is not None
    yield from _all_plans(build, 40)


def graded(seed: int) -> Iterator[str]:
    """How many boards of each grade are enough for what isn't in hand, and what they cost."""
    chance = Random(f"graded {seed}")
    for grade in GRADES:
        unit = chance.choice(("board_foot", "cubic_metre"))
        price = f'grade = "{grade.name}"\nprice_per_{unit} = {chance.randint(4, 900)}\n'
        parts = [
            f'[[parts]]\nid = "p{n}"\nquantity = {chance.randint(1, 9)}\nwood = "oak"\n'
            f"length = {chance.randint(200, 1900)}\nwidth = {chance.randint(40, 240)}\n"
            for n in range(4)
        ]
        build = load_build(HEAD + price + "".join(parts)).build
        assert build is not None
        (needs,) = (volume_to_buy(build, wood, ()) for wood in build.woods)
        assert needs is not None
        volume = f"{float(needs.board_feet):.4f} {float(needs.cubic_metres):.6f}"
        yield f"{needs.enough} {needs.cost} {volume} {stamp(needs)}"


def _all_plans(build: Build, patience: int) -> Iterator[str]:
    asked = Asked(patience)
    plans = list(board_plans(build, keep_going=asked))
    yield f"{len(plans)} plans, asked {asked.count}, {stamp([laid_out(plan) for plan in plans])} {stamp(plans)}"


def large(seed: int) -> Iterator[str]:
    """Hundreds of different blanks: the quick plans, and then the bound in fractions."""
    chance = Random(f"large {seed}")
    runs = tuple(chance.randint(4 * 16, 60 * 16) * INCH // 16 for _ in range(360))
    stocks = tuple(Stock(stretches=(feet * FOOT,), price=feet * 210 + 7 * seed, length=feet * FOOT) for feet in (6, 8))
    for patience in (0, 2, 5):
        asked = Asked(patience)
        found = cut(Request(runs=runs, kerf=INCH // 8, stocks=stocks), asked)
        yield f"{patience}: {found.price} {found.length} {found.price_bound}, asked {asked.count}, {stamp(found)}"


def tight(seed: int) -> Iterator[str]:
    """Boards that are filled to the last unit, or nearly."""
    for patience in (6, 200):
        asked = Asked(patience)
        found = cut(tight_request(25 + seed), asked)
        yield f"{patience}: {found.price} {found.length}, asked {asked.count}, {stamp(found)}"


def moves(seed: int) -> Iterator[str]:
    """Pieces that make room for new ones, on more boards than can be tried in every way."""
    for number in range(6):
        rack = Rack.of(Random(f"moves {seed} {number}"), bins=7, most=4)
        for patience in (20, 4):
            asked = Asked(patience)
            found = fewest_moves(rack.bins(), rack.new, rack.offers, rack.budget, 9, asked)
            yield f"{found.moved} of at least {found.least}, asked {asked.count}, {stamp(found)}"


ODD: dict[str, tuple[Callable[[int], Iterator[str]], range]] = {
    "nested": (nested, range(12)), "mixed": (mixed, range(10)), "wide": (wide, range(2)), "graded": (graded, range(2)),
    "large": (large, range(2)), "moves": (moves, range(6)), "tight": (tight, range(14)),
}  # fmt: skip
