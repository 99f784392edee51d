"""The tables of screws, waits and sizes as sold, value by value; the settings of a shop; pieces that share a blank."""

from __future__ import annotations

from itertools import groupby

import pytest
from msgspec.structs import replace
from plan.made import WOOD, build, part

from tracker.design.model import EndCut, EndCuts, Mill, Resaw
from tracker.design.one_blank import joined_length, one_blank, shared_steps
from tracker.design.tables.finishes import FINISHES
from tracker.design.tables.glues import GLUES
from tracker.design.tables.grades import GRADES, NARROWEST, WIDEST, grade_named
from tracker.design.tables.lumber import section_named, sections
from tracker.design.tables.screws import (
    LENGTHS,
    METRIC,
    METRIC_LENGTHS,
    PILOTS,
    ROOTS,
    SCREWS,
    pilot,
    pocket_screw,
    screw_diameter,
    wood_screw_gauge,
)
from tracker.design.tables.shop_defaults import ShopDefaults, read_in, shop_defaults, unreadable_defaults
from tracker.design.tables.spread_rates import coverage_of, spread_of
from tracker.design.tables.usual_waste import WASTES, customary_waste
from tracker.measure import inches, millimetres
from tracker.measure.tape_reading import MILLIMETRE, SIXTEENTH


def test_pocket_screws_by_the_thickness_of_the_stock() -> None:
    """Common practice, no source."""
    sold = {"1/2": 1, "5/8": 1, "3/4": "1 1/4", "7/8": "1 1/2", "1": "1 1/2", "1 1/8": "1 1/2", "1 1/4": 2,
            "1 1/2": "2 1/2"}  # fmt: skip
    assert dict(SCREWS) == {inches(thick): inches(long) for thick, long in sold.items()}
    for thick, long in sold.items():
        assert pocket_screw(inches(thick)) == inches(long)
    assert pocket_screw(inches("1/2") - millimetres(1)) == inches(1)
    assert pocket_screw(inches("1/2") - millimetres(1.01)) is None
    assert pocket_screw(inches("1 3/4")) == inches("2 1/2")
    assert pocket_screw(inches("1 3/4") + millimetres(0.01)) is None
    assert pocket_screw(inches("13/16")) == inches("1 1/4")  # as near to 3/4 as to 7/8: the thinner one
    assert METRIC == {25: 25, 32: 30, 38: 40, 51: 50, 64: 65}


def test_screws_by_their_gauge() -> None:
    """Diameter 0.060 + 0.013 n in (ANSI B18.6.1, from memory); roots: NDS, appendix L, from memory; pilot drills:
    common practice, no source."""
    for gauge, diameter, root in ((6, ".138", ".113"), (8, ".164", ".131"), (10, ".190", ".152"), (12, ".216", ".171"),
                                  (14, ".242", ".196")):  # fmt: skip
        assert float(screw_diameter(gauge)) == pytest.approx(float(diameter) * 25.4)
        assert float(ROOTS[gauge]) == pytest.approx(float(root))
    drills = {6: ("3/32", "7/64"), 8: ("7/64", "1/8"), 10: ("1/8", "9/64"), 12: ("9/64", "5/32")}
    assert drills == PILOTS
    for gauge, (soft, hard) in drills.items():
        assert (pilot(gauge, hardwood=False), pilot(gauge, hardwood=True)) == (inches(soft), inches(hard))
        assert 0.7 * float(ROOTS[gauge]) * 25.4 < float(inches(soft)) < float(ROOTS[gauge]) * 25.4
    assert pilot(14, hardwood=False) is None


@pytest.mark.parametrize(("thick", "gauge"), [("7/16", 6), ("1/2", 8), ("1", 8), ("1 1/16", 10)])
def test_the_gauge_of_a_wood_screw(thick: str, gauge: int) -> None:
    """Common practice, no source."""
    assert wood_screw_gauge(inches(thick)) == gauge


def test_lengths_of_wood_screws_as_sold() -> None:
    """Common practice, no source."""
    assert [float(each.per("in")) for each in LENGTHS] == [0.625, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 5, 6]
    assert [float(each) for each in METRIC_LENGTHS] == [
        16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 140, 160,
    ]  # fmt: skip


def test_waits_of_finishes() -> None:
    """Coats, hours to the next coat, days to cure, whether rags heat, and hours until it must be sanded first: the safe
    ends of ordinary ranges, common practice, from memory."""
    found = [
        (each.coats, each.recoat.seconds / 3600, each.cure.seconds / 86400, each.rags_heat,
         each.recoat_limit and each.recoat_limit.seconds / 3600)
        for each in FINISHES
    ]  # fmt: skip
    assert found == [
        (3, 24, 30, True, None), (1, 24, 21, True, 48), (2, 24, 30, True, None), (3, 24, 30, True, 24),
        (2, 24, 30, True, 24), (3, 4, 30, False, 12), (3, 2, 7, False, None), (3, 2, 30, False, None),
        (1, 24, 2, True, None),
    ]  # fmt: skip


def test_times_of_glues() -> None:
    """Minutes of open time and in the clamps, hours to full strength, the coldest: the safe ends of ordinary ranges,
    common practice, from memory."""
    found = [
        (each.open_time.seconds / 60, each.clamp_time.seconds / 60, each.cure_time.seconds / 3600, each.coldest)
        for each in GLUES
    ]
    assert found == [
        (8, 60, 24, 13), (4, 60, 24, 10), (5, 60, 24, 13), (10, 240, 24, 10), (10, 1440, 168, 15), (1, 720, 24, 21),
        (10, 1440, 24, 10), (0.1, 1, 24, 10), (10, 960, 24, 21),
    ]  # fmt: skip
    assert [(each.cures, each.machine and each.machine.seconds / 3600) for each in GLUES if each.machine] == [
        ("reaction", 24)
    ]


def test_how_far_glues_and_finishes_go() -> None:
    """Grams of glue for a square metre of joint, square metres for a litre of finish: common practice, from memory."""
    grams = {
        "white glue": (150, 200), "yellow glue": (150, 200), "PVA D4": (150, 200), "polyurethane": (100, 180),
        "epoxy": (250, 400), "liquid hide glue": (150, 200), "plastic resin glue": (150, 250), "hot hide glue": None,
        "super glue": None, "starch": None,
    }  # fmt: skip
    for name, grams_of in grams.items():
        glue = spread_of(name)
        assert (glue and (glue.least, glue.most)) == grams_of, name
    metres = {
        "tung oil": (8.6, 14.7), "hardwax oil": (19.6, 29.5), "Danish oil": (8.6, 14.7), "wiping varnish": (9.8, 14.7),
        "polyurethane varnish": (8.6, 12.3), "polyurethane, water": (8.6, 12.3), "shellac": (7.4, 12.3),
        "lacquer": (4.9, 8.6), "paste wax": None, "soap": None,
    }  # fmt: skip
    for name, metres_of in metres.items():
        finish = coverage_of(name)
        assert (finish and (finish.least, finish.most)) == metres_of, name


def test_how_much_more_wood_is_usually_bought() -> None:
    """Percent over the net wood: common practice, no source."""
    assert [(each.least, each.most) for each in WASTES] == [(5, 10), (10, 15), (20, 25), (25, 30), (40, 50), (50, 100)]
    usual = {"2x4": 5, "2x4 green": 5, "4/4x6": 10, "8/4": 20, "8/4 S1S": 20}
    for size, least in usual.items():
        waste = customary_waste(section_named(size))
        assert waste is not None
        assert waste.least == least
    assert customary_waste(section_named("25x150")) is None
    assert WASTES[0].words == (
        "customary for softwood dimension lumber: 5 to 10 % over the net wood (common practice, no source)"
    )


def test_grades_of_rough_hardwood() -> None:
    """Clear share and least width: hardwood grading rules as a general engineering reference gives them; least length,
    length and number of cuttings: from memory."""
    found = [
        (each.name, each.clear, *(float(size.per("in")) for size in (each.narrowest, each.shortest, each.cutting)),
         each.cuttings, each.over.least, each.over.most)
        for each in GRADES
    ]  # fmt: skip
    assert found == [("FAS", 0.833, 6, 96, 60, 4, 25, 30), ("No. 1 Common", 0.666, 3, 48, 24, 5, 40, 50)]
    assert (inches(10), inches(4)) == (WIDEST, NARROWEST)
    for written in ("fas", "FAS", "f.a.s."):
        assert grade_named(written) is GRADES[0]
    for written in ("no. 1 common", "1 Common", "No 1 COMMON"):
        assert grade_named(written) is GRADES[1]
    assert grade_named("2 common") is None


def test_every_nominal_size_that_is_sold() -> None:
    """How many sections there are of each kind, and all their sizes together, in 64ths of an inch and in millimetres:
    the values themselves are tested against their standards."""
    found = {
        stock: [each for each in sections().values() if each.stock == stock]
        for stock in ("softwood", "hardwood S4S", "hardwood S2S", "hardwood S1S", "sawn")
    }
    assert {stock: len(each) for stock, each in found.items()} == {
        "softwood": 85, "hardwood S4S": 7, "hardwood S2S": 22, "hardwood S1S": 9, "sawn": 149,
    }  # fmt: skip
    hard = {name for name in sections() if sections()[name].stock == "sawn" and "x" not in name}
    assert hard == {f"{mm} mm" for mm in (19, 20, 25, 26, 27, 32, 38, 40, 50, 52, 60, 63, 65, 70, 75, 80, 100)}
    soft = {tuple(map(int, each.name.split("x"))) for each in found["sawn"] if "x" in each.name}
    assert {thick for thick, _ in soft} == {16, 19, 22, 25, 32, 38, 44, 47, 50, 63, 75, 100}
    assert {wide for _, wide in soft} == {75, 100, 115, 125, 150, 175, 200, 225, 250, 275, 300}


# -- settings of the shop ---------------------------------------------------------------------------------------------


def test_a_shop_that_says_nothing_has_the_usual_settings() -> None:
    """Common practice, no source."""
    inch, metric = ShopDefaults().shop("in"), ShopDefaults().shop("mm")
    assert (inch.kerf, inch.end_trim, inch.least_offcut) == (inches("1/8"), inches("1/2"), inches(12))
    assert (metric.kerf, metric.end_trim, metric.least_offcut) == (millimetres(3), millimetres(15), millimetres(300))
    for shop in (inch, metric):
        assert (shop.max_miter, shop.max_bevel) == (50, 45)
    assert (inch.mark, metric.mark) == (SIXTEENTH, MILLIMETRE)


@pytest.mark.parametrize(
    ("name", "fine", "unreadable"),
    [
        ("kerf", ("10 mm", "3/32", "0.1 mm"), ("10.1 mm", "0", "-1 mm", "thin")),
        ("max miter", ("30", "60", "90"), ("29", "91", "9", "100", "x", "45.5")),
        ("max bevel", ("30", "48", "90"), ("29", "91", "x")),
        ("inch mark", ("1/32 in", "1/64 in"), ("1/10", "x")),
        ("metric mark", ("0.5 mm",), ("2 mm",)),
    ],
)
def test_settings_that_cannot_be_read_keep_their_usual_value(
    name: str, fine: tuple[str, ...], unreadable: tuple[str, ...]
) -> None:
    plain = ShopDefaults()
    for written in fine:
        assert unreadable_defaults({name: written}) == ()
        assert shop_defaults({name: written}) != plain
    for written in unreadable:
        assert unreadable_defaults({name: written}) == (name,)
        assert shop_defaults({name: written}) == plain
    assert unreadable_defaults({}) == unreadable_defaults({name: ""}) == ()
    assert unreadable_defaults({"max miter": "50", "max bevel": "45"}) == ()


def test_a_build_is_read_in_the_units_that_are_asked_for() -> None:
    metric = build(part())
    inch = read_in(metric, "in", ShopDefaults())
    assert (inch.units, inch.shop.mark) == ("in", SIXTEENTH)
    assert read_in(inch, "mm", ShopDefaults()).shop.mark == MILLIMETRE
    assert read_in(metric, "mm", ShopDefaults()) is metric
    assert read_in(metric, "as written", ShopDefaults()) is metric


# -- one blank --------------------------------------------------------------------------------------------------------

THIN = millimetres(3)
ROUGH = replace(WOOD, mill=Mill(face=THIN, edge=THIN, ends=THIN, shortest=millimetres(300)))


def resawn(leaves: int) -> Resaw:
    return Resaw(leaves=leaves, kerf=THIN, plane=THIN)


@pytest.mark.parametrize("quantity", range(1, 16))
@pytest.mark.parametrize(("length", "least"), [(299, 2), (150, 2), (149, 3), (100, 3), (99, 4), (60, 5)])
def test_short_pieces_share_blanks_evenly(quantity: int, length: int, least: int) -> None:
    """As many blanks as are 300 mm long at least; their counts differ by one at most, and no piece is left over."""
    rail = part(length=length, quantity=quantity)
    blanks = [one_blank(rail, ROUGH, piece) for piece in range(1, quantity + 1)]
    shared = [blank for blank, _ in groupby(blanks)]
    assert [piece for blank in shared for piece in blank] == list(range(1, quantity + 1))
    counts = [len(blank) for blank in shared]
    assert max(counts) - min(counts) <= 1
    assert counts == sorted(counts, reverse=True)
    assert len(shared) == max(1, quantity // least)
    assert all(piece in blank for piece, blank in enumerate(blanks, 1))


@pytest.mark.parametrize(
    ("changes", "alone"),
    [
        ({"length": 300}, True),
        ({"length": 299}, False),
        ({"length": 290, "allowance": 10}, True),
        ({"length": 290, "allowance": 9}, False),
        ({"length": 200, "sequence": "s"}, True),
        ({"length": 200, "grain": "across"}, True),
        ({"length": 200, "ends": EndCuts(a=EndCut(miter=5))}, True),
        ({"length": 200, "ends": EndCuts(b=EndCut(bevel=5))}, True),
        ({"length": 200, "sequence": "s", "route": ("cut to length",)}, False),
        ({"length": 200, "route": ("cut",)}, True),
    ],
)
def test_which_pieces_are_too_short_to_be_milled_alone(changes: dict[str, object], alone: bool) -> None:
    assert (one_blank(part(quantity=4, **changes), ROUGH, 1) == (1,)) is alone
    assert one_blank(part(quantity=4, length=200), WOOD, 1) == (1,), "planed wood is cut piece by piece"


def test_leaves_of_one_board_lie_on_one_another() -> None:
    three = part(quantity=7, resaw=resawn(3))
    assert [one_blank(three, WOOD, piece) for piece in (1, 3, 4, 7)] == [(1, 2, 3), (1, 2, 3), (4, 5, 6), (7,)]
    pair = part(left=3, right=3, resaw=resawn(2))  # a left-hand piece and its right-hand twin
    assert [one_blank(pair, WOOD, piece) for piece in (1, 2, 5, 6)] == [(1, 4), (2, 5), (2, 5), (3, 6)]
    odd = part(left=3, right=1, resaw=resawn(2))
    assert [one_blank(odd, WOOD, piece) for piece in (1, 2, 3, 4)] == [(1, 2), (1, 2), (3, 4), (3, 4)]


def test_the_length_of_a_blank_for_many() -> None:
    kerf, each = millimetres(3), millimetres(100)
    assert joined_length(part(length=100), ROUGH, kerf, each, 4) == millimetres(409)
    assert joined_length(part(length=100), ROUGH, kerf, each, 2) == millimetres(300), "never too short to be milled"
    assert joined_length(part(length=100), WOOD, kerf, each, 4) == each
    leaves = part(length=600, resaw=resawn(3))
    assert joined_length(leaves, ROUGH, kerf, millimetres(600), 3) == millimetres(600)
    assert joined_length(part(length=100, resaw=resawn(3)), ROUGH, kerf, each, 3) == millimetres(300)
    assert joined_length(leaves, WOOD, kerf, millimetres(600), 3) == millimetres(600)


def test_what_is_done_to_the_whole_blank() -> None:
    route = ("cut", "joint", "plane", "resaw", "cut to length", "sand 120")
    assert shared_steps(part(resaw=resawn(2)), WOOD, route) == ("cut", "joint", "plane", "resaw")
    assert shared_steps(part(resaw=resawn(2)), WOOD, ("cut",)) == ()
    assert shared_steps(part(length=100), ROUGH, route) == ("cut", "joint", "plane", "resaw")
    assert shared_steps(part(length=100), ROUGH, ("cut",)) == ()
    assert shared_steps(part(), ROUGH, route) == ()
