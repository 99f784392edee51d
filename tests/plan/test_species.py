"""The wood table and how wood moves.

Source: Wood Handbook, USDA Forest Products Laboratory, FPL-GTR-190 (2010), eq. 13-2 and 13-3, its worked example, and
tables as marked in woods.csv.
"""

from __future__ import annotations

import pytest

from tracker.design.tables.species import SPECIES
from tracker.plan.wood.movement import coefficient
from tracker.plan.wood_properties import find, woods

FLAT_SAWN, QUARTER_SAWN = 0.0, 90.0


def test_the_table_has_every_wood_that_the_build_file_knows() -> None:
    assert [wood.name for wood in woods()] == list(SPECIES)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("western redcedar", "Cedar, western redcedar"), ("Western red cedar", "Cedar, western redcedar"),
        ("white oak", "Oak, white, commercial"), ("Oak, red", "Oak, red, commercial"),
        ("hard maple", "Maple, sugar (hard)"), ("black walnut", "Walnut, black"), ("teak", "Teak"),
    ],
)  # fmt: skip
def test_a_wood_is_found_by_what_people_call_it(said: str, name: str) -> None:
    found = find(said)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("said", ["oak", "bubinga", "", "maple"])
def test_what_is_unknown_or_could_be_several_is_none(said: str) -> None:
    assert find(said) is None


def test_names_said_aloud() -> None:
    assert {"western redcedar", "white oak", "coast Douglas-fir", "black cherry"} <= {wood.plain for wood in woods()}


def test_the_handbooks_worked_example() -> None:
    """White fir, flat-sawn, 232 mm, 8 to 11 %: grows 1.7 mm to 233.7 mm. (The start is from memory, the end from the
    book.)"""
    fir = find("Fir, white")
    assert fir is not None
    grown = 232 * coefficient(fir.radial, fir.tangential, FLAT_SAWN) * (11 - 8)
    assert grown == pytest.approx(1.705, abs=5e-4)
    assert 232 + grown == pytest.approx(233.7, abs=0.05)


@pytest.mark.parametrize(
    ("said", "size", "start", "stop", "rings", "change"),
    [
        ("red oak", 300, 6, 12, FLAT_SAWN, 6.642),
        ("sugar maple", 400, 7, 11, FLAT_SAWN, 5.648),
        ("black cherry", 450, 12, 6, FLAT_SAWN, -6.696),
        ("black walnut", 100, 6, 14, QUARTER_SAWN, 1.520),
    ],
)
def test_movement_by_the_coefficients(
    said: str, size: float, start: float, stop: float, rings: float, change: float
) -> None:
    """Eq. 13-2, computed by hand from the handbook's coefficients."""
    wood = find(said)
    assert wood is not None
    grown = size * coefficient(wood.radial, wood.tangential, rings) * (stop - start)
    assert grown == pytest.approx(change, abs=5.5e-4)


def test_every_value_says_where_it_is_from() -> None:
    for wood in woods():
        assert "Wood Handbook" in wood.source
        assert {wood.coefficients_are, wood.shrinkage_is, wood.gravity_and_stiffness_are} <= {"read", "from memory"}


def test_coefficients_agree_with_shrinkage_where_both_are_read() -> None:
    """Eq. 13-3 at 10 %: C = S / (100 Mfs - S (Mfs - 10)) per percent. Two columns of the handbook, read independently.

    Sweet birch is listed with yellow birch's coefficients: its note says so.
    """
    both = [wood for wood in woods() if wood.coefficients_are == wood.shrinkage_is == "read" and not wood.note]
    assert len(both) >= 15
    for wood in both:
        for change, shrinkage in (
            (wood.radial, wood.radial_shrinkage),
            (wood.tangential, wood.tangential_shrinkage),
        ):
            assert shrinkage is not None
            fibre = wood.fibre_saturation
            assert change == pytest.approx(shrinkage / (100 * fibre - shrinkage * (fibre - 10)), abs=1e-5)
