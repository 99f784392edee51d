"""What to buy: boards by the dealer's lengths, hardware, glue and finish; what it costs, and what is customary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal
from fractions import Fraction
from math import ceil

from msgspec import Struct

from tracker.design.model import Build, Wood
from tracker.design.tables.lumber import Section, sections
from tracker.design.tables.spread_rates import SOURCE
from tracker.design.tables.usual_waste import SOURCE as PRACTICE
from tracker.design.tables.usual_waste import customary_waste
from tracker.floor.boards import over_net
from tracker.measure import Length, read_length
from tracker.measure.length import ZERO
from tracker.measure.reading import feet_and_inches
from tracker.plan.boards import CutBoard, board_feet
from tracker.plan.boards.by_volume import BOARD_FOOT, VolumeToBuy, volume_to_buy
from tracker.plan.consumables import finish_needed, glue_needed

SQUARE_FEET, OUNCES, FLUID_OUNCES = 10.7639, 1 / 28.3495, 33.814
"""To a square metre, to a gram, to a litre (US customary)."""
SIGNS = {"USD": "$", "EUR": "€", "GBP": "£"}
"""Of ISO 4217's codes, those whose sign is before the figures and means no other currency here."""


class ShoppingRow(Struct, frozen=True, kw_only=True):
    """One thing to buy: how many of what, what it measures or how far it goes, what one costs where there are several,
    and what they cost together (or nothing)."""

    title: str
    said: str = ""
    each: str = ""
    cost: str = ""


class ShoppingGroup(Struct, frozen=True, kw_only=True):
    """What is bought in one place, with a sentence about it."""

    title: str
    said: str
    rows: tuple[ShoppingRow, ...]


class ShoppingCard(Struct, frozen=True, kw_only=True):
    """The whole list. `total` is what is known of its cost, `unknown` what isn't."""

    title: str
    groups: tuple[ShoppingGroup, ...]
    total: str
    unknown: str
    empty: str


def shopping_card(build: Build, boards: Iterable[CutBoard]) -> ShoppingCard:
    """What these boards, and the rest of the build, ask to be bought."""
    laid = tuple(boards)
    placed = {piece.id for board in laid for piece in board.pieces}
    by_volume = [found for wood in build.woods if (found := volume_to_buy(build, wood, placed))]
    woods = [group for wood in build.woods if (group := _wood(build, wood, laid))]
    woods += [_by_volume(build, found) for found in by_volume]
    others = (
        ShoppingGroup(title="Hardware", said="", rows=tuple(_hardware(build))),
        ShoppingGroup(title="Glue", said=f"estimated high; {SOURCE}", rows=tuple(_glue(build))),
        ShoppingGroup(title="Finish", said=f"all faces; {SOURCE}", rows=tuple(_finish(build))),
    )
    groups = (*woods, *(group for group in others if group.rows))
    costs = [board.price for board in laid if board.source == "dealer"]
    prices = [None if each.price is None else each.price * each.quantity for each in build.hardware]
    known = [cost for cost in (*costs, *prices, *(found.cost for found in by_volume)) if cost is not None]
    missing = [group.title for group in groups if any(not row.cost for row in group.rows)]
    return ShoppingCard(
        title=f"Shopping for {build.name}",
        groups=groups,
        total=about_money(build, sum(known, Decimal(0))) if known else "no price is known",
        unknown=f"Not priced: {', '.join(missing).lower()}." if missing and known else "",
        empty="Nothing to buy: the rack has enough." if not groups else "",
    )


def money(build: Build, amount: Decimal) -> str:
    """`$52.20`; `52.20 CHF` of a currency whose sign stands for others, too."""
    return _signed(build, f"{amount:.2f}")


def about_money(build: Build, amount: Decimal) -> str:
    """A sum of many prices: `about $52`, since dealers' prices move by more than the cents; `$52` where it is whole."""
    return f"{'' if amount == amount.to_integral_value() else 'about '}{_signed(build, f'{amount:.0f}')}"


def _signed(build: Build, figures: str) -> str:
    sign = SIGNS.get(build.currency)
    return f"{sign}{figures}" if sign else f"{figures} {build.currency}".strip()


def dealer_length(build: Build, length: Length) -> str:
    """As the dealer says it: `8′` in feet, `2.5 m` in metres; wood sold in feet is not renamed by a metric tape."""
    feet = length.per("in") % 6 == 0
    metric = length.mm % 10 == 0
    if feet and (build.units == "in" or not metric):
        return feet_and_inches(length, build.shop.mark)
    if metric and build.units == "mm":
        return f"{float(length.mm) / 1000:g} m"
    return read_length(length, build.shop.mark).text


def stock_size(build: Build, wood: Wood, length: Length) -> str:
    """How long a board is, as the dealer says it; of a sheet both sizes: `4′ × 8′`, `1220 mm × 2440 mm`."""
    if not wood.sheet:
        return dealer_length(build, length)
    if build.units == "in":
        return f"{dealer_length(build, wood.width)} × {dealer_length(build, length)}"
    return f"{read_length(wood.width, build.shop.mark).text} × {read_length(length, build.shop.mark).text}"


def _wood(build: Build, wood: Wood, laid: tuple[CutBoard, ...]) -> ShoppingGroup | None:
    mine = [board for board in laid if board.wood == wood.id]
    bought = [board for board in mine if board.source == "dealer"]
    if not bought:
        return None
    count = Counter((board.length, board.price) for board in bought)
    rows = []
    for (length, price), many in sorted(count.items(), key=lambda pair: pair[0][0], reverse=True):
        each = "" if price is None or many == 1 else money(build, price)
        rows.append(
            ShoppingRow(
                title=f"{many} {'board' if many == 1 else 'boards'}, {stock_size(build, wood, length)}",
                each=each,
                cost="" if price is None else money(build, price * many),
            )
        )
    title = f"{wood.species[:1].upper()}{wood.species[1:]} {wood.section}".strip()
    return ShoppingGroup(title=title, said=_about(build, wood, bought, mine), rows=tuple(rows))


def _by_volume(build: Build, found: VolumeToBuy) -> ShoppingGroup:
    """Rough boards of random width: how much in all; their sizes are measured in once they are here."""
    wood = build.wood(found.wood)
    row = ShoppingRow(
        title=volume_words(build, found),
        said=f"{found.over} % over {_volume_of(build, found.net)} net for {found.pieces} pieces{_enough(build, found)}",
        cost="" if found.cost is None else money(build, found.cost),
    )
    said = f"rough, {read_length(wood.rough, build.shop.mark).text} thick; " if wood.rough else ""
    usual = f"{found.usual.least} to {found.usual.most} % over is usual for {found.usual.wood}"
    grade = f"; {wood.by_volume.grade}" if wood.by_volume and wood.by_volume.grade else ""
    clear = f", clear to {100 * found.clear:.0f} % at least" if found.clear else ""
    name = f"{wood.species[:1].upper()}{wood.species[1:]}"
    return ShoppingGroup(title=name, said=f"{said}{usual} ({PRACTICE}){grade}{clear}", rows=(row,))


def _enough(build: Build, found: VolumeToBuy) -> str:
    """`; 4 boards are enough 9 times in 10 (23 board feet, simulated)`: of boards that nobody has seen."""
    wood = build.wood(found.wood)
    if found.enough is None or wood.rough is None:
        return ""
    boards = f"{found.enough.boards} board{'' if found.enough.boards == 1 else 's'}"
    volume = _volume_of(build, Fraction(round(found.enough.area)) * wood.rough.mm)
    return f"; {boards} {'is' if found.enough.boards == 1 else 'are'} enough 9 times in 10 ({volume}, simulated)"


def volume_words(build: Build, found: VolumeToBuy) -> str:
    """`14 board feet of rough boards`: up to the next whole one; or to the next litre of wood."""
    if build.units == "in":
        return f"{ceil(found.board_feet)} board feet of rough boards"
    return f"{ceil(found.cubic_metres * 1000) / 1000:g} m³ of rough boards"


def _volume_of(build: Build, volume: Fraction) -> str:
    if build.units == "in":
        return f"{float(volume / BOARD_FOOT):.1f} board feet"
    return f"{float(volume) / 1e9:.4f} m³"


def _about(build: Build, wood: Wood, bought: list[CutBoard], mine: list[CutBoard]) -> str:
    """What the section measures, how much wood it is, what the plan takes over the net wood, and what is customary."""
    section = sections().get(wood.section)
    length = sum((board.length for board in bought), ZERO)
    words = f"{_size(build, wood, section)}, {_amount(build, wood, section, length)}"
    over = over_net(mine)
    customary = customary_waste(section) if section else None
    usual = f" ({customary.least} to {customary.most} % is usual)" if customary else ""
    return f"{words}; {over}\u00a0% waste{usual}"


def _size(build: Build, wood: Wood, section: Section | None) -> str:
    def read(length: Length) -> str:
        return read_length(length, build.shop.mark).text

    if wood.sheet:
        return f"{read(wood.thickness)} thick"
    measures = f"{read(wood.thickness)} × {read(wood.width)}"
    if section is not None and section.stock in ("hardwood S2S", "hardwood S1S"):
        return f"{measures} ({read(Length.of(section.nominal_thickness, 'in'))} rough)"
    return measures


def _amount(build: Build, wood: Wood, section: Section | None, length: Length) -> str:
    if wood.sheet:
        return _surface(build, float(wood.width.mm * length.mm) / 1e6)
    feet = board_feet(wood, length)
    if feet is not None and build.units == "in":
        return f"{float(feet):.1f} board feet"
    return f"{float(wood.width.mm * wood.thickness.mm * length.mm) / 1e9:.4f} m³"


def _hardware(build: Build) -> Iterator[ShoppingRow]:
    for each in build.hardware:
        one = money(build, each.price) if each.price is not None and each.quantity > 1 else ""
        cost = "" if each.price is None else money(build, each.price * each.quantity)
        yield ShoppingRow(title=f"{each.quantity} × {each.name}", each=one, cost=cost)


def _glue(build: Build) -> Iterator[ShoppingRow]:
    for need in glue_needed(build):
        if need.grams is None:
            yield ShoppingRow(title=need.name, said=f"{_joints(build, need.area)}; no figure is known")
            continue
        yield ShoppingRow(title=need.name, said=f"{_weight(build, need.grams)} for {_joints(build, need.area)}")


def _finish(build: Build) -> Iterator[ShoppingRow]:
    for need in finish_needed(build):
        coats = "1 coat" if need.coats == 1 else f"{need.coats} coats"
        area = f"{coats} on {_surface(build, need.area)}"
        if need.litres is None:
            yield ShoppingRow(title=need.name, said=f"{area}; no figure is known")
            continue
        yield ShoppingRow(title=need.name, said=f"{_volume(build, need.litres)} for {area}")


def _joints(build: Build, area: float) -> str:
    """Joints are small: square inches, or square centimetres."""
    if build.units == "in":
        return f"{ceil(area * SQUARE_FEET * 144)} sq in of joints"
    return f"{ceil(area * 1e4)} cm² of joints"


def _surface(build: Build, area: float) -> str:
    return f"{area * SQUARE_FEET:.0f} sq ft" if build.units == "in" else f"{area:.1f} m²"


def _weight(build: Build, grams: float) -> str:
    if build.units == "in":
        return f"{_up(grams * OUNCES)} oz"
    return f"{ceil(grams / 5) * 5} g"


def _volume(build: Build, litres: float) -> str:
    if build.units == "in":
        return f"{ceil(litres * FLUID_OUNCES)} fl oz"
    return f"{_up(litres)} l"


def _up(amount: float) -> str:
    """To the next tenth, so that it suffices."""
    return f"{ceil(amount * 10 - 1e-9) / 10:g}"
