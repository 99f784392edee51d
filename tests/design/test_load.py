"""A build holds the values of its build file."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from tracker.design import Loaded, ShopDefaults, load_build
from tracker.design.model import Build, CornerJoint, EndCut, EndCuts, RingJoint, SplayedLegJoint
from tracker.design.tables.shop_defaults import shop_defaults
from tracker.measure import Length, Span, inches, millimetres
from tracker.measure.tape_reading import MARKS

HEAD = """\
[build]
name = "Test"
units = "in"

[woods.pine]
species = "eastern white pine"
section = "2x4"
lengths = ["8 ft"]
"""


def built(text: str | bytes, **options: Any) -> Build:
    loaded = load_build(text, **options)
    assert loaded.build is not None, [each.at("file") for each in loaded.problems]
    return loaded.build


def part(lines: str, units: str = "in") -> str:
    head = HEAD.replace('units = "in"', f'units = "{units}"')
    return f'{head}\n[[parts]]\nid = "a"\nwood = "pine"\n{lines}\n'


def problems(loaded: Loaded) -> list[str]:
    return [each.at("f") for each in loaded.problems if each.kind == "problem"]


@pytest.mark.parametrize(
    ("written", "units", "length"),
    [
        ("23.625", "in", inches("23 5/8")),
        ('"23 5/8"', "in", inches("23 5/8")),
        ('"23-5/8"', "in", inches("23 5/8")),
        ('"23⅝"', "in", inches("23 5/8")),
        ('"5/8"', "in", inches("5/8")),
        ('"1\' 11 5/8\\""', "in", inches("23 5/8")),
        ('"23 5/8 in"', "mm", inches("23 5/8")),
        ('"600 mm"', "in", millimetres(600)),
        ('"60 cm"', "in", millimetres(600)),
        ('"0.6 m"', "in", millimetres(600)),
        ('"6 ft"', "in", inches(72)),
        ("600", "mm", millimetres(600)),
        ('"= 100 * 6"', "mm", millimetres(600)),
        ("0.1", "in", Length(Fraction(254, 100))),
        ("1e1", "in", inches(10)),
    ],
)
def test_lengths_are_exact_however_they_are_written(written: str, units: str, length: Length) -> None:
    assert built(part(f"length = {written}", units)).part("a").length == length


@pytest.mark.parametrize(
    ("written", "degrees"),
    [("15", 15), ("7.5", 7.5), ('"15 deg"', 15), ('"15°"', 15), ('"1:8"', 7.125016), ('"= 180 / 8"', 22.5)],
)
def test_angles_are_degrees(written: str, degrees: float) -> None:
    ends = built(part(f"length = 9\nend_b = {{ miter = {written} }}")).part("a").ends
    assert isinstance(ends, EndCuts)
    assert ends.b.miter == pytest.approx(degrees)
    assert ends.a == EndCut()


def test_a_part_takes_its_section_from_its_wood() -> None:
    """2x4: 1 1/2 x 3 1/2 dressed (American Softwood Lumber Standard, PS 20)."""
    plain = built(part("length = 9")).part("a")
    assert (plain.thickness, plain.width) == (inches("1 1/2"), inches("3 1/2"))
    assert (plain.quantity, plain.left, plain.right, plain.measured, plain.route) == (1, 0, 0, "long", None)
    ripped = built(part('length = 9\nwidth = 2\nthickness = "3/4"')).part("a")
    assert (ripped.thickness, ripped.width) == (inches("3/4"), inches(2))


def test_mirror_pairs_count_left_hand_pieces_first() -> None:
    pair = built(part("length = 9\nleft = 2\nright = 3")).part("a")
    assert pair.quantity == 5
    assert [pair.hand(piece) for piece in (1, 2, 3, 5)] == ["left", "left", "right", "right"]


def test_sizes_may_stand_in_any_order_and_mix_units() -> None:
    sizes = '[sizes]\nd = "= c * 2"\nc = "= b + a"\nb = "1 ft"\na = "25.4 mm"\nlean = "10 deg"\nslope = "1:1"\n'
    ends = 'end_a = { miter = "= lean", bevel = "= slope" }'
    found = built(sizes + part(f'length = "= d"\n{ends}')).part("a")
    assert found.length == inches(26)
    assert isinstance(found.ends, EndCuts)
    assert (found.ends.a.miter, found.ends.a.bevel) == pytest.approx((10.0, 45.0))


def test_joints_set_both_ends() -> None:
    ring = 'joint = { kind = "ring", sides = "= 2 * 3", lean = "1:8" }\nlength = 9\nquantity = 6'
    found = built(part(ring)).part("a").ends
    assert isinstance(found, RingJoint)
    assert (found.sides, round(found.lean, 4)) == (6, 7.125)
    leg = 'width = "1 1/2"\njoint = { kind = "splayed leg", height = "17 1/4", front = 8, side = 12 }'
    splayed = built(part(leg)).part("a")
    assert splayed.length is None
    assert splayed.ends == SplayedLegJoint(height=inches("17 1/4"), front=8, side=12)


def test_corners_and_butted_ends() -> None:
    def joint(written: str) -> object:
        return built(part(f"length = 9\nquantity = 4\njoint = {{ {written} }}")).part("a").ends

    assert joint('kind = "corner", angle = 90, lean = "10 deg"') == CornerJoint(angle=90, lean=10)
    assert joint('kind = "corner", angle = "= 180 - 360 / 8", butted = true') == CornerJoint(angle=135, butted=True)
    assert joint('kind = "ring", sides = 4, lean = 5, butted = true') == RingJoint(sides=4, lean=5, butted=True)
    assert joint('kind = "ring", sides = 4, lean = 5, butted = false') == RingJoint(sides=4, lean=5)


def test_a_hole_at_both_ends_is_two_holes_and_their_lines_can_be_found() -> None:
    holes = """\
length = 20
holes = [
  { kind = "pocket", end = "both", from_edge = [1, 2] },
  { kind = "blind", end = "A", from_edge = 1, from_end = 3, diameter = "3/8", depth = 1, face = "top" },
]"""
    found = built(part(holes)).part("a")
    assert [(hole.kind, hole.end, hole.face) for hole in found.holes] == [
        ("pocket", "A", "bottom"),
        ("pocket", "B", "bottom"),
        ("blind", "A", "top"),
    ]
    lines = [found.lines[f"holes.{index}.from_edge"] for index in range(3)]
    assert lines == [hole.line for hole in found.holes] == [15, 15, 16]


def test_tapers_keep_their_lines() -> None:
    tapers = 'length = 20\ntapers = [\n  { edges = "both", start = 4, end = "A", leave = "1 1/4" },\n]'
    found = built(part(tapers)).part("a")
    assert (found.tapers[0].edges, found.tapers[0].start, found.tapers[0].leave) == ("both", inches(4), inches("1 1/4"))
    assert found.tapers[0].line == found.lines["tapers.0.start"] == 15


def test_where_a_key_stands_is_not_what_a_part_is() -> None:
    one, two = (built(part(text)).part("a") for text in ('length = 20\nnotes = "dry"', 'notes = "dry"\nlength = 20'))
    assert one.lines["length"] != two.lines["length"]
    assert one == two
    assert len({one, two}) == 1


def test_two_measures_set_a_taper() -> None:
    tapers = """length = 20
tapers = [
  { edges = "near", end = "B", length = 14, leave = 2 },
  { edges = "far", end = "B", leave = "1 1/2", angle = "1:20" },
  { edges = "near", end = "A", start = 0, angle = 2 },
]"""
    first, second, third = built(part(tapers)).part("a").tapers
    assert (first.start, first.length, first.leave, first.angle) == (None, inches(14), inches(2), None)
    assert (second.leave, second.angle) == (inches("1 1/2"), pytest.approx(2.862405))
    assert (third.start, third.angle) == (Length(Fraction(0)), 2)


@pytest.mark.parametrize(
    ("pricing", "prices"),
    [
        ("prices = [11.40, 15.205]", ["11.40", "15.205"]),
        ("price_per_foot = 1.905", ["11.43", "15.24"]),
        ("price_per_metre = 10", ["18.29", "24.38"]),  # 6 ft is 1.8288 m, 8 ft 2.4384 m
        ("price_per_board_foot = 6", ["24.00", "32.00"]),  # a 2x4 of 6 ft is 2*4*6/12 = 4 board feet
        ('price_per_board_foot = "= 12 / 2"', ["24.00", "32.00"]),
    ],
)
def test_prices_are_listed_or_worked_out(pricing: str, prices: list[str]) -> None:
    text = part("length = 9").replace('lengths = ["8 ft"]', f'lengths = ["6 ft", "8 ft"]\n{pricing}')
    assert built(text).wood("pine").prices == tuple(Decimal(price) for price in prices)


def test_hardwood_by_quarters_is_sold_by_its_own_width() -> None:
    """Board foot: thickness and width in inches, length in feet, over 12; stock under 1 in counts as 1 in. 8/4 x 6 x
    8 ft is 8 board feet. S2S thickness 1 3/4: hardwood surfacing table."""
    wood = 'section = "8/4"\nwidth = 6\nprice_per_board_foot = 10'
    found = built(part("length = 9").replace('section = "2x4"', wood)).wood("pine")
    assert (found.thickness, found.width, found.prices) == (inches("1 3/4"), inches(6), (Decimal("80.00"),))


def test_the_shop_comes_from_the_file_then_the_tablet_then_practice() -> None:
    """Kerfs and trims: common practice, no source."""
    inch, metric = built(part("length = 9")).shop, built(part("length = 9", "mm")).shop
    assert (inch.kerf, inch.end_trim, inch.mark) == (inches("1/8"), inches("1/2"), MARKS[1])
    assert (metric.kerf, metric.end_trim, metric.mark) == (millimetres(3), millimetres(15), MARKS[4])
    assert (inch.max_miter, inch.max_bevel) == (50, 45)
    tablet = ShopDefaults(kerf=millimetres(2), end_trim=Length(Fraction(0)), max_bevel=48)
    ours = built(part("length = 9"), shop=tablet).shop
    assert (ours.kerf, ours.end_trim, ours.max_bevel) == (millimetres(2), Length(Fraction(0)), 48)
    told = '[shop]\nkerf = 2.4\nmax_bevel = 0\nmark = "1/32"\n' + part("length = 9", "mm")
    ours = built(told, shop=tablet).shop
    assert (ours.kerf, ours.max_bevel, ours.mark) == (Length(Fraction("2.4")), 0, MARKS[2])


@pytest.mark.parametrize("mark", MARKS, ids=str)
def test_every_mark_of_a_tape_can_be_written(mark: Any) -> None:
    assert built(f'[shop]\nmark = "{mark}"\n' + part("length = 9")).shop.mark == mark


ASSEMBLIES = """
[[assemblies]]
id = "frame"
joins = { a = 2 }
by = "glue"
glue = "cross-linking pva"
clamp_time = "1 h 30 min"

[[assemblies]]
id = "base"
joins = { frame = 2 }
by = "screws"

[[assemblies]]
id = "set"
joins = { base = 3 }
by = "dry"
finish = { kind = "Danish oil", recoat = "10 h" }
"""


def test_an_assembly_is_made_as_often_as_others_join_it() -> None:
    build = built(part("length = 9\nquantity = 12") + ASSEMBLIES)
    assert [(each.id, each.quantity) for each in build.assemblies] == [("frame", 6), ("base", 3), ("set", 1)]
    assert load_build(part("length = 9\nquantity = 12") + ASSEMBLIES).problems == ()
    left_over = load_build(part("length = 9\nquantity = 13") + ASSEMBLIES)
    assert [each.at("f") for each in left_over.notes] == ["f:10: 1 of 13 of 'a' are joined by no assembly"]
    short = load_build(part("length = 9\nquantity = 11") + ASSEMBLIES)
    assert problems(short) == ["f:18: 12 of 'a' are joined, but the build has 11 pieces"]


def test_times_that_the_file_does_not_say_come_from_the_class_and_are_named() -> None:
    """Cross-linking PVA: open 5-10 min, full strength 24 h. Common practice, from memory; go by the label."""
    build = built(part("length = 9\nquantity = 12") + ASSEMBLIES)
    glue, finish = build.assembly("frame").glue, build.assembly("set").finish
    assert glue is not None
    assert finish is not None
    assert (glue.open_time, glue.clamp_time, glue.cure_time) == (Span(5 * 60), Span(90 * 60), Span(24 * 3600))
    assert glue.defaulted == {"open", "cure"}
    assert (finish.recoat, finish.coats) == (Span(10 * 3600), 2)
    assert finish.defaulted == {"cure", "coats"}


def test_another_glue_and_another_finish_bring_their_own_times() -> None:
    own = ASSEMBLIES.replace("cross-linking pva", "Rice paste").replace(
        "clamp_time", 'open_time = "9 min"\ncure_time = "2 days"\nclamp_time'
    )
    own = own.replace('"Danish oil"', '"Beeswax", coats = 1, cure = "3 days"')
    build = built(part("length = 9\nquantity = 12") + own)
    glue, finish = build.assembly("frame").glue, build.assembly("set").finish
    assert glue is not None
    assert finish is not None
    assert (glue.name, glue.open_time, glue.defaulted) == ("Rice paste", Span(540), frozenset())
    assert (finish.kind, finish.defaulted) == ("Beeswax", frozenset())


def test_an_unknown_species_is_a_note() -> None:
    loaded = load_build(part("length = 9").replace("eastern white pine", "Osage orange"))
    assert loaded.build is not None
    assert any("movement and weight are unknown" in each.what and each.line == 6 for each in loaded.notes)


def test_a_file_may_come_as_bytes_with_a_mark_and_with_other_line_ends() -> None:
    text = part("length = 9")
    plain = built(text)
    assert built(text.encode()) == built(b"\xef\xbb\xbf" + text.encode()) == built(text.replace("\n", "\r\n")) == plain
    assert plain.part("a").line == 10
    assert built(text.replace("\n", "\r\n")).part("a").lines["length"] == 13


def test_a_list_without_parts_is_no_build() -> None:
    assert problems(load_build("parts = []\n" + HEAD)) == [
        "f:0: the build has no parts (each part begins with [[parts]])"
    ]


def test_what_follows_a_line_that_cannot_be_read_is_checked_too() -> None:
    text = part('length = 9 1/2\nquantity = 0\nroute = ["paint"]\nname = "Long" er')
    assert [each.split(" (")[0] for each in problems(load_build(text))] == [
        "f:13: can't read what follows the number",
        "f:14: a: quantity: must be from 1 to 999",
        "f:15: a: route: 'paint' is not a known operation",
        "f:16: can't read what follows the value",
    ]


def test_a_value_of_its_own_line_is_told_there() -> None:
    text = part('length = 9\nroute = [\n  "cut",\n  "carve",\n]\nholes = [\n  { kind = "pocket", end = "C" },\n]')
    assert [each.split(" (")[0] for each in problems(load_build(text))] == [
        "f:16: a: route: 'carve' is not a known operation",
        "f:19: a: holes: end: can't be 'C'",
        "f:19: a: holes: 'from_edge' is missing",
    ]


def test_a_broken_size_is_told_once_and_not_wherever_it_is_used() -> None:
    text = '[sizes]\nwide = "12 yd"\ntwice = "= 2 * wide"\n' + part('length = "= twice"\nwidth = "= wide"')
    assert problems(load_build(text)) == ["f:2: wide: 'yd' is not a unit of length"]


@pytest.mark.parametrize(
    ("written", "kerf"),
    [
        ("3/32 in", inches("3/32")),
        ("3/32", inches("3/32")),
        ("0.1", inches(0.1)),
        ("2.4 mm", millimetres(Fraction("2.4"))),
        ("11 mm", None),
        ("0 mm", None),
        ("wide", None),
    ],
)
def test_the_tablet_s_kerf_is_read_in_its_own_unit_a_bare_number_in_inches(written: str, kerf: Length | None) -> None:
    found = shop_defaults({"kerf": written}).kerf
    assert found == kerf or (kerf is not None and found is not None and abs(float(found) - float(kerf)) < 1e-9)
    assert shop_defaults({"kerf": written}).shop("mm").kerf == (found or millimetres(3))


@pytest.mark.parametrize(("last", "said"), [((5,), 0), ((6,), 1), ((6, 2), 1)])
def test_a_build_holds_5_000_pieces_and_of_more_it_is_said_once(last: tuple[int, ...], said: int) -> None:
    quantities = [999] * 5 + [*last]
    parts = "".join(
        f'[[parts]]\nid = "p{at}"\nwood = "pine"\nlength = 12\nquantity = {quantity}\n'
        for at, quantity in enumerate(quantities)
    )
    found = [each for each in problems(load_build(HEAD + parts)) if "more than 5000 pieces" in each]
    assert len(found) == said
    assert all(each.endswith("the build has more than 5000 pieces") for each in found)


WOOD = """[build]
name = "x"
units = "in"
[woods.oak]
species = "white oak"
{}
[[parts]]
id = "rail"
wood = "oak"
length = 20
width = 2
"""


def test_a_grade_says_how_narrow_its_boards_may_be_where_the_file_does_not() -> None:
    """NHLA: boards of FAS are at least 6 in wide. A file may ask for wider ones."""
    for widths, narrowest in (('"random"', "6"), ('["8", "12"]', "8")):
        build = load_build(WOOD.format(f'rough = "4/4"\nthickness = "3/4"\nwidths = {widths}\ngrade = "FAS"')).build
        assert build is not None
        bought = build.wood("oak").by_volume
        assert bought is not None
        assert bought.narrowest == inches(narrowest)


def test_a_section_that_says_the_thickness_only_needs_a_width() -> None:
    said = [each.what for each in load_build(WOOD.format('section = "4/4"\nlengths = [96]')).problems]
    assert "4/4 says the thickness only: width is missing" in said


def test_of_a_file_that_is_no_text_nothing_else_is_said() -> None:
    assert [each.kind for each in load_build(b"\xff\xfe\x00[build]").problems] == ["problem"]


@pytest.mark.parametrize(("written", "celsius"), [("68 F", 20.0), ("20 C", 20.0), ("20°C", 20.0), ("50F", 10.0)])
def test_a_temperature_has_its_unit(written: str, celsius: float) -> None:
    """F = 1.8 C + 32, by the scale's definition."""
    loaded = load_build(WOOD.format('section = "1x4"\nlengths = [96]') + f'[air]\ntemperature = "{written}"\n')
    assert loaded.build is not None, loaded.problems
    assert loaded.build.air is not None
    assert loaded.build.air.celsius == pytest.approx(celsius)
