"""`[woods.*]` and `[[rack]]`: the stock that is bought, and the boards on hand."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from tracker.design import values
from tracker.design.errors import BadValueError
from tracker.design.model import EdgeDefect, EdgeName, Part, RackBoard, Wood
from tracker.design.name_lookup import nearest
from tracker.design.sections.common import UNKNOWN, identifier, lines_under
from tracker.design.sections.rough import read_by_volume, read_rough
from tracker.design.tables.lumber import Section, section_named
from tracker.design.tables.species import species_named
from tracker.design.toml.table import Page, Table
from tracker.design.values import Meaning
from tracker.measure import Length, millimetres
from tracker.measure.length import MM_PER_INCH
from tracker.words import say

MOST_LENGTHS = 50
MOST_BOARDS = 500
_BY_AREA = ("price_per_square_metre", "price_per_square_foot")
_RATES = ("price_per_foot", "price_per_board_foot", "price_per_metre", *_BY_AREA)


def read_woods(table: Table) -> tuple[Wood, ...]:
    """Every [woods.*], in the order of the file."""
    woods = []
    for wood_id in table.keys():  # noqa: SIM118 - Table isn't a dict
        try:
            identifier(wood_id, table.page.meaning)
        except BadValueError as wrong:
            table.problem(str(wrong), wrong.hint, wood_id)
        one = table.group(wood_id)
        if one is not None:
            woods.append(_wood(wood_id, one))
    return tuple(woods)


def _wood(wood_id: str, table: Table) -> Wood:
    species = table.read("species", values.name, required=True) or ""
    if species and species_named(species) is None:
        table.note(
            say("'{species}' is not in the wood table: movement and weight are unknown", species=species), "", "species"
        )
    section = table.read("section", _section)
    own_thickness = table.read("thickness", values.positive_length)
    own_width = table.read("width", values.positive_length)
    sheets = _sheets(table)
    if sheets:
        own_width = sheets[0][0]
    rough, mill = read_rough(table)
    by_volume = read_by_volume(table, bool(sheets))
    thickness = (
        own_thickness or (section.thickness if section else None) or (rough - mill.face if rough and mill else None)
    )
    width = (by_volume.widest if by_volume else None) or own_width or (section.width if section else None)
    if by_volume and "section" in table:
        table.problem(
            say("wood of random widths has no section"), say('rough = "4/4" says what it is thick'), "section"
        )
    if rough and thickness and thickness > rough:
        table.problem(say("it is planed to more than it is thick"), "", "thickness")
    if by_volume is not None or (rough and ("width" in table)):
        pass
    elif "section" not in table and not ("thickness" in table and ("width" in table or "sheets" in table)):
        table.problem(
            say("{wood_id} needs a section, or a thickness and a width", wood_id=wood_id), say('section = "1x6"')
        )
    elif section and not section.width and "width" not in table and "sheets" not in table:
        table.problem(
            say("{section} says the thickness only: width is missing", section=section.name),
            say("the width as bought"),
            "section",
        )
    lengths = table.read_list("lengths", values.positive_length, single=True)
    if "sheets" in table:
        lengths = tuple(length for _, length in sheets)
    if len(lengths) > MOST_LENGTHS:
        table.problem(say("more than {most} lengths", most=MOST_LENGTHS), "", "lengths")
        lengths = ()
    wood = Wood(
        id=wood_id,
        species=species,
        section=section.name if section else "",
        width=width or UNKNOWN,
        thickness=thickness or UNKNOWN,
        lengths=lengths,
        prices=() if by_volume else _prices(table, lengths, section, width),
        ripped=bool(table.read("rip", values.yes_or_no)) or bool(sheets) or by_volume is not None,
        sheet=bool(sheets),
        grainless=_grainless(table),
        rough=rough,
        mill=mill,
        by_volume=by_volume,
        line=table.line(),
        lines=lines_under(table),
    )
    table.close()
    return wood


def _sheets(table: Table) -> tuple[tuple[Length, Length], ...]:
    """Sheet goods: width and length of each sheet sold, the length along the grain. All have the same width."""

    def sheet(raw: object, meaning: Meaning) -> tuple[Length, Length]:
        if not isinstance(raw, list) or len(raw) != 2:
            raise BadValueError(say("a sheet is its width and its length"), say('[["4 ft", "8 ft"]]'))
        return values.positive_length(raw[0], meaning), values.positive_length(raw[1], meaning)

    sheets = table.read_list("sheets", sheet)
    for other in ("width", "lengths"):
        if "sheets" in table and other in table:
            table.problem(
                say("'sheets' and '{other}' both say how large it is", other=other), say("keep one of them"), other
            )
    if len({width for width, _ in sheets}) > 1:
        table.problem(
            say("the sheets of one wood must be equally wide"), say("make the others a wood of their own"), "sheets"
        )
    return sheets


def _grainless(table: Table) -> bool:
    """Whether parts may lie across the sheet, as on MDF, which has no grain."""
    grain = table.choice("grain", ("along", "none"))
    if grain == "none" and "sheets" not in table:
        table.problem(say("only sheets can be without grain"), say('sheets = [["4 ft", "8 ft"]]'), "grain")
    return grain == "none"


def _section(raw: object, meaning: Meaning) -> Section:
    return section_named(values.words(raw, say("a nominal size")))


def _prices(
    table: Table, lengths: tuple[Length, ...], section: Section | None, width: Length | None
) -> tuple[Decimal, ...]:
    """One price for each length: as listed, or computed from a price per foot, board foot or metre."""
    given = [key for key in ("prices", *_RATES) if key in table]
    if len(given) > 1:
        table.problem(
            say("'{first}' and '{other}' both say what it costs", first=given[0], other=given[1]),
            say("keep one of them"),
            given[1],
        )
        return ()
    if not given:
        return ()
    (key,) = given
    if key == "prices":
        prices = table.read_list("prices", values.money, single=True)
        told, wanted = table.count("prices"), table.count("sheets" if "sheets" in table else "lengths")
        if told is not None and wanted is not None and told != wanted:
            table.problem(
                say("there must be as many prices as lengths, not {told} and {wanted}", told=told, wanted=wanted),
                say("one price for each length"),
                "prices",
            )
        return prices
    rate = table.read(key, values.money)
    if key in _BY_AREA and "sheets" not in table:
        table.problem(say("'{given}' is for sheets", given=key), say('sheets = [["4 ft", "8 ft"]]'), key)
    if rate is None:
        return ()
    per_mm = {
        "price_per_foot": Fraction(1) / (12 * MM_PER_INCH),
        "price_per_metre": Fraction(1, 1000),
        "price_per_square_metre": (width or UNKNOWN).mm / 10**6,
        "price_per_square_foot": (width or UNKNOWN).mm / (12 * MM_PER_INCH) ** 2,
        "price_per_board_foot": _board_feet_per_mm(table, section, width),
    }[key]
    return tuple(values.cents(Fraction(rate) * each.mm * per_mm) for each in lengths)


def _board_feet_per_mm(table: Table, section: Section | None, width: Length | None) -> Fraction:
    if section is None:
        if "price_per_board_foot" in table and "section" not in table:
            hint = say('section = "4/4", with the width as bought')
            table.problem(say("a price per board foot needs the nominal size"), hint, "price_per_board_foot")
        return Fraction(0)
    return section.board_feet(width or UNKNOWN, millimetres(1))


def read_rack(tables: Sequence[Table], woods: Sequence[str]) -> tuple[RackBoard, ...]:
    """Every [[rack]] board. A board without a name is named by its position in the file."""
    boards: list[RackBoard] = []
    names: dict[str, int] = {}
    for place, table in enumerate(tables, 1):
        wood = table.read("wood", identifier, required=True) or ""
        if wood and wood not in woods:
            table.problem(say("no wood is called '{wood}'", wood=wood), nearest(wood, woods), "wood")
        length = table.read("length", values.positive_length, required=True)
        name = table.read("name", values.name) or say("rack {place}", place=place)
        if name in names:
            table.problem(
                say("two boards are called '{name}'", name=name),
                say("the other is on line {names}", names=names[name]),
                "name",
            )
        names[name] = table.line()
        trim = table.read("end_trim", values.length)
        width, thickness = (table.read(key, values.positive_length) for key in ("width", "thickness"))
        whole, edges = _defects(table, length)
        boards.append(
            RackBoard(
                wood=wood,
                length=length or UNKNOWN,
                name=name,
                defects=whole,
                end_trim=trim,
                width=width,
                thickness=thickness,
                edge_defects=edges,
                line=table.line(),
            )
        )
        if trim and length and 2 * trim >= length:
            table.problem(say("nothing of the board is left between its end trims"), "", "end_trim")
        table.close()
    return tuple(boards)


def check_stock(page: Page, woods: Sequence[Wood], rack: Sequence[RackBoard], parts: Sequence[Part]) -> None:
    """Check that each wood that parts are made of is sold in some length, or is on the rack."""
    on_hand, used = {board.wood for board in rack}, {part.wood for part in parts}
    for wood in woods:
        if wood.id in used and not wood.lengths and wood.id not in on_hand and not wood.by_volume:
            page.remark(
                wood.line,
                say("'{wood}' has no lengths, and none of it is on the rack", wood=wood.id),
                say('lengths = ["8 ft"]'),
            )


def _defects(table: Table, board: Length | None) -> tuple[tuple[tuple[Length, Length], ...], tuple[EdgeDefect, ...]]:
    """The defects across the whole width, and those that reach in from an edge."""

    def defect(raw: object, meaning: Meaning) -> tuple[Length, Length] | EdgeDefect:
        if not isinstance(raw, list) or len(raw) not in (2, 4):
            raise BadValueError(say("a defect is where it begins and where it ends"), '[["10", "12 1/2"]]')
        begins, ends = values.length(raw[0], meaning), values.length(raw[1], meaning)
        if begins > ends:
            raise BadValueError(say("the defect ends before it begins"), say("from, to, both measured from end A"))
        if board is not None and ends > board:
            raise BadValueError(say("the defect lies beyond the end of the board"))
        if len(raw) == 2:
            return begins, ends
        if raw[2] not in ("near", "far"):
            raise BadValueError(say("a defect at an edge says which"), say('["10", "12 1/2", "near", "1"]'))
        edge: EdgeName = "near" if raw[2] == "near" else "far"
        return EdgeDefect(start=begins, end=ends, edge=edge, deep=values.positive_length(raw[3], meaning))

    found = table.read_list("defects", defect)
    edges = tuple(each for each in found if isinstance(each, EdgeDefect))
    return tuple(each for each in found if not isinstance(each, EdgeDefect)), edges
