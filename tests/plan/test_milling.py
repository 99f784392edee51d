"""The settings of the machines that mill rough wood, in the order of work, by hand."""

from __future__ import annotations

import pytest

from tests.bench.mixed_boards import HEAD
from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.measure import millimetres
from tracker.plan.milling import milling, mills, piece_by_piece, setting_words, turn_of

READY = '[woods.ash]\nspecies = "white ash"\nthickness = 20\nwidth = 90\nlengths = ["2 m"]\n'


def part(id_: str, quantity: int, thickness: int, width: int, more: str = "", wood: str = "oak") -> str:
    sizes = f"length = 500\nthickness = {thickness}\nwidth = {width}\n"
    return f'[[parts]]\nid = "{id_}"\nquantity = {quantity}\nwood = "{wood}"\n{sizes}{more}\n'


def built(*parts: str) -> Build:
    loaded = load_build(HEAD + READY + "".join(parts))
    assert loaded.build is not None, loaded.problems
    return loaded.build


PARTS = (
    part("leg", 2, 20, 60),
    part("top", 1, 15, 80),
    part("slat", 1, 20, 80, 'route = ["cut", "plane"]'),
    part("ready", 3, 20, 70, wood="ash"),
)


def test_each_machine_goes_from_thick_to_thin_and_from_wide_to_narrow() -> None:
    """What is bought planed is only ripped: it is no milling. A route that is written out has only what it says."""
    found = [(each.operation, each.setting, each.pieces) for each in milling(built(*PARTS))]
    assert found == [
        ("joint", None, (("leg", 1), ("leg", 2), ("top", 1))),
        ("plane", millimetres(20), (("leg", 1), ("leg", 2), ("slat", 1))),
        ("plane", millimetres(15), (("top", 1),)),
        ("rip", millimetres(80), (("top", 1),)),
        ("rip", millimetres(60), (("leg", 1), ("leg", 2))),
    ]


def test_part_after_part_the_machines_are_set_more_often() -> None:
    """Plane 20, rip 60, plane 15, rip 80, plane 20, rip 70: six settings instead of four. A jointer has none."""
    assert piece_by_piece(built(*PARTS)) == 6
    assert piece_by_piece(built(PARTS[0], part("other", 1, 20, 60))) == 2, "the same numbers stay"


def test_what_a_route_that_is_not_written_has() -> None:
    build = built(*PARTS)
    of = {
        each.id: [op for op in ("joint", "resaw", "plane", "rip") if mills(build, each, op)]  # type: ignore[arg-type]
        for each in build.parts
    }
    assert of == {
        "leg": ["joint", "plane", "rip"],
        "top": ["joint", "plane", "rip"],
        "slat": ["plane"],
        "ready": ["rip"],
    }


@pytest.mark.parametrize(
    ("operation", "words", "turn"),
    [("joint", "face, then edge", (0, 0.0)), ("plane", "to 20 mm", (2, -20.0)), ("rip", "fence 60 mm", (3, -60.0))],
)
def test_the_setting_in_words_and_its_turn(operation: str, words: str, turn: tuple[int, float]) -> None:
    build = built(*PARTS)
    leg = build.part("leg")
    assert setting_words(build, leg, operation).replace("\u2009", " ").replace("\u00a0", " ") == words
    assert turn_of(leg, operation) == turn
