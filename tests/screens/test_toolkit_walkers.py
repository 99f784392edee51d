"""Each walker finds the fault that is planted for it, and nothing on a page without faults."""

from __future__ import annotations

from typing import Any

import pytest
from kit.one_widget import app_of


@pytest.fixture
def page(run_app):
    """`page(widget, ...)` shows widgets at fixed places and returns the driver."""

    def show(*widgets: Any) -> Any:
        from kivy.uix.floatlayout import FloatLayout

        def make() -> Any:
            layout = FloatLayout()
            for widget in widgets:
                widget.size_hint = (None, None)
                layout.add_widget(widget)
            return layout

        return run_app(app_of(make))

    return show


def late(page: Any, make: Any) -> Any:
    """Widgets can only be made while an app runs: show an empty page, then fill it."""
    driver = page()
    for widget in make():
        driver.app.root.add_widget(widget)
    driver.frames(3)
    return driver


def button(text: str, x: float, y: float, width: float = 400, height: float = 250) -> Any:
    from tracker.screens.toolkit.widgets import SmallButton

    made = SmallButton(text=text, size_hint=(None, None), pos=(x, y), width=width)
    made.height = height  # its own rule sets it first
    return made


def label(text: str, x: float, y: float, width: float = 600, height: float = 80, **more: Any) -> Any:
    from tracker.screens.toolkit.widgets import Text

    return Text(text=text, size_hint=(None, None), pos=(x, y), size=(width, height), **more)


def test_a_page_that_is_well(page):
    from kit.walk import ALL_RULES

    driver = late(page, lambda: [button("cut", 50, 50), button("drill", 500, 50), label("Leg 2 of 4", 50, 500)])
    assert driver.judge(*ALL_RULES) == []


def test_a_small_target(page):
    from kit.walk import small_targets

    driver = late(page, lambda: [button("tiny", 50, 50, height=100)])
    assert driver.judge(small_targets) == ["SmallButton “tiny” is 45.4 × 11.3 mm; it needs 15"]


def test_targets_too_near(page):
    from kit.walk import close_targets

    driver = late(page, lambda: [button("cut", 50, 50), button("drill", 460, 50)])
    assert driver.judge(close_targets) == ["SmallButton “cut” and SmallButton “drill” are 1.1 mm apart; they need 3"]


def test_destroying_too_near(page):
    from kit.walk import close_targets

    from tracker.screens.toolkit.widgets import HoldButton

    def make() -> list[Any]:
        return [
            button("cut", 50, 50),
            HoldButton(text="Bin it", size_hint=(None, None), pos=(490, 50), size=(600, 300)),
        ]

    assert "they need 6" in late(page, make).judge(close_targets)[0]


def test_small_text(page):
    from kit.walk import small_text

    driver = late(page, lambda: [label("fine print", 50, 50)])
    driver.app.root.children[0].font_size = 30
    assert driver.judge(small_text) == ["“fine print” is 2.41 mm high"]


def test_text_cut_short(page):
    from kit.walk import truncated

    driver = late(page, lambda: [label("Lower back stretcher of the long bench", 50, 50, width=300)])
    (wrong,) = driver.judge(truncated)
    assert "is cut short" in wrong
    assert driver.app.root.children[0].shown.endswith("…")


def test_text_cut_off_below(page):
    from kit.walk import truncated

    driver = late(page, lambda: [label("Sanding", 50, 50, height=40)])
    assert "is cut short" in driver.judge(truncated)[0]


def test_a_word_broken(page):
    from kit.walk import truncated

    driver = late(page, lambda: [label("Doppelschwalbenschwanzverbindung", 50, 50, width=300, height=400, lines=4)])
    assert driver.judge(truncated) == ["a word of “Doppelschwalbenschwanzverbindung” is broken"]


def test_a_plain_label_larger_than_its_box(page):
    from kit.walk import truncated
    from kivy.uix.label import Label

    def make() -> list[Any]:
        return [Label(text="a plain label", font_size=80, size_hint=(None, None), pos=(50, 50), size=(200, 100))]

    assert late(page, make).judge(truncated) == ["“a plain label” is larger than its box"]


def test_texts_on_each_other(page):
    from kit.walk import overlaps

    driver = late(page, lambda: [label("Leg 2 of 4", 50, 50), label("23 5⁄8″", 120, 60)])
    assert "overlap by" in driver.judge(overlaps)[0]


def test_targets_on_each_other(page):
    from kit.walk import overlaps

    driver = late(page, lambda: [button("cut", 50, 50), button("drill", 300, 50)])
    assert "SmallButton “cut” and SmallButton “drill” lie on each other" in driver.judge(overlaps)


def test_out_of_the_window(page):
    from kit.walk import off_screen

    driver = late(page, lambda: [button("cut", 1700, 50)])
    assert driver.judge(off_screen)[0].startswith("SmallButton “cut” reaches")


def test_a_glyph_the_font_lacks(page):
    from kit.walk import missing_glyphs

    driver = late(page, lambda: [label("cut → drill", 50, 50)])
    assert driver.judge(missing_glyphs) == ["Roboto lacks → of “cut → drill”"]


@pytest.mark.pixels
def test_faint_text(page):
    from kit.walk import faint_text

    driver = late(page, lambda: [label("hard to see", 50, 50, color=(0.3, 0.3, 0.3, 1))])
    picture = driver.picture()
    assert "has a contrast of" in driver.judge(lambda root: faint_text(root, picture))[0]


def test_what_is_hidden_is_not_judged(page):
    from kit.walk import ALL_RULES

    driver = late(page, lambda: [button("tiny", 50, 50, height=100)])
    driver.app.root.opacity = 0
    assert driver.judge(*ALL_RULES) == []


def test_what_lies_under_a_sheet_is_not_judged(page):
    from kit.walk import ALL_RULES

    from tracker.screens.toolkit.widgets import Option, Panel

    driver = late(page, lambda: [button("tiny", 50, 50, height=100)])
    Panel(title="Where are you?", options=[Option(key=1, text="Saw")]).open_on(driver.app.root)
    assert driver.judge(*ALL_RULES) == []


def test_finding_by_what_it_says(page):
    driver = late(page, lambda: [button("cut", 50, 50), label("Leg 2 of 4", 50, 500)])
    assert type(driver.find_text("cut")).__name__ == "SmallButton"
    assert driver.texts() == ["cut", "Leg 2 of 4"]
    with pytest.raises(AssertionError, match="0 widgets say"):
        driver.find_text("drill")
