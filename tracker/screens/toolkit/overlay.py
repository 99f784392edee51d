"""Overlays, which cover a screen and keep every touch from it."""

from __future__ import annotations

from typing import Any

from kivy.input.motionevent import MotionEvent
from kivy.uix.floatlayout import FloatLayout
from kivy.uix.widget import Widget

from tracker.screens.lazy import WithLooks


class Overlay(WithLooks, FloatLayout):
    """Fills the window. Nothing below it can be touched, and a touch beside its contents does nothing."""

    stays = False
    """True for an overlay that is independent of the screen below, and stays when another screen is shown."""
    takes_scans = False
    """True for an overlay that a scan continues; a scan closes any other that asks something."""

    def open_on(self, root: Any) -> None:
        """Cover everything in `root`, a layout that fills the window."""
        root.add_widget(self)

    def close(self) -> None:
        """Close the overlay."""
        if self.parent is not None:
            self.parent.remove_widget(self)

    def on_touch_down(self, touch: MotionEvent) -> bool:
        super().on_touch_down(touch)
        return True

    def on_touch_move(self, touch: MotionEvent) -> bool:
        super().on_touch_move(touch)
        return True

    def on_touch_up(self, touch: MotionEvent) -> bool:
        super().on_touch_up(touch)
        return True


def show_only(box: Any, *widgets: Widget) -> None:
    """Let a box contain just these widgets, and change nothing if it already does."""
    if list(reversed(box.children)) != list(widgets):
        box.clear_widgets()
        for widget in widgets:
            box.add_widget(widget)
