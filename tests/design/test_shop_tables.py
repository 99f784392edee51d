"""Nominal sizes, glues, finishes and species, against the published values named beside each check."""

from __future__ import annotations

import pytest

from tracker.design.errors import BadValueError
from tracker.design.tables.finishes import FINISHES, finish_named
from tracker.design.tables.glues import GLUES, glue_named
from tracker.design.tables.lumber import section_named
from tracker.design.tables.species import SPECIES, species_named
from tracker.measure import inches, parse_span


@pytest.mark.parametrize(
    ("written", "thickness", "width"),
    [
        # American Softwood Lumber Standard (PS 20), dressed dry
        ("1x1", "3/4", "3/4"),
        ("1x6", "3/4", "5 1/2"),
        ("1 x 8", "3/4", "7 1/4"),
        ("1×12", "3/4", "11 1/4"),
        ("2x2", "1 1/2", "1 1/2"),
        ("2X4", "1 1/2", "3 1/2"),
        ("2x10", "1 1/2", "9 1/4"),
        ("4x4", "3 1/2", "3 1/2"),
        ("4x16", "3 1/2", "15 1/4"),
        ("5/4x6", "1", "5 1/2"),  # PS 20, from memory
        # hardwood S2S surfacing table of a general engineering reference
        ("4/4", "13/16", None),
        ("5/4", "1 1/16", None),
        ("8/4", "1 3/4", None),
        ("12/4", "2 3/4", None),
        ("4/4x6", "3/4", "5 1/2"),  # surfaced four sides: trade custom, from memory
    ],
)
def test_nominal_sizes_are_what_they_measure(written: str, thickness: str, width: str | None) -> None:
    section = section_named(written)
    assert section.thickness == inches(thickness)
    assert section.width == (inches(width) if width else None)


@pytest.mark.parametrize("written", ["1x7", "9x9", "6", "", "x", "1x6x8", "4/4/4"])
def test_other_sizes_are_refused(written: str) -> None:
    with pytest.raises(BadValueError):
        section_named(written)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("PVA, cross-linking", "PVA, cross-linking"),
        ("pva cross linking", "PVA, cross-linking"),
        ("Cross-Linking PVA", "PVA, cross-linking"),
        ("yellow glue", "PVA, aliphatic (yellow)"),
        ("Epoxy", "Epoxy, two-part"),
        ("HIDE, HOT", "Hide, hot"),
        ("liquid hide glue", "Hide, liquid"),
    ],
)
def test_a_glue_is_known_by_the_names_people_write(written: str, name: str) -> None:
    found = glue_named(written)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("written", ["PVA", "hide", "hide glue", "glue", "", "Rice paste"])
def test_a_name_that_may_mean_several_glues_means_none(written: str) -> None:
    assert glue_named(written) is None


def test_glue_times_are_within_their_usual_ranges() -> None:
    """Ranges at about 20 °C: common practice, from memory; go by the label on the bottle."""
    ranges = {
        "PVA, interior (white)": ("8 min", "15 min", "30 min", "4 h", 10, 13),
        "PVA, aliphatic (yellow)": ("4 min", "10 min", "30 min", "4 h", 7, 10),
        "PVA, cross-linking": ("5 min", "10 min", "30 min", "4 h", 8, 13),
        "Polyurethane, one-part moisture cure": ("3 min", "20 min", "1 h", "4 h", 5, 10),
        "Epoxy, two-part": ("10 min", "60 min", "6 h", "24 h", 5, 15),
        "Hide, hot": ("1 min", "2 min", "2 h", "12 h", 21, 21),
        "Hide, liquid": ("10 min", "20 min", "12 h", "24 h", 10, 10),
        "Cyanoacrylate": ("6 s", "2 min", "10 s", "60 s", 10, 10),
        "Urea-formaldehyde, powder or resin+catalyst, cold": ("10 min", "15 min", "8 h", "16 h", 21, 21),
    }
    assert [glue.name for glue in GLUES] == list(ranges)
    for glue in GLUES:
        opens, closes, shortest, longest, least, coldest = ranges[glue.name]
        assert parse_span(opens) <= glue.open_time <= parse_span(closes)
        assert parse_span(shortest) <= glue.clamp_time <= parse_span(longest)
        assert parse_span("24 h") <= glue.cure_time <= parse_span("7 days")
        assert least <= glue.coldest <= coldest


@pytest.mark.parametrize(
    ("written", "heats"),
    [
        ("Drying oil + wax", True),
        ("hardwax oil", True),
        ("Danish oil", True),
        ("Tung oil", True),
        ("polyurethane, water-based", False),
        ("shellac", False),
    ],
)
def test_oily_rags_are_known_for_their_fire(written: str, heats: bool) -> None:
    """Rags wet with drying oils heat themselves: a common warning of labels and fire services."""
    found = finish_named(written)
    assert found is not None
    assert found.rags_heat is heats


def test_finish_names_are_told_apart() -> None:
    drying, waxed = finish_named("drying oil"), finish_named("oil and wax")
    assert drying is FINISHES[0]
    assert waxed is FINISHES[1]
    assert finish_named("Milk paint") is None


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("western redcedar", "Cedar, western redcedar"),
        ("Western Red Cedar", "Cedar, western redcedar"),
        ("white oak", "Oak, white, commercial"),
        ("eastern white pine", "Pine, eastern white"),
        ("hard maple", "Maple, sugar (hard)"),
        ("Black walnut", "Walnut, black"),
        ("yellow poplar", "Yellow-poplar"),
        ("Douglas fir", "Douglas-fir, coast"),
    ],
)
def test_a_species_is_known_by_the_names_people_write(written: str, name: str) -> None:
    assert species_named(written) == name
    assert name in SPECIES


@pytest.mark.parametrize("written", ["pine", "maple", "oak", "cedar", "wood", ""])
def test_a_name_that_may_mean_several_species_means_none(written: str) -> None:
    assert species_named(written) is None
