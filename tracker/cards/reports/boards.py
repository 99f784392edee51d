"""The board plan as plain data, and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from tracker.cards.boards.shopping import stock_size, volume_words
from tracker.cards.reports.numbers import PLACES, Json, mm
from tracker.design.model import Build
from tracker.design.tables.lumber import sections
from tracker.design.tables.usual_waste import customary_waste
from tracker.floor.boards import in_blanks, laid_out, over_net, title_of
from tracker.measure import Length, read_length
from tracker.measure.length import ZERO
from tracker.measure.tape_reading import read_angle
from tracker.plan.boards import BoardPlan, CutBoard, PlacedPiece, WoodPlan
from tracker.plan.boards.by_grade import TIMES_IN_TEN
from tracker.plan.boards.by_volume import VolumeToBuy, volume_to_buy
from tracker.plan.boards.crosscuts import Crosscut, cuts_of, edge_off, lanes_of, ripped_to
from tracker.plan.boards.offcuts import NamedOffcut, kept_offcuts
from tracker.words import say, say_many

PLAIN = str.maketrans({"″": '"', "′": "'", "\u2009": " ", "\u2044": "/"})
"""For files and terminals, like `Reading.plain`."""


def boards_report(build: Build, plan: BoardPlan) -> Json:
    """Which pieces come from which board, and what to buy; money in the build's currency."""
    kept = kept_offcuts(build, plan)
    return {
        "build": build.name,
        "woods": [_wood(build, wood, kept) for wood in plan.woods],
        "cost": _money(plan.cost),
        "standing": plan_proof_words(plan),
        "waste_percent": waste_percent(laid_out(plan)),
        "unpriced": list(plan.unpriced),
        "unplaced": [{"part": each.part, "piece": each.piece, "why": each.why} for each in plan.unplaced],
    }


def plan_proof_words(plan: BoardPlan) -> str:
    """What is proved for all woods together: `lowest cost possible (proved)`, or what is known about the worst of
    them."""
    if plan.proved:
        priced = all(wood.cost is not None for wood in plan.woods)
        return say("lowest cost possible (proved)") if priced else say("lowest cost and length possible (proved)")
    worst = max((wood for wood in plan.woods if not wood.proved), key=lambda wood: wood.above_bound)
    return worst.proof_words


def waste_percent(boards: tuple[CutBoard, ...]) -> float:
    """The part of the boards' length that doesn't go into blanks, in percent with one decimal."""
    whole = sum((board.length for board in boards), ZERO)
    return round(float(100 * (1 - in_blanks(boards).mm / whole.mm)), 1) if whole else 0.0


def to_buy(wood: WoodPlan) -> tuple[tuple[Length, int], ...]:
    """How many boards of each length, the longest first."""
    bought = [board.length for board in wood.boards if board.source == "dealer"]
    return tuple((length, bought.count(length)) for length in sorted(set(bought), reverse=True))


def _wood(build: Build, wood: WoodPlan, kept: tuple[NamedOffcut, ...]) -> Json:
    bound = wood.bound
    return {
        "wood": wood.wood,
        "boards": [_board(build, board, kept) for board in wood.boards],
        "buy": [{"length_mm": mm(length), "count": count, **_sheet(build, wood)} for length, count in to_buy(wood)],
        "cost": None if wood.cost is None else _money(wood.cost),
        "bought_mm": mm(wood.bought),
        "waste_mm": mm(wood.waste),
        "waste_percent": waste_percent(wood.boards),
        "bound": round(float(bound), PLACES),
        "bound_is": "length_mm" if isinstance(bound, Length) else "cost",
        "proved": wood.proved,
        "standing": wood.proof_words,
        "notes": list(wood.notes),
        **_by_volume(build, wood),
    }


def _by_volume(build: Build, plan: WoodPlan) -> Json:
    """What is still to be bought of a wood of random widths; empty for other woods."""
    found = _still_to_buy(build, plan)
    if found is None:
        return {}
    return {
        "buy_by_volume": {
            "board_feet": round(float(found.board_feet), 4),
            "cubic_metres": round(float(found.cubic_metres), 6),
            "over_percent": found.over,
            "usual_percent": [found.usual.least, found.usual.most],
            "cost": None if found.cost is None else _money(found.cost),
            "simulated": None
            if found.enough is None
            else {
                "boards": found.enough.boards,
                "times_in_ten": TIMES_IN_TEN,
                "half_the_time": found.enough.usual,
                "square_metres": round(found.enough.area / 1e6, 3),
                "source": say("hardwood grading rules; least lengths from memory; sizes of defects common practice"),
            },
        }
    }


def _still_to_buy(build: Build, plan: WoodPlan) -> VolumeToBuy | None:
    return volume_to_buy(build, build.wood(plan.wood), {piece.id for board in plan.boards for piece in board.pieces})


def _sheet(build: Build, wood: WoodPlan) -> Json:
    """The other size of a sheet; empty for a board."""
    about = build.wood(wood.wood)
    return {"width_mm": mm(about.width)} if about.sheet else {}


def _board(build: Build, board: CutBoard, kept: tuple[NamedOffcut, ...]) -> Json:
    names = {offcut.at: offcut.name for offcut in kept if offcut.board == board.key}
    return {
        "from": board.source,
        "name": board.name,
        "key": board.key,
        "length_mm": mm(board.length),
        "price": None if board.price is None else _money(board.price),
        "pieces": [_piece(piece) | _in_one(board, piece) for piece in board.pieces],
        "cuts": [_cut(build, cut) for cut in cuts_of(board, build.shop.kerf)],
        "offcut_mm": mm(board.longest_offcut),
        "offcuts_mm": [
            {"at_mm": mm(offcut.at), "length_mm": mm(offcut.length), "name": names.get(offcut.at, "")}
            for offcut in board.offcuts
        ],
    }


def _piece(piece: PlacedPiece) -> Json:
    """A piece; where a board is ripped, or pieces share cuts, with how it lies."""
    said: Json = {"part": piece.part, "piece": piece.piece, "at_mm": mm(piece.at), "length_mm": mm(piece.length)}
    if piece.width:
        lies = {"across_mm": mm(piece.across), "width_mm": mm(piece.width), "turned": piece.turned, "over": piece.over}
        said |= lies
    return said


def _in_one(board: CutBoard, piece: PlacedPiece) -> Json:
    """The numbers of the pieces at the same place, because they are one blank until they are milled."""
    together = board.same_blank(piece)
    return {"one_blank": list(together)} if len(together) > 1 else {}


def _cut(build: Build, cut: Crosscut) -> Json:
    """`at_mm` is from end A as it is at that moment, `place_mm` from end A of the whole board; a `section` is ripped
    afterwards."""
    return {
        "at_mm": mm(cut.at),
        "at": _read(build, cut.at),
        "place_mm": mm(cut.place),
        "blade": cut.blade,
        "off": cut.off,
        "part": cut.piece.part if cut.piece else None,
        "piece": cut.piece.piece if cut.piece else None,
        "section": [{"part": piece.part, "piece": piece.piece} for piece in cut.section],
        "miter_deg": round(cut.miter, PLACES),
        "edge": cut.edge,
        "stays_mm": mm(cut.stays),
        "hold": cut.hold,
        "clamp": cut.clamp,
    }


def boards_lines(build: Build, plan: BoardPlan) -> Iterator[str]:
    """The board plan for people: its cost and quality, then board by board, cut by cut."""
    kept = kept_offcuts(build, plan)
    if len(plan.unpriced) < len(plan.woods):
        yield f"{build.name}: {plan.cost:.2f} {build.currency}".rstrip() + f", {plan_proof_words(plan)}"
    else:
        yield say("{build}: price not known, {standing}", build=build.name, standing=plan_proof_words(plan))
    yield say("{waste:g} % waste (trim, kerfs, defects and offcuts)", waste=waste_percent(laid_out(plan)))
    for wood in plan.woods:
        yield ""
        yield from _wood_lines(build, wood, kept)
    for missing in plan.unplaced:
        yield f"{build.part(missing.part).name} {missing.piece}: {missing.why}"


def _wood_lines(build: Build, wood: WoodPlan, kept: tuple[NamedOffcut, ...]) -> Iterator[str]:
    about = build.wood(wood.wood)
    section = sections().get(about.section)
    over = customary_waste(section) if section else None
    cost = say("price not known") if wood.cost is None else f"{wood.cost:.2f} {build.currency}".strip()
    named = f"{about.species} {about.section}".strip()
    yield (
        f"{wood.wood} ({named}): {cost}, {wood.proof_words}"
        if wood.bought
        else say("{wood} ({named}): all from the rack", wood=wood.wood, named=named)
    )
    for length, count in to_buy(wood):
        yield say("  buy {count} of {sold}", count=count, sold=_sold(build, wood.wood, length))
    more = _still_to_buy(build, wood)
    if more is not None:
        cost = "" if more.cost is None else f", {more.cost:.2f} {build.currency}".rstrip()
        yield say(
            "  buy {volume}{cost}: {over} % over the net wood; {usual}",
            volume=volume_words(build, more),
            cost=cost,
            over=more.over,
            usual=more.usual.words,
        )
        if more.enough is not None:
            boards = say_many("{count} board is enough", "{count} boards are enough", more.enough.boards)
            yield say("  {boards} {times_in_ten} times in 10 (simulated)", boards=boards, times_in_ten=TIMES_IN_TEN)
    if over and wood.bought:
        yield say("  {percent} % over the net wood; {over}", percent=over_net(wood.boards), over=over.words)
    for board in wood.boards:
        yield from _board_lines(build, board, kept)
    yield from (say("  note: {note}", note=note) for note in wood.notes)


def _board_lines(build: Build, board: CutBoard, kept: tuple[NamedOffcut, ...]) -> Iterator[str]:
    price = f", {board.price:.2f} {build.currency}".rstrip() if board.price is not None else ""
    long = _sold(build, board.wood, board.length) if board.source == "dealer" else _read(build, board.length)
    yield f"  {title_of(board)}, {long}{price}"
    cuts = cuts_of(board, build.shop.kerf)
    for cut in cuts:
        falls = _names(build, board, cut.piece) if cut.piece else _off(cut)
        width = ripped_to(board, cut)
        off = edge_off(board, (cut.piece or cut.section[0]), build.shop.kerf) if cut.piece or cut.section else None
        falls += say(", {off} ripped off its near edge", off=_read(build, off)) if off else ""
        falls += say(", ripped to {width}", width=_read(build, width)) if width else ""
        at = say(", {miter}° from the {edge} edge", miter=read_angle(cut.miter), edge=cut.edge) if cut.miter else ""
        yield (
            say("    {at:>10}  {falls}{angle}, clamped", at=_read(build, cut.at), falls=falls, angle=at)
            if cut.clamp
            else f"    {_read(build, cut.at):>10}  {falls}{at}"
        )
        for lane in lanes_of(cut.section) if cut.section else ():
            for piece, mark in zip(lane.pieces, lane.at, strict=True):
                name = _names(build, board, piece)
                again = (
                    say(", then to {width}", width=_read(build, piece.width))
                    if piece.width and piece.width < lane.width
                    else ""
                )
                ripped = say(
                    "lane {number} ripped to {width}{again}",
                    number=lane.number,
                    width=_read(build, lane.width),
                    again=again,
                )
                yield f"    {_read(build, mark):>16}  {name}, {ripped}"
    cut_off = {piece.id for cut in cuts for piece in (cut.piece, *cut.section) if piece}
    for piece in board.blanks:
        if piece.id not in cut_off:
            yield say(
                "    {at:>10}  {names}, which is what is left",
                at=say("no cut"),
                names=_names(build, board, piece),
            )
    names = {offcut.at: offcut.name for offcut in kept if offcut.board == board.key}
    for offcut in board.offcuts:
        rack = say(", to the rack as {names}", names=names[offcut.at]) if offcut.at in names else ""
        yield say("    {length:>10}  offcut{rack}", length=_read(build, offcut.length), rack=rack)


def _off(cut: Crosscut) -> str:
    if cut.section:
        return say("section, to be ripped")
    if cut.miter:
        return say("cut end A")
    return say("square end A") if cut.off == "end" else say("cut away the defect")


def _names(build: Build, board: CutBoard, piece: PlacedPiece) -> str:
    """`Leg 1`; `Panel 1 + 2` where both are still one blank."""
    return f"{build.part(piece.part).name} {' + '.join(map(str, board.same_blank(piece)))}"


def _sold(build: Build, wood: str, length: Length) -> str:
    """The length as the dealer says it, for a terminal: `8'`, `2.5 m`, and for a sheet both sizes."""
    return stock_size(build, build.wood(wood), length).translate(PLAIN)


def _read(build: Build, length: Length) -> str:
    return read_length(length, build.shop.mark).plain


def _money(amount: Decimal) -> float:
    return float(amount)
