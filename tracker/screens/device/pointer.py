"""The mouse, and a finger that X reports as the mouse, with the times of the X server.

Kivy stamps a contact when it takes it from the queue, once for each frame. On a slow display a tap's press and release
wait there for the same frame, and the tap seems to have taken no time at all, like chips or a sleeve. X reports for
each event when it happened, in milliseconds, and SDL shows X's events on request (SDL_SYSWMEVENT).
"""

from __future__ import annotations

import ctypes
import time
from collections import deque
from typing import Any

from kivy.input.factory import MotionEventFactory
from kivy.input.providers.mouse import MouseMotionEventProvider

from tracker.screens.device import sdl
from tracker.screens.display import POINTER
from tracker.screens.toolkit.touch import WAITED

_SYSTEM_EVENT, _BUTTON_DOWN, _BUTTON_UP = 0x201, 0x401, 0x402
"""SDL_SYSWMEVENT, SDL_MOUSEBUTTONDOWN, SDL_MOUSEBUTTONUP."""
_ON_X11 = 2
"""SDL_SYSWM_X11."""
_X_BUTTONS = (4, 5)
"""ButtonPress, ButtonRelease."""
_X_GENERIC, _X_TOUCHES = 35, (4, 5, 18, 20)
"""GenericEvent; and XI_ButtonPress, XI_ButtonRelease, XI_TouchBegin, XI_TouchEnd of the X Input Extension."""
_ROUND = 1 << 32
"""X counts its milliseconds in 32 bits, and wraps after 50 days."""
_REMEMBERED = 64


class ButtonTimes:
    """When the pointer's button went down and up, in milliseconds of the X server.

    SDL calls `_seen` for each event as it takes it from X: first X's own event, then the button event made from it.
    """

    def __init__(self) -> None:
        self._times: deque[tuple[bool, int, int, int | None]] = deque(maxlen=_REMEMBERED)
        self._latest: int | None = None
        self._callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p)(self._seen)

    def start(self) -> None:
        """Watch SDL's events, if SDL is available."""
        library = sdl.library()
        if library is not None and ctypes.sizeof(ctypes.c_void_p) == 8:
            library.SDL_EventState(_SYSTEM_EVENT, 1)
            library.SDL_AddEventWatch(self._callback, None)

    def stop(self) -> None:
        """Stop watching."""
        library = sdl.library()
        if library is not None:
            library.SDL_DelEventWatch(self._callback, None)

    def take(self, down: bool, x: float, y: float) -> int | None:
        """The time when the button went down (or up) at this place; None where unknown. Each time is returned once, in
        order."""
        while self._times:
            kind, at_x, at_y, when = self._times.popleft()
            if (kind, at_x, at_y) == (down, round(x), round(y)):
                return when
        return None

    def _seen(self, _data: int, event: int) -> int:
        kind = ctypes.c_uint32.from_address(event).value
        if kind == _SYSTEM_EVENT:
            # SDL_SysWMEvent: type, timestamp, pointer to SDL_SysWMmsg: version, subsystem, then the XEvent itself.
            message = ctypes.c_void_p.from_address(event + 8).value
            if message and ctypes.c_int.from_address(message + 4).value == _ON_X11:
                self._latest = x_event_time(message + 8)
        elif kind in (_BUTTON_DOWN, _BUTTON_UP):
            x, y = (ctypes.c_int32.from_address(event + offset).value for offset in (20, 24))
            self._times.append((kind == _BUTTON_DOWN, x, y, self._latest))
            self._latest = None
        return 1


def x_event_time(event: int) -> int | None:
    """The time of the X event at this address (Xlib.h, XInput2.h; 64 bits), if it is one of a button or a finger."""
    kind = ctypes.c_int.from_address(event).value
    if kind in _X_BUTTONS:
        return ctypes.c_ulong.from_address(event + 56).value
    if kind == _X_GENERIC and ctypes.c_int.from_address(event + 36).value in _X_TOUCHES:
        data = ctypes.c_void_p.from_address(event + 48).value
        return ctypes.c_ulong.from_address(data + 40).value if data else None
    return None


class PointerProvider(MouseMotionEventProvider):
    """Kivy's mouse with the real durations of contacts, however long they waited for a frame."""

    def __init__(self, device: str, args: str) -> None:
        super().__init__(device, args)
        self.times = ButtonTimes()
        self._now: int | None = None
        self._least_lag: float | None = None
        """Milliseconds by which our clock is ahead of X's for an event that hasn't waited."""

    def start(self) -> None:
        super().start()
        self.times.start()

    def stop(self) -> None:
        super().stop()
        self.times.stop()

    def on_mouse_press(self, win: Any, x: float, y: float, button: str, modifiers: Any) -> None:
        self._now = self.times.take(True, x, y)
        super().on_mouse_press(win, x, y, button, modifiers)

    def on_mouse_release(self, win: Any, x: float, y: float, button: str, modifiers: Any) -> None:
        self._now = self.times.take(False, x, y)
        super().on_mouse_release(win, x, y, button, modifiers)

    def create_touch(self, *args: Any) -> Any:
        touch = super().create_touch(*args)
        if self._now is not None:
            touch.ud["kerfcard_began"] = self._now
            touch.ud[WAITED] = self._waited(self._now)
        return touch

    def remove_touch(self, win: Any, touch: Any) -> None:
        super().remove_touch(win, touch)
        began = touch.ud.get("kerfcard_began")
        if began is not None and self._now is not None:
            touch.time_end = touch.time_start + (self._now - began) % _ROUND / 1000

    def _waited(self, when: int) -> float:
        """Seconds that an event of this time has waited: its lag beyond the least lag ever seen."""
        lag = time.monotonic() * 1000 - when
        if self._least_lag is None or lag < self._least_lag or lag - self._least_lag > _ROUND / 2:
            self._least_lag = lag
        return (lag - self._least_lag) / 1000


def register() -> None:
    """Register the provider under the name that `tracker.screens.display` gives it."""
    MotionEventFactory.register(POINTER, PointerProvider)
