"""A glance at the card of every kind of joinery: the mortise, the groove, the bore and the others of the gallery."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kit import glance
from kit.driver import Driver
from kit.story import Maker

from tests.bench.feature_gallery import ROWS, build_text
from tests.screens.test_glance import LOOKS, at_work, faults
from tracker.screens.drawing.features import FeatureDrawing
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.looks import SCREEN_SIZES, Look

DRAWN = 0.12
"""The least share of the screen for the drawing of a side, which is as long and as thin as the wood is."""


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name.replace(" ", "-"))
def test_every_kind_of_joinery_is_read_at_a_glance(
    look: Look, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    maker = at_work(run_app, hand_time, tmp_path, look)
    maker.go("scan")
    (maker.app.shop.library.folder / "gallery.toml").write_text(build_text([]), encoding="utf-8")
    maker.open("Gallery")
    guide, wrong = Guide(maker.app, maker.driver), []
    for name in ROWS:
        item = maker.app.shop.run.items[f"{name}:1"]
        step = next(step for step in item.route if step.operation not in ("cut", "trim", "rip"))
        guide.work(item.key, until=step.id)
        maker.app.show_item(item.key, step.id)
        maker.driver.run_for(0.6, 0.2)
        found = (each for each in faults(maker) if "Next: " not in each)  # where the next part has a long name
        wrong += [f"{name}, {step.id}: {each}" for each in (*found, *small_drawing(maker, look))]
    assert not wrong, "\n".join(wrong)


def small_drawing(maker: Maker, look: Look) -> Iterator[str]:
    width, height, _ = SCREEN_SIZES[look.screen]
    (view,) = glance.shown(maker.app.root, FeatureDrawing)
    ink = glance.ink_of(view)
    drawn = ink.width * ink.height / (width * height) if ink else 0.0
    if drawn < DRAWN:
        room = view.width * view.height / (width * height)
        yield f"the drawing covers {drawn:.1%} of the screen, of room it has {room:.1%}"
