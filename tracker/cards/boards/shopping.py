"""The shopping list: boards by the dealer's lengths, hardware, glue and finish, their cost, and the customary extra."""

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
from tracker.measure.tape_reading import feet_and_inches
from tracker.plan.boards import CutBoard, board_feet
from tracker.plan.boards.by_volume import BOARD_FOOT, VolumeToBuy, volume_to_buy
from tracker.plan.consumables import finish_needed, glue_needed
from tracker.words import say, say_many

SQUARE_FEET, OUNCES, FLUID_OUNCES = 10.7639, 1 / 28.3495, 33.814
"""Square feet in a square metre, ounces in a gram, fluid ounces in a litre (US customary)."""
MOST_WASTE = 30
"""More than any wood's usual waste, in percent: the rest is offcuts. Common practice, no source."""
SIGNS = {"USD": "$", "EUR": "€", "GBP": "£"}
"""ISO 4217 codes whose sign comes before the figures and stands for no other currency here."""


class ShoppingRow(Struct, frozen=True, kw_only=True):
    """One thing to buy: the quantity, its size or how far it goes, the price of one if there are several, and the total
    price (or empty)."""

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
    """The whole list. `total` is the known part of the cost; `unknown` names what has no price."""

    title: str
    groups: tuple[ShoppingGroup, ...]
    total: str
    unknown: str
    empty: str


def shopping_card(build: Build, boards: Iterable[CutBoard]) -> ShoppingCard:
    """What these boards and the rest of the build require to be bought."""
    laid = tuple(boards)
    placed = {piece.id for board in laid for piece in board.pieces}
    by_volume = [found for wood in build.woods if (found := volume_to_buy(build, wood, placed))]
    woods = [group for wood in build.woods if (group := _wood(build, wood, laid))]
    woods += [_by_volume(build, found) for found in by_volume]
    others = (
        ShoppingGroup(title=say("Hardware"), said="", rows=tuple(_hardware(build))),
        ShoppingGroup(title=say("Glue"), said=say("estimated high; {source}", source=SOURCE), rows=tuple(_glue(build))),
        ShoppingGroup(title=say("Finish"), said=say("all faces; {source}", source=SOURCE), rows=tuple(_finish(build))),
    )
    groups = (*woods, *(group for group in others if group.rows))
    costs = [board.price for board in laid if board.source == "dealer"]
    prices = [None if each.price is None else each.price * each.quantity for each in build.hardware]
    known = [cost for cost in (*costs, *prices, *(found.cost for found in by_volume)) if cost is not None]
    missing = [group.title for group in groups if any(not row.cost for row in group.rows)]
    return ShoppingCard(
        title=say("Shopping for {build}", build=build.name),
        groups=groups,
        total=about_money(build, sum(known, Decimal(0))) if known else say("no price is known"),
        unknown=say("Not priced: {missing}.", missing=", ".join(missing).lower()) if missing and known else "",
        empty=say("Nothing to buy: the rack has enough.") if not groups else "",
    )


def money(build: Build, amount: Decimal) -> str:
    """`$52.20`; `52.20 CHF` for a currency without a sign of its own."""
    return _signed(build, f"{amount:.2f}")


def about_money(build: Build, amount: Decimal) -> str:
    """A sum of many prices: `about $52`, since dealers' prices move by more than cents; `$52` where it is whole."""
    return (
        _signed(build, f"{amount:.0f}")
        if amount == amount.to_integral_value()
        else say("about {amount}", amount=_signed(build, f"{amount:.0f}"))
    )


def _signed(build: Build, figures: str) -> str:
    sign = SIGNS.get(build.currency)
    return f"{sign}{figures}" if sign else f"{figures} {build.currency}".strip()


def dealer_length(build: Build, length: Length) -> str:
    """A length as the dealer says it: `8′` in feet, `2.5 m` in metres. Wood sold in feet keeps its feet on a metric
    tape."""
    feet = length.per("in") % 6 == 0
    metric = length.mm % 10 == 0
    if feet and (build.units == "in" or not metric):
        return feet_and_inches(length, build.shop.mark)
    if metric and build.units == "mm":
        return f"{float(length.mm) / 1000:g} m"
    return read_length(length, build.shop.mark).text


def stock_size(build: Build, wood: Wood, length: Length) -> str:
    """The length of a board as the dealer says it; for a sheet both sizes: `4′ × 8′`, `1220 mm × 2440 mm`."""
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
                title=say_many(
                    "{count} board, {size}", "{count} boards, {size}", many, size=stock_size(build, wood, length)
                ),
                each=each,
                cost="" if price is None else money(build, price * many),
            )
        )
    title = f"{wood.species[:1].upper()}{wood.species[1:]} {wood.section}".strip()
    return ShoppingGroup(title=title, said=_about(build, wood, bought, mine), rows=tuple(rows))


def _by_volume(build: Build, found: VolumeToBuy) -> ShoppingGroup:
    """Rough boards of random width: the total volume; their sizes are measured and entered once they are here."""
    wood = build.wood(found.wood)
    row = ShoppingRow(
        title=volume_words(build, found),
        said=say(
            "{over} % over {volume} net for {pieces} pieces{enough}",
            over=found.over,
            volume=_volume_of(build, found.net),
            pieces=found.pieces,
            enough=_enough(build, found),
        ),
        cost="" if found.cost is None else money(build, found.cost),
    )
    said = say("rough, {rough} thick; ", rough=read_length(wood.rough, build.shop.mark).text) if wood.rough else ""
    usual = say(
        "{least} to {most} % over is usual for {wood}",
        least=found.usual.least,
        most=found.usual.most,
        wood=found.usual.wood,
    )
    grade = f"; {wood.by_volume.grade}" if wood.by_volume and wood.by_volume.grade else ""
    clear = say(", clear to {clear:.0f} % at least", clear=100 * found.clear) if found.clear else ""
    name = f"{wood.species[:1].upper()}{wood.species[1:]}"
    return ShoppingGroup(title=name, said=f"{said}{usual} ({PRACTICE}){grade}{clear}", rows=(row,))


def _enough(build: Build, found: VolumeToBuy) -> str:
    """`; 4 boards are enough 9 times in 10 (23 board feet, simulated)`, for boards that nobody has seen."""
    wood = build.wood(found.wood)
    if found.enough is None or wood.rough is None:
        return ""
    boards = say_many("{count} board", "{count} boards", found.enough.boards)
    volume = _volume_of(build, Fraction(round(found.enough.area)) * wood.rough.mm)
    return say_many(
        "; {boards} is enough 9 times in 10 ({volume}, simulated)",
        "; {boards} are enough 9 times in 10 ({volume}, simulated)",
        found.enough.boards,
        boards=boards,
        volume=volume,
    )


def volume_words(build: Build, found: VolumeToBuy) -> str:
    """`14 board feet of rough boards`: rounded up to a whole board foot, or to a litre of wood."""
    if build.units == "in":
        return say("{amount} board feet of rough boards", amount=ceil(found.board_feet))
    return say("{amount:g} m³ of rough boards", amount=ceil(found.cubic_metres * 1000) / 1000)


def _volume_of(build: Build, volume: Fraction) -> str:
    if build.units == "in":
        return say("{volume:.1f} board feet", volume=float(volume / BOARD_FOOT))
    return f"{float(volume) / 1000**3:.4f} m³"


def _about(build: Build, wood: Wood, bought: list[CutBoard], mine: list[CutBoard]) -> str:
    """The size of the section, the amount of wood, the plan's extra over the net wood, and the customary extra."""
    section = sections().get(wood.section)
    length = sum((board.length for board in bought), ZERO)
    words = f"{_size(build, wood, section)}, {_amount(build, wood, section, length)}"
    over = over_net(mine)
    if over > MOST_WASTE:
        return say("{words}; {over} % more than the pieces, offcuts included", words=words, over=over)
    customary = customary_waste(section) if section else None
    usual = say(" ({least} to {most} % is usual)", least=customary.least, most=customary.most) if customary else ""
    return say("{words}; {over} % waste{usual}", words=words, over=over, usual=usual)


def _size(build: Build, wood: Wood, section: Section | None) -> str:
    def read(length: Length) -> str:
        return read_length(length, build.shop.mark).text

    if wood.sheet:
        return say("{thickness} thick", thickness=read(wood.thickness))
    measures = f"{read(wood.thickness)} × {read(wood.width)}"
    if section is not None and section.stock in ("hardwood S2S", "hardwood S1S"):
        return say(
            "{measures} ({nominal} rough)",
            measures=measures,
            nominal=read(Length.of(section.nominal_thickness, "in")),
        )
    return measures


def _amount(build: Build, wood: Wood, section: Section | None, length: Length) -> str:
    if wood.sheet:
        return _surface(build, float(wood.width.mm * length.mm) / 1e6)
    feet = board_feet(wood, length)
    if build.units == "in":
        return (
            _surface(build, float(wood.width.mm * length.mm) / 1e6)
            if feet is None
            else say("{feet:.1f} board feet", feet=float(feet))
        )
    return f"{float(wood.width.mm * wood.thickness.mm * length.mm) / 1e9:.4f} m³"


def _hardware(build: Build) -> Iterator[ShoppingRow]:
    for each in build.hardware:
        one = money(build, each.price) if each.price is not None and each.quantity > 1 else ""
        cost = "" if each.price is None else money(build, each.price * each.quantity)
        yield ShoppingRow(title=f"{each.quantity} × {each.name}", each=one, cost=cost)


def _glue(build: Build) -> Iterator[ShoppingRow]:
    for need in glue_needed(build):
        if need.grams is None:
            yield ShoppingRow(
                title=need.name, said=say("{joints}; no figure is known", joints=_joints(build, need.area))
            )
            continue
        yield ShoppingRow(
            title=need.name,
            said=say("{weight} for {joints}", weight=_weight(build, need.grams), joints=_joints(build, need.area)),
        )


def _finish(build: Build) -> Iterator[ShoppingRow]:
    for need in finish_needed(build):
        coats = say("1 coat") if need.coats == 1 else say("{coats} coats", coats=need.coats)
        area = say("{coats} on {surface}", coats=coats, surface=_surface(build, need.area))
        if need.litres is None:
            yield ShoppingRow(title=need.name, said=say("{area}; no figure is known", area=area))
            continue
        yield ShoppingRow(
            title=need.name, said=say("{volume} for {area}", volume=_volume(build, need.litres), area=area)
        )


def _joints(build: Build, area: float) -> str:
    """The area of joints, which are small: in square inches or square centimetres."""
    if build.units == "in":
        return say("{amount} sq in of joints", amount=ceil(area * SQUARE_FEET * 144))
    return say("{amount} cm² of joints", amount=ceil(area * 10000.0))


def _surface(build: Build, area: float) -> str:
    return say("{area:.0f} sq ft", area=area * SQUARE_FEET) if build.units == "in" else f"{area:.1f} m²"


def _weight(build: Build, grams: float) -> str:
    if build.units == "in":
        return say("{amount} oz", amount=_up(grams * OUNCES))
    return f"{ceil(grams / 5) * 5} g"


def _volume(build: Build, litres: float) -> str:
    if build.units == "in":
        return say("{amount} fl oz", amount=ceil(litres * FLUID_OUNCES))
    return f"{_up(litres)} l"


def _up(amount: float) -> str:
    """Rounded up to a tenth, so that it is enough."""
    return f"{ceil(amount * 10 - 1e-9) / 10:g}"
