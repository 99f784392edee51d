"""What to buy, against sums computed by hand. Board feet: grading rules; customary waste: common practice, no
source."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.cards.board_shop import SHELF, Saw
from tracker.cards.boards.shopping import ShoppingCard, ShoppingGroup, dealer_length, shopping_card
from tracker.design.load import load_build
from tracker.floor.boards import laid_out
from tracker.measure import Length, Units
from tracker.plan.boards.shopping import shopping as to_buy

SAMPLES = Path(__file__).parent.parent.parent / "sample_projects"


def shopping(text: str) -> ShoppingCard:
    saw = Saw(text)
    return shopping_card(saw.run.build, laid_out(saw.plan()))


def group(card: ShoppingCard, title: str) -> ShoppingGroup:
    return next(each for each in card.groups if each.title.startswith(title))


def test_boards_are_bought_by_the_dealers_lengths() -> None:
    card = shopping(SHELF)
    (cedar,) = card.groups
    assert [(row.title, row.cost) for row in cedar.rows] == [("1 board, 8′", "$10.00"), ("1 board, 6′", "$8.00")]
    assert card.total == "$18"
    # 1x6 counts as 1 in by 6 in: 14 ft are 7 board feet. 168 in for 144: 16.7 % over, said as 17.
    assert cedar.said == "3⁄4″ × 5\u20091⁄2″, 7.0 board feet; 17\u00a0% waste (5 to 10 % is usual)"


def test_several_of_one_length_are_one_line_with_the_price_of_one() -> None:
    card = shopping(SHELF.replace("quantity = 2", "quantity = 6"))
    rows = group(card, "Western redcedar").rows
    assert any(row.title.startswith(("2 boards", "3 boards")) and row.each in ("$8.00", "$10.00") for row in rows)


def test_rough_quarters_say_what_they_measure_and_what_they_were() -> None:
    card = shopping((SAMPLES / "hall_bench.toml").read_text())
    thick = group(card, "White oak 8/4")
    assert thick.said.startswith("1\u20093⁄4″ × 2″ (2″ rough), ")


def test_metric_wood_is_sold_by_volume_and_metres() -> None:
    card = shopping((SAMPLES / "stool.toml").read_text())
    square = card.groups[0]
    assert square.rows[0].title == "1 board, 2 m"
    assert "0.0029 m³" in square.said, "38 x 38 mm, 2 m long: 0.002888 cubic metres"


@pytest.mark.parametrize(
    ("units", "length", "said"),
    [
        ("in", 96, "8′"),
        ("in", 90, "7′ 6″"),
        ("in", 50, "50″"),
        ("mm", 2500, "2.5 m"),
        ("mm", 1828.8, "6′"),
        ("mm", 815, "815 mm"),
    ],
)
def test_a_dealer_says_lengths_as_they_are_sold(units: Units, length: float, said: str) -> None:
    loaded = load_build(SHELF.replace('units = "in"', f'units = "{units}"').encode())
    assert loaded.build is not None
    assert dealer_length(loaded.build, Length.of(Fraction(str(length)), units)) == said


def test_hardware_costs_what_its_pieces_cost_together() -> None:
    card = shopping((SAMPLES / "stool.toml").read_text())
    assert [(row.title, row.cost) for row in group(card, "Hardware").rows] == [
        ("16 × Pocket screw, fine thread, 32 mm", "€1.12"),
        ("4 × Seat button with screw", "€2.20"),
    ]


def test_glue_and_finish_are_by_area_and_have_no_price() -> None:
    card = shopping((SAMPLES / "stool.toml").read_text())
    assert group(card, "Finish").rows[0].said == "0.3 l for 3 coats on 0.7 m²"
    casein = next(row for row in group(card, "Glue").rows if row.title.startswith("Casein"))
    assert casein.said.endswith("no figure is known")
    assert card.unknown == "Not priced: glue, finish."
    assert "check the label" in group(card, "Glue").said


def test_the_total_is_of_all_that_has_a_price() -> None:
    card = shopping((SAMPLES / "planter.toml").read_text())
    # 17.40 and 5.60 for boards (the slats come from the rack), 14 screws at 0.18.
    assert card.total == "about $26"


def test_what_the_rack_has_is_not_bought() -> None:
    rack = '[[rack]]\nwood = "cedar"\nlength = 200\nname = "long one"\n'
    card = shopping(SHELF + rack)
    assert not card.groups
    assert card.empty == "Nothing to buy: the rack has enough."


def test_without_prices_no_total_is_made_up() -> None:
    card = shopping(SHELF.replace("prices = [8.00, 10.00]\n", ""))
    assert card.total == "no price is known"
    assert all(not row.cost for each in card.groups for row in each.rows)


@pytest.mark.parametrize("name", ["planter", "stool", "hall_bench"])
def test_every_sample_has_a_list(name: str) -> None:
    card = shopping((SAMPLES / f"{name}.toml").read_text())
    assert [each.title for each in card.groups][-3:] == ["Hardware", "Glue", "Finish"]


def test_the_volume_of_what_is_bought_is_width_by_thickness_by_length() -> None:
    """A 1x6 is 3/4 by 5 1/2 in planed: 14 ft of it are 693 in³; an inch is 25.4 mm."""
    saw = Saw()
    (cedar,) = to_buy(saw.run.build, saw.plan())
    assert float(cedar.cubic_metres) == pytest.approx(0.75 * 5.5 * 14 * 12 * 0.0254**3)
