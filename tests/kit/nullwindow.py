"""A Kivy window that draws nothing: no SDL video, no libGL, no system package. Layout, kv, text sizes, touches, keys
and timers are real. Call `install` before anything else imports kivy.core.window."""

from __future__ import annotations

import logging
import sys
from typing import Any


class _Shown:
    """What Kivy asks of SDL about the keyboard."""

    def __init__(self) -> None:
        self.shown = True

    def is_keyboard_shown(self) -> bool:
        return self.shown

    def show_keyboard(self, *_: object) -> None:
        self.shown = True


def install(size: tuple[int, int]) -> Any:
    quiet = logging.getLogger("kivy")

    def mute(_record: logging.LogRecord) -> bool:
        return False

    quiet.addFilter(mute)  # "no window provider"
    try:
        import kivy.core.window as core_window
    finally:
        quiet.removeFilter(mute)

    class NullWindow(core_window.WindowBase):
        gl_backends_allowed = ("mock",)
        managed_textinput = True
        _win = _Shown()

        def create_window(self, *args: object) -> None:
            if not self.initialized:  # Kivy calls this for every new size, too
                self._size = list(size)
            quiet.addFilter(mute)  # the mock can't compile shaders
            try:
                super().create_window(*args)
            finally:
                quiet.removeFilter(mute)

        def _get_gl_size(self) -> list[int]:
            return list(self._size)

        def request_keyboard(self, *args: object, **kwargs: object) -> object:
            keyboard = super().request_keyboard(*args, **kwargs)
            self._win.shown = True
            return keyboard

        def release_keyboard(self, *args: object) -> object:
            self._win.shown = False
            return super().release_keyboard(*args)

        def _nothing(self, *_: object, **__: object) -> None: ...

        flip = set_title = set_icon = close = mainloop = _nothing

    window = core_window.Window = NullWindow()
    for module in list(sys.modules.values()):
        name = getattr(module, "__name__", "")
        if name.startswith(("kivy", "tracker")) and "Window" in vars(module) and vars(module)["Window"] is None:
            module.Window = window
    return window
