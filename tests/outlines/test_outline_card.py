"""What the card of an outline says before it is sawn: each measure by hand, on a panel of 1200 × 960 mm."""

from __future__ import annotations

from math import pi

import pytest
from outline_kit import FORK, PANEL, build_with

from tracker.cards.reports.template import template_lines, template_report
from tracker.cards.template.outline_card import drawing_of, found, outline_card, template_choices
from tracker.design import load_build
from tracker.design.model import Build

SQUARE = "corners = [[0, 0], [300, 0], [300, 200], [0, 200]]"


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        # Where nothing says where it is, it is in the middle: 280 mm in front of it and behind it, 400 at its sides.
        ("circle = 400", (f"400 mm × 400 mm, {round(400 * pi)} mm of edge", "280 mm to spare on the back")),
        (
            "circle = 400\nat = { left = 100 }",
            (f"400 mm × 400 mm, {round(400 * pi)} mm of edge", "100 mm to spare on the left"),
        ),
        (
            f"{SQUARE}\nat = {{ left = 1000 }}",
            ("300 mm × 200 mm, 1000 mm of edge", "It doesn't fit: 100 mm too far on the right"),
        ),
        (
            f"{SQUARE}\nat = {{ back = -20 }}",
            ("300 mm × 200 mm, 1000 mm of edge", "It doesn't fit: 20 mm too far on the back"),
        ),
        # 2 × (300 + 200) around it and 2 × (260 + 176) inside; 4 mm are left at its back, 20 mm of grain at its sides.
        (
            f"{SQUARE}\ncutouts = [{{ corners = [[20, 20], [280, 20], [280, 196], [20, 196]] }}]",
            (
                "300 mm × 200 mm, 1872 mm of edge", "380 mm to spare on the back",
                "Weak: a neck of 4 mm across the grain", "Weak: short grain, 20 mm fibres at most",
            ),
        ),
    ],
)  # fmt: skip
def test_the_card_says_how_large_it_is_whether_it_fits_and_where_it_is_weak(
    outline: str, said: tuple[str, ...]
) -> None:
    build = build_with(outline)
    card = outline_card(build, "it")
    assert (card.id, card.title, card.said, card.why) == ("it", "panel: it", said, "")
    assert card.drawing == drawing_of(found(build, "it"))
    assert card.drawing is not None
    assert card.drawing.size == (1200, 960)
    assert outline_card(build, "it", with_necks=False).said == said[:2]


def with_shop(shop: str, outline: str) -> Build:
    loaded = load_build(PANEL.replace("[woods", f"[shop]\n{shop}\n[woods", 1) + f'[[outlines]]\nid = "it"\n{outline}')
    assert loaded.build is not None, loaded.problems
    return loaded.build


def test_the_card_says_which_tools_get_round_it() -> None:
    """The fork's tightest inside bend has a radius of 12 mm: a bit of 24 goes into it, one of 24.2 doesn't."""
    build = with_shop("bits = [6, 24, 24.2]\ndrums = [50, 100]", f'of = "panel"\n{FORK}')
    assert outline_card(build, "it", with_necks=False).said[2:] == (
        "Tightest inside bend: radius 12 mm", "Largest bit that fits: 24 mm", "No drum of the shop fits",
    )  # fmt: skip


def test_an_outline_that_cannot_be_drawn_says_why() -> None:
    card = outline_card(build_with("corners = [[0, 0], [60, 60], [60, 0], [0, 60]]"), "it")
    assert (card.said, card.drawing) == ((), None)
    assert card.why == "it: it crosses itself at 30 mm, 30 mm"


@pytest.mark.parametrize(
    ("outline", "fits"),
    [
        (f"{SQUARE}\nat = {{ left = 1000 }}", "It doesn't fit: 100 mm too much on the right."),
        (
            f"{SQUARE}\nat = {{ left = 20 }}\nmargin = 5",
            "It fits: 15 mm to spare on the left, beyond its margin of 5 mm.",
        ),
        (f"{SQUARE}\nat = {{ left = 20 }}", "It fits: 20 mm to spare on the left."),
    ],
)  # fmt: skip
def test_the_command_says_whether_it_fits_and_what_stays_of_each_board(outline: str, fits: str) -> None:
    """The square lies in the middle of the depth, from 380 to 580 mm: over 100 mm of the fourth and of the fifth."""
    build = build_with(outline)
    lines = list(template_lines(build, template_report(build, found(build, "it"))))
    stays = [f"board {at}: {100 if at in (4, 5) else 0} mm wide at most stays." for at in range(1, 9)]
    assert lines == ["it, from panel: 300 mm × 200 mm, edges 1000 mm in all.", fits, *stays]


PARTS = """\
[[parts]]
id = "slant"
name = "Slanted"
wood = "ash"
length = 400
end_a = { miter = 10 }
[[parts]]
id = "taper"
name = "Tapered"
wood = "ash"
length = 400
tapers = [{ edges = "near", start = 100, end = "B", leave = 60 }]
"""


def test_outlines_and_parts_with_odd_ends_or_tapers_have_a_template() -> None:
    loaded = load_build(f'{PANEL}[[outlines]]\nid = "seat"\nof = "panel"\n{SQUARE}\n{PARTS}')
    assert loaded.build is not None, loaded.problems
    assert [(each.id, each.title, each.said) for each in template_choices(loaded.build)] == [
        ("seat", "seat", "sawn from panel"),
        ("slant", "Slanted", "its ends and tapers"),
        ("taper", "Tapered", "its ends and tapers"),
    ]
