"""Visibility: the contrast of every word as drawn, and marks that differ without their colour."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from kit import boxes, walk
from kit.driver import Driver
from kit.story import StoryClock

from tracker.screens.toolkit.marks import ToneShape
from tracker.screens.toolkit.palette import TONES
from tracker.tour.guide import Guide
from tracker.tour.headless import HandTime
from tracker.tour.itinerary import itinerary
from tracker.tour.looks import SCREEN_SIZES, Look, app_with

pytestmark = pytest.mark.pixels


@pytest.mark.parametrize("theme", ["day", "shop"])
def test_every_word_stands_out_as_drawn(
    theme: str,
    run_app: Callable[..., Driver],
    hand_time: HandTime,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """7:1 (WCAG 2.2), |Lc| of 75 (APCA), and 4.5:1 with 2,000 lx on a screen of 400 nits that mirrors 4 % of them."""
    monkeypatch.setenv("HOME", str(tmp_path))
    look = Look("1280x800", theme)
    width, height, dpi = SCREEN_SIZES[look.screen]
    app = app_with(look, tmp_path / "kerfcard", StoryClock(hand_time))
    driver = run_app(app, (width, height), dpi)
    wrong = []
    for name in itinerary(Guide(app, driver)):
        driver.run_for(1.0, 0.2)
        picture = driver.picture()
        wrong += [f"{name}: {each}" for each in walk.faint_text(app.root, picture)]
    assert not wrong, "\n".join(wrong)
    errors = tmp_path / "kerfcard" / "errors.log"
    assert not errors.exists(), errors.read_text()


@pytest.mark.parametrize("theme", ["day", "shop"])
def test_marks_differ_without_their_colour(
    theme: str, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    """If any two shapes are laid on each other in grey, less than 0.6 of their ink is common to both."""
    from kivy.uix.boxlayout import BoxLayout

    app = app_with(Look("1920x1200", theme), tmp_path, StoryClock(hand_time))
    driver = run_app(app)
    row = BoxLayout()
    shapes = {tone: ToneShape(tone=tone) for tone in TONES}
    for shape in shapes.values():
        row.add_widget(shape)
    app.root.clear_widgets()
    app.root.add_widget(row)
    driver.run_for(0.3, 0.1)
    grey = np.asarray(driver.picture().convert("L"), dtype=float)
    inks = {}
    for tone, shape in shapes.items():
        box = boxes.box_of(shape)
        side = min(box.width, box.height)
        middle, foot = (box.left + box.right) / 2, grey.shape[0] - (box.low + box.high) / 2
        patch = grey[int(foot - side / 2) : int(foot + side / 2), int(middle - side / 2) : int(middle + side / 2)]
        inks[tone] = abs(patch - patch[0, 0]) > 40
        assert 0.02 < inks[tone].mean() < 0.9, f"{tone} is drawn"
    for one, two in combinations(TONES, 2):
        both, either = (inks[one] & inks[two]).sum(), (inks[one] | inks[two]).sum()
        assert both / either < 0.6, (one, two, both / either)
