"""What lies over a screen and keeps every touch from it."""

from __future__ import annotations

from typing import Any

from kivy.input.motionevent import MotionEvent
from kivy.uix.floatlayout import FloatLayout
from kivy.uix.widget import Widget

from tracker.screens.lazy import WithLooks


class Overlay(WithLooks, FloatLayout):
    """Fills the window. Nothing below it is touched, and a touch beside what lies on it does nothing."""

    stays = False
    """True for what has nothing to do with the screen below, and stays when another one is shown."""
    takes_scans = False
    """True for what a scan goes on with; anything else that asks something is closed by one."""

    def open_on(self, root: Any) -> None:
        """Over everything in `root`, a layout that fills the window."""
        root.add_widget(self)

    def close(self) -> None:
        """Back to what was below."""
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
    """Let a box hold just these, and touch nothing where it does already."""
    if list(reversed(box.children)) != list(widgets):
        box.clear_widgets()
        for widget in widgets:
            box.add_widget(widget)
