"""What counts as a tap beside a saw: a gloved finger does, sawdust and sleeves don't.

`GhostGuard` marks contacts that can't be a finger's; `Tappable` lets a widget respond to a tap once, at release inside
it; `Holdable` must be held. Sizes and times are those of the goals in DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kivy.base import EventLoop
from kivy.clock import Clock
from kivy.event import EventDispatcher
from kivy.input.motionevent import MotionEvent
from kivy.properties import BooleanProperty, NumericProperty

SHORTEST_CONTACT = 0.030
LOCK = 0.300
QUIET_AFTER_CHANGE = 0.250
CROWD = 3
"""This many contacts at once are a sleeve, a palm or chips, not a finger."""
SHOWN_AT_LEAST = 0.1
HOLD = 1.0
WAITED = "kerfcard_waited"
"""A key in a contact's `ud`: seconds between the finger's landing and the frame that took it, where the input reports
that."""
_GHOST = "kerfcard_ghost"


class GhostGuard:
    """One of Kivy's input post-processors: every contact passes through it before any widget gets it."""

    def __init__(self) -> None:
        self._down: dict[object, MotionEvent] = {}
        self._quiet_until = float("-inf")

    def attach(self) -> None:
        EventLoop.add_postproc_module(self)

    def detach(self) -> None:
        EventLoop.remove_postproc_module(self)
        self._down.clear()

    def screen_changed(self) -> None:
        """What lands in the next quarter of a second was meant for the screen before, and so was what landed before the
        new one was drawn, which takes longer on a slow display."""
        self._be_quiet()
        Clock.schedule_once(self._be_quiet, 0)

    def moved_beneath(self) -> None:
        """What a finger is on, or about to touch, has changed without that person's doing: contacts that are down now
        don't count."""
        for contact in self._down.values():
            contact.ud[_GHOST] = True
        self.screen_changed()

    def _be_quiet(self, *_: object) -> None:
        self._quiet_until = Clock.time() + QUIET_AFTER_CHANGE

    def process(self, events: Iterable[tuple[str, MotionEvent]]) -> list[tuple[str, MotionEvent]]:
        """Kivy's hook: marks contacts and passes every event on, so that scrolling still gets their ends."""
        passed = list(events)
        for kind, contact in passed:
            if not contact.is_touch:
                continue
            if kind == "begin":
                self._down[contact.uid] = contact
                if Clock.time() - contact.ud.get(WAITED, 0.0) < self._quiet_until:
                    contact.ud[_GHOST] = True
                if len(self._down) >= CROWD:
                    for each in self._down.values():
                        each.ud[_GHOST] = True
            elif kind == "end":
                self._down.pop(contact.uid, None)
        return passed


def is_ghost(contact: MotionEvent) -> bool:
    """Whether the guard has marked it, or it ended sooner than a finger can."""
    if contact.ud.get(_GHOST):
        return True
    return contact.time_end > 0 and contact.time_end - contact.time_start < SHORTEST_CONTACT


class Tappable(EventDispatcher):
    """A mixin before a widget class. `on_tap` at release inside; `on_refused` when it is tapped while disabled.

    `pressed` follows the finger and stays for a tenth of a second, so that the shortest tap is visible. After a tap the
    widget ignores touches for 0.3 s (a key of a keypad doesn't).
    """

    __events__: tuple[str, ...] = ("on_tap", "on_refused")
    pressed = BooleanProperty(False)
    lock = NumericProperty(LOCK)
    """Seconds without response after a tap."""

    def __init__(self, **kwargs: Any) -> None:
        self._deaf_until = float("-inf")
        self._pressed_at = 0.0
        self._let_go: Any = None
        self._contact: MotionEvent | None = None
        super().__init__(**kwargs)

    def on_touch_down(self, touch: MotionEvent) -> bool:
        if not self.collide_point(*touch.pos):
            return False
        if touch.is_mouse_scrolling:
            return False
        if is_ghost(touch) or Clock.time() < self._deaf_until:
            return True
        touch.grab(self)
        self._contact = touch
        if not self.disabled:
            self._press()
        return True

    def on_touch_move(self, touch: MotionEvent) -> bool:
        if touch.grab_current is not self:
            return False
        if self.pressed and not self.collide_point(*touch.pos):
            self.pressed = False
        return True

    def on_touch_up(self, touch: MotionEvent) -> bool:
        if touch.grab_current is not self:
            return False
        touch.ungrab(self)
        self._contact = None
        self._release()
        if is_ghost(touch) or not self.collide_point(*touch.pos):
            return True
        self._deaf_until = Clock.time() + self.lock
        self.dispatch("on_refused" if self.disabled else "on_tap")
        return True

    def _press(self) -> None:
        if self._let_go is not None:
            self._let_go.cancel()
        self.pressed, self._pressed_at = True, Clock.time()

    def _release(self) -> None:
        left = SHOWN_AT_LEAST - (Clock.time() - self._pressed_at)
        if self.pressed and left > 0:
            self._let_go = Clock.schedule_once(self._unpress, left)
        else:
            self.pressed = False

    def _unpress(self, _seconds: float) -> None:
        self.pressed = False

    def on_tap(self) -> None: ...

    def on_refused(self) -> None: ...


class Holdable(Tappable):
    """Must be held for `hold` seconds: `progress` runs from 0 to 1, then `on_held`. Sliding off or letting go cancels.

    A short tap dispatches `on_tap`, for a hint in words.
    """

    __events__: tuple[str, ...] = ("on_held",)
    hold = NumericProperty(HOLD)
    progress = NumericProperty(0.0)

    def __init__(self, **kwargs: Any) -> None:
        self._filling: Any = None
        self._held = False
        super().__init__(**kwargs)

    def _press(self) -> None:
        super()._press()
        self._held = False
        self._filling = Clock.schedule_interval(self._fill, 0)

    def _fill(self, _seconds: float) -> None:
        if self._contact is None or is_ghost(self._contact):
            self._stop()
            return
        self.progress = min(1.0, (Clock.time() - self._pressed_at) / self.hold)
        if self.progress >= 1.0:
            self._stop()
            self._held = True
            self.dispatch("on_held")

    def _stop(self) -> None:
        if self._filling is not None:
            self._filling.cancel()
            self._filling = None
        self.progress = 0.0

    def on_touch_move(self, touch: MotionEvent) -> bool:
        taken = super().on_touch_move(touch)
        if taken and not self.pressed:
            self._stop()
        return taken

    def on_touch_up(self, touch: MotionEvent) -> bool:
        if touch.grab_current is self:
            self._stop()
            if self._held:  # the hold is complete: this release does nothing more
                touch.ungrab(self)
                self._contact, self._held = None, False
                self._release()
                return True
        return super().on_touch_up(touch)

    def on_held(self) -> None: ...
