"""How a thread asks a question of the thread that owns the record, and waits for the answer."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any


class ClosedError(Exception):
    """The app is closing: there will be no answer."""


class Owner:
    """`deliver` runs something on the owner's thread, soon; use `lambda call: call()` on a thread that owns the record
    itself."""

    def __init__(self, deliver: Callable[[Callable[[], None]], None]) -> None:
        self._deliver = deliver
        self._closed = threading.Event()

    def ask(self, question: Callable[[], Any]) -> Any:
        """Run `question` there and return its result, or raise its error. Raises ClosedError once this is closed."""
        answered = threading.Event()
        answer: list[Any] = []
        error: list[BaseException] = []

        def run() -> None:
            if not self._closed.is_set():
                try:
                    answer.append(question())
                except BaseException as wrong:
                    error.append(wrong)
            answered.set()

        if not self._closed.is_set():
            self._deliver(run)
        while not answered.wait(0.1):
            if self._closed.is_set():
                raise ClosedError
        if error:
            raise error[0]
        if not answer:
            raise ClosedError
        return answer[0]

    def tell(self, call: Callable[[], None]) -> None:
        """Run something there without waiting."""
        if not self._closed.is_set():
            self._deliver(lambda: None if self._closed.is_set() else call())

    def close(self) -> None:
        """End the wait of everything that waits for an answer."""
        self._closed.set()
