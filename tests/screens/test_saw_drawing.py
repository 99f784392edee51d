"""The drawing of a cut on the screen: all its words at every size, true angles, visible waste."""

from __future__ import annotations

from itertools import combinations
from math import atan2, degrees
from pathlib import Path
from typing import Any

import pytest
from kit.colour import contrast

from tracker.cards.piece.saw_view import SawView, saw_view
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import cuts_of
from tracker.screens.drawing.saw_layout import Room, lay_out_saw, turned
from tracker.screens.toolkit.palette import PALETTES
from tracker.shop import read_build
from tracker.work.run import start_run

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.toml"))
SIZES = {"lying": (115, 40), "upright": (124, 33), "large": (124, 62), "over the screen": (205, 60)}
"""Millimetres: the room on the card in landscape and portrait, the most it may have, and the room on the page with
every cut."""


def every_view() -> list[SawView]:
    """Every pass of every sample, one piece of each kind."""
    views = []
    for file in SAMPLES:
        build = read_build(file).build
        assert build is not None
        run = start_run(build)
        floor = Floor(run, None, None)  # type: ignore[arg-type]
        kinds = {(item.id, item.hand): item for item in run.pieces}
        for item in kinds.values():
            drawn = (saw_view(floor, item, each) for each in cuts_of(floor, item).passes)
            views += [view for view in drawn if view is not None]
    return views


def drawn(run_app: Any) -> Any:
    from kit.one_widget import app_of

    from tracker.screens.drawing.saw import SawDrawing

    return run_app(app_of(lambda: SawDrawing(size_hint=(None, None))))


def test_it_says_face_edge_ends_and_stop_at_every_size(run_app: Any) -> None:
    """In less room no word is dropped or cut off, and no two words overlap."""
    driver = drawn(run_app)
    widget = driver.app.root
    views = every_view()
    assert len(views) > 30
    for name, (width, height) in SIZES.items():
        widget.size = (width * widget.mm, height * widget.mm)
        for view in views:
            widget.view = view
            driver.frames(1)
            said = " ".join(text for text, *_ in widget.drawn_text)
            about = (name, view.cut.words, said)
            assert view.face in said, about
            assert "front view" in said or view.laid is None, about
            if view.laid is None:
                assert "rip fence" in said, about
            else:
                assert view.cut.fence in said, about
                assert "end A" in said, about
                assert "end B" in said, about
                assert ("stop block" in said) == (view.cut.stop is not None), about
            assert not widget.truncated, about
            boxes = [box for _, box, _, _ in widget.drawn_text]
            for x, y, wide, high in boxes:
                assert widget.x - 1 <= x, about
                assert x + wide <= widget.right + 1, about
                assert widget.y - 1 <= y, about
                assert y + high <= widget.top + 1, about
            for one, two in combinations(boxes, 2):
                apart = (
                    one[0] + one[2] <= two[0] + 1
                    or two[0] + two[2] <= one[0] + 1
                    or one[1] + one[3] <= two[1] + 1
                    or two[1] + two[3] <= one[1] + 1
                )
                assert apart, about
            caps = [cap for _, _, cap, _ in widget.drawn_text]
            assert min(caps) >= 4.7, "16′ at 1 m"


@pytest.mark.parametrize("room", [(80, 20), (90, 40), (200, 60)])
def test_the_blade_is_drawn_at_its_swing(room: tuple[int, int]) -> None:
    """The angle of the line on the screen, as by a protractor."""
    for view in every_view():
        if view.laid is None:
            continue
        layout = lay_out_saw(view.laid, Room(10, 20, room[0] * 9, room[1] * 9), 30)
        (x, y), (x2, y2) = (layout.place(point) for point in view.laid.line)
        from_square = degrees(atan2(x - x2, y - y2))
        way = {"left": 1, "right": -1, "none": 0}[view.cut.swing]
        assert from_square == pytest.approx(way * view.cut.swing_deg, abs=0.01), "the top to the right: swung left"
        assert not turned(view.laid)


@pytest.mark.pixels
@pytest.mark.parametrize("light", list(PALETTES))
def test_waste_is_seen_beside_what_stays(run_app: Any, light: str) -> None:
    """Pixels of both sides of the cut: their mean contrast is 3:1 or more, and so is the line's on the wood."""
    driver = drawn(run_app)
    driver.app.theme.name = light
    widget = driver.app.root
    widget.size = (124 * widget.mm, 62 * widget.mm)
    palette = PALETTES[light]
    view = next(view for view in every_view() if view.cut.end is None)
    widget.view = view
    driver.frames(2)
    picture = driver.picture()
    counts = {colour: count for count, colour in picture.getcolors(1 << 24)}

    def seen(name: str) -> tuple[int, int, int]:
        red, green, blue, _ = palette.colour(name)
        colour = (round(red * 255), round(green * 255), round(blue * 255))
        assert counts.get(colour, 0) > 200, f"{name} is drawn"
        return colour

    def of(colour: tuple[int, int, int]) -> tuple[float, float, float]:
        return (colour[0] / 255, colour[1] / 255, colour[2] / 255)

    for one, two in (("waste", "wood"), ("accent", "wood"), ("accent", "kerf"), ("hatch", "waste")):
        assert contrast(of(seen(one)), of(seen(two))) >= 3, (one, two)
