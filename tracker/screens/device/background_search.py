"""Looking for better boards beside the screen: the first plan at once, better ones as they are found, until stopped."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from kivy.event import EventDispatcher
from kivy.properties import BooleanProperty, ObjectProperty

from tracker.screens.device.worker import Worker, on_next_frame

THINK_SECONDS = 20.0
"""How long a plan is looked for before what there is counts as the answer; whoever has enough stops it."""

ENOUGH = 0.4
"""Seconds between two answers that are told: each has its screen drawn anew."""

Plans = Callable[[Callable[[], bool]], Iterator[Any]]
"""Makes ever better answers until what it asks says that it may not go on; the last one is the best."""


class Thinker(EventDispatcher):
    """asked: what it thinks or thought about, or None. answer: the best so far, or None. thinking: whether a better one
    may still come.

    One thought at a time: a new one stops the one before, whose answers are not heard any more.
    """

    answer = ObjectProperty(None, allownone=True)
    thinking = BooleanProperty(False)

    def __init__(self, deliver: Callable[[Callable[[], None]], None] = on_next_frame, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._deliver = deliver
        self._worker = Worker(deliver)
        self._thought = 0
        self.asked: object = None

    def think(self, asked: object, plans: Plans) -> None:
        """Begin anew; `answer` is None until the first one is there."""
        self._thought += 1
        self.asked = asked
        mine, until = self._thought, time.monotonic() + THINK_SECONDS
        self.answer, self.thinking = None, True

        told = _Told(lambda answer: self._deliver(partial(self._hear, mine, answer)))

        def go_on() -> bool:
            time.sleep(0)  # lets the screen's thread have its turn
            told.in_time()
            return self._thought == mine and time.monotonic() < until

        def job() -> None:
            for answer in plans(go_on):
                told.found(answer)
            told.at_last()

        def failed(error: BaseException) -> None:
            self._end(mine)
            raise error

        self._worker.submit(job, lambda _: self._end(mine), failed)

    def stop(self) -> None:
        """What there is, is good enough."""
        self._thought += 1
        self.thinking = False

    def forget(self) -> None:
        """Stop, and keep nothing."""
        self.stop()
        self.asked = self.answer = None

    def close(self) -> None:
        """Stop, and wait for the thread."""
        self.stop()
        self._worker.close()

    def _hear(self, thought: int, answer: object) -> None:
        if thought == self._thought:
            self.answer = answer

    def _end(self, thought: int) -> None:
        if thought == self._thought:
            self.thinking = False


class _Told:
    """Answers are told at once, but not so often that the screen is drawn without end."""

    def __init__(self, tell: Callable[[Any], None]) -> None:
        self._tell, self._when = tell, -ENOUGH
        self._waiting: list[Any] = []

    def found(self, answer: Any) -> None:
        self._waiting = [answer]
        self.in_time()

    def in_time(self) -> None:
        """Tell what waits, if the last was long enough ago."""
        if self._waiting and time.monotonic() - self._when >= ENOUGH:
            self.at_last()

    def at_last(self) -> None:
        """Tell what waits."""
        if self._waiting:
            self._when = time.monotonic()
            self._tell(self._waiting.pop())
