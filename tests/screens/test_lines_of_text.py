"""Every line of a text is drawn in a box as high as its lines, on every screen."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from kit.driver import Driver
from kit.one_widget import app_of
from kivy.uix.widget import Widget

from tracker.screens.toolkit.text import Text, count_lines, held, lines_height
from tracker.screens.toolkit.theme import SCALE, font_size

CAUTION = "Clamps off and glue cured first. Two people to lift; keep fingers clear."


@pytest.mark.parametrize("dpi", [133, 149, 160, 224, 240, 299, 320])
def test_no_line_is_left_out_of_a_box_as_high_as_its_lines(dpi: int, run_app: Callable[..., Driver]) -> None:
    """At 299 dots to the inch the box of a caution was a point too low, and Kivy left out its last line, `clear.`,
    as it does with what is aligned to the top."""
    run_app(app_of(Widget))
    for name in ("fine", "note", "task", "lead"):
        size = font_size(SCALE[name], dpi / 25.4)
        width = 9 * size
        lines = count_lines(CAUTION, size, width)
        text = Text(text=CAUTION, lines=lines, valign="top")
        text.font_size = size  # the rule of kv gives it the size of a note
        text.size = (width, lines_height(lines, size))
        text.text_size = text.size
        text.texture_update()
        drawn = [" ".join(word.text for word in line.words) for line in text._label._cached_lines]
        assert lines > 2
        assert not text.truncated
        assert " ".join(" ".join(drawn).split()) == " ".join(held(CAUTION).split()), (name, dpi)
