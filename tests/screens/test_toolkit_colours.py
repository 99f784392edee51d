"""Both palettes meet the needs of eyes: contrast, glare, and three kinds of colour sight. Plain numbers, no window."""

from __future__ import annotations

from itertools import combinations

import pytest
from kit.colour import SIGHT, apca, contrast, contrast_in_glare, difference

from tracker.screens.toolkit.palette import PALETTES, TONES, Palette

THEMES = pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
TEXT_ON = [
    *((ink, ground) for ink in ("ink", "soft") for ground in ("ground", "sunk", "card", "raised", "chosen")),
    ("accent_ink", "accent"),
    ("accent_ink", "pressed"),
]


def test_the_measures_themselves() -> None:
    black, white = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
    assert contrast(black, white) == pytest.approx(21), "WCAG 2.2: black on white"
    assert contrast((119 / 255,) * 3, white) == pytest.approx(4.48, abs=0.01), "WCAG: #777 just fails 4.5"
    assert difference(white, black) == pytest.approx(100, abs=0.01), "CIE L* from 0 to 100"
    red, green = (1.0, 0.0, 0.0), (0.0, 0.5, 0.0)
    assert difference(red, green, "deutan") < difference(red, green) / 2, "red and green move together"
    for matrix in SIGHT.values():
        assert matrix.sum(axis=1) == pytest.approx([1, 1, 1], abs=1e-5), "Machado 2009: white stays white"


@THEMES
@pytest.mark.parametrize(("ink", "ground"), TEXT_ON)
def test_text_reads(palette: Palette, ink: str, ground: str) -> None:
    pair = palette.colour(ink), palette.colour(ground)
    assert contrast(*pair) >= 7
    assert contrast_in_glare(*pair) >= 4.5
    assert apca(*pair) >= 75


@THEMES
def test_what_does_nothing_now_looks_so_and_is_still_read(palette: Palette) -> None:
    """A disabled plate is sunk and has no edge. 4.5:1 is what WCAG 2.2 (1.4.3) asks of text that is live."""
    faint, sunk = palette.colour("faint"), palette.colour("sunk")
    live = contrast(palette.colour("ink"), palette.colour("raised"))
    assert contrast(faint, sunk) >= 4.5
    assert contrast_in_glare(faint, sunk) >= 4.5
    assert contrast(faint, sunk) < live / 2
    assert difference(sunk, palette.colour("raised")) > 5, "the plate, too"


@THEMES
def test_what_is_chosen_stands_out(palette: Palette) -> None:
    """By its edge, in the accent and twice as broad, and by its plate: never by the plate alone."""
    accent, edge = palette.colour("accent"), palette.colour("edge")
    for ground in ("chosen", "sunk", "card", "ground"):
        assert contrast(accent, palette.colour(ground)) >= 3
        assert contrast_in_glare(accent, palette.colour(ground)) >= 3
    assert contrast(accent, edge) >= 1.6
    assert all(difference(accent, edge, sight) >= 22 for sight in SIGHT)


@THEMES
@pytest.mark.parametrize("ground", ["ground", "sunk", "card", "raised", "chosen"])
def test_marks_and_edges_stand_out(palette: Palette, ground: str) -> None:
    for name in (*TONES, "accent", "edge"):
        assert contrast(palette.colour(name), palette.colour(ground)) >= 3, name
        assert contrast_in_glare(palette.colour(name), palette.colour(ground)) >= 3, name


@THEMES
@pytest.mark.parametrize("sight", SIGHT)
def test_tones_differ_for_every_kind_of_sight(palette: Palette, sight: str) -> None:
    for one, two in combinations(TONES, 2):
        assert difference(palette.colour(one), palette.colour(two), sight) >= 22, (one, two)


@THEMES
def test_what_is_done_and_what_is_to_do_differ_on_wood(palette: Palette) -> None:
    """A line to cut to lies on the wood that stays and on the kerf, never on the waste itself."""
    for one, two in (("accent", "wood"), ("accent", "kerf"), ("waste", "wood"), ("hatch", "waste"), ("bark", "wood")):
        assert contrast(palette.colour(one), palette.colour(two)) >= 3, (one, two)
    assert contrast(palette.colour("bark"), palette.colour("card")) >= 3
    assert contrast(palette.colour("wood_ink"), palette.colour("wood")) >= 3
