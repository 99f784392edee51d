"""What counts as a frame, a panel or a slanted field, and what a load bends; each limit from both sides.

White oak: C_T 0.00365 (Wood Handbook, FPL-GTR-190, table 13-5), E 12 300 MPa (table 5-3a). At 20 °C and 35, 50, 65 %
wood comes to 6.963, 9.271 and 11.996 % (equation 4-5, checked in `test_moisture`)."""

from __future__ import annotations

from typing import Any

import pytest

from tracker.cards.reports.wood import wood_lines, wood_report
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.place import Placer
from tracker.plan.wood import assess, slanted_fields
from tracker.plan.wood.movement import mitre_gap
from tracker.plan.wood_properties import find

HEAD = """[build]
name = "Table"
units = "mm"
[air]
shop = 50
home = [%s]
[woods.oak]
species = "white oak"
thickness = 20
width = 200
lengths = ["3 m"]
"""
DRY, DAMP = 0.00365 * (6.963 - 9.271), 0.00365 * (11.996 - 9.271)
GLUE = 'by = "glue"\nglue = "PVA, interior (white)"\n'


def built(text: str, home: str = "35, 65") -> Build:
    loaded = load_build(HEAD % home + text)
    assert loaded.build is not None, loaded.problems
    return loaded.build


def part(id_: str, quantity: int, more: str = "", length: int = 600) -> str:
    named = f'id = "{id_}"\nname = "{id_.title()}"\nquantity = {quantity}'
    return f'[[parts]]\n{named}\nwood = "oak"\nlength = {length}\n{more}\n'


def assembly(joins: str, by: str = GLUE, more: str = "") -> str:
    return f'[[assemblies]]\nid = "whole"\nname = "Whole"\njoins = {{ {joins} }}\n{by}{more}'


def ends(a: str, b: str) -> str:
    return f"width = 76\nend_a = {{ {a} }}\nend_b = {{ {b} }}"


@pytest.mark.parametrize(
    ("count", "a", "b", "by", "framed"),
    [
        (3, "miter = 45", "miter = 45", GLUE, True),
        (2, "miter = 45", "miter = 45", GLUE, False),
        (4, "miter = 45", "miter = 45", 'by = "screws"\n', False),
        (4, "miter = 30", "miter = 30", GLUE, True),
        (4, "miter = 29.9", "miter = 29.9", GLUE, False),
        (4, "miter = 50", "miter = 50", GLUE, True),
        (4, "miter = 45", "miter = 44", GLUE, False),
        (4, 'miter = 45, long = "near"', "miter = 45", GLUE, False),
        (4, "miter = 45, bevel = 5", "miter = 45, bevel = 5", GLUE, False),
    ],
)
def test_what_is_a_mitred_frame(count: int, a: str, b: str, by: str, framed: bool) -> None:
    found = assess(built(part("side", count, ends(a, b)) + assembly(f"side = {count}", by))).mitres
    assert bool(found) is framed


@pytest.mark.parametrize(("home", "strain", "where"), [("35, 65", DAMP, "outside"), ("25, 50", None, "inside")])
def test_the_corner_opens_most_in_the_worse_season(home: str, strain: float | None, where: str) -> None:
    (found,) = assess(built(part("side", 4, ends("miter = 45", "miter = 45")) + assembly("side = 4"), home)).mitres
    assert (found.id, found.of, found.where) == ("whole", "Whole", where)
    if strain is not None:
        assert found.gap == pytest.approx(mitre_gap(strain, 76.0), rel=1e-3)


@pytest.mark.parametrize(
    ("home", "outside"), [("35, 65", False), ("31, 65", False), ("28, 65", True), ("35, 72", False), ("35, 75", True)]
)
def test_the_air_for_which_the_handbooks_figures_hold(home: str, outside: bool) -> None:
    """6 to 14 %: at 20 °C from 29.3 to 73.6 % of humidity (equation 4-5, halved)."""
    assert assess(built(part("a", 1), home)).outside_range is outside


@pytest.mark.parametrize(
    ("parts", "joins", "wide"),
    [
        (part("a", 3, 'sequence = "top"'), "a = 3", 600),
        (part("a", 2, 'sequence = "top"') + part("b", 1, 'width = 80\nsequence = "top"'), "a = 2, b = 1", 480),
        (part("a", 2, 'sequence = "top"') + part("b", 1, "width = 80"), "a = 2, b = 1", None),
        (part("a", 3), "a = 3", None),
        (part("a", 3, 'sequence = "top"\nend_a = { miter = 10 }'), "a = 3", None),
        (part("a", 3, 'sequence = "top"\nend_b = { miter = 10 }'), "a = 3", None),
    ],
)
def test_what_is_one_panel_of_boards(parts: str, joins: str, wide: float | None) -> None:
    moved = {each.id: each for each in assess(built(parts + assembly(joins))).movements}
    assert (moved["whole"].width if "whole" in moved else None) == wide
    if wide:
        assert moved["whole"].dry == pytest.approx(wide * DRY, rel=3e-3)
        assert moved["whole"].damp == pytest.approx(wide * DAMP, rel=1e-3)


@pytest.mark.parametrize(
    ("rings", "share"), [("0 deg", 1.0), ("90 deg", 0.00180 / 0.00365), ("45 deg", (1 + 0.00180 / 0.00365) / 2)]
)
def test_quarter_sawn_boards_move_by_the_radial_figure(rings: str, share: float) -> None:
    """C_R of white oak is 0.00180 (table 13-5)."""
    oak = find("white oak")
    assert oak is not None
    assert (oak.radial, oak.tangential) == (0.0018, 0.00365)
    (moved,) = assess(built(part("a", 1, f'rings = "{rings}"'))).movements
    assert moved.damp == pytest.approx(200 * DAMP * share, rel=1e-3)


@pytest.mark.parametrize(
    ("more", "factor", "fixed", "width", "thick", "span"),
    [
        ("", 5 / 384, 1 / 384, 200, 20, 900),
        ("span = 800\n", 5 / 384, 1 / 384, 200, 20, 800),
        ('spread = "middle"\n', 1 / 48, 1 / 192, 200, 20, 900),
        ("on_edge = true\n", 5 / 384, 1 / 384, 20, 200, 900),
    ],
)
def test_what_a_load_bends(more: str, factor: float, fixed: float, width: float, thick: float, span: float) -> None:
    """W L³ / E I with I = b h³ / 12 (Wood Handbook, chapter 9); twice that after years."""
    oak = find("white oak")
    assert oak is not None
    assert oak.stiffness is not None
    load = f'[[loads]]\non = "shelf"\nweight = "20 kg"\n{more}'
    (found,) = assess(built(part("shelf", 1, length=900) + load)).sags
    bends = 20 * 9.80665 * span**3 / (oak.stiffness * width * thick**3 / 12)
    assert (found.now, found.held_now) == (pytest.approx(factor * bends), pytest.approx(fixed * bends))
    assert (found.years, found.span, found.kilograms) == (pytest.approx(2 * factor * bends), span, 20)


def field(turn: float) -> str:
    """Two boards side by side, turned in their plane."""
    rows = ", ".join(
        f'{{ part = "a", lies = "B right, top up", turn = {turn}, at = {{ left = {at}, front = 0, bottom = 0 }} }}'
        for at in (0, 900)
    )
    return part("a", 2) + assembly("a = 2", more=f"place = [{rows}]\n")


@pytest.mark.parametrize(("turn", "slanted"), [(9.9, False), (10.1, True), (45, True), (79.9, True), (80.1, False)])
def test_from_ten_to_eighty_degrees_boards_count_as_slanted(turn: float, slanted: bool) -> None:
    build = built(field(turn))
    found: Any = slanted_fields(build, Placer(build))
    assert bool(found) is slanted
    assert all(each.angle == pytest.approx(turn) and each.held == "" for each in found)


def test_an_angle_has_three_decimals_in_the_report() -> None:
    build = built(field(100 / 3))
    (one,) = wood_report(build, Placer(build))["fields"]
    assert (one["of"], one["angle_deg"], one["held_by"]) == ("Whole", 33.333, "")
    assert "Whole: wants to grow 8.4 mm lengthwise." in list(wood_lines(build, wood_report(build, Placer(build))))


def test_woods_without_a_row_in_the_table_and_sheets_are_named() -> None:
    text = '[woods.odd]\nspecies = "snakewood"\nthickness = 20\nwidth = 90\nlengths = ["2 m"]\n'
    found = assess(built(text + part("a", 1)))
    assert (found.unknown, found.sheets) == (("snakewood",), ())
