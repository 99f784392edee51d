"""How a thread asks something of the one that owns the record, and waits for the answer."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any


class ClosedError(Exception):
    """The app is being closed: nobody answers any more."""


class Owner:
    """`deliver` runs something on the owner's thread, soon; `lambda call: call()` is a thread that owns the record
    itself."""

    def __init__(self, deliver: Callable[[Callable[[], None]], None]) -> None:
        self._deliver = deliver
        self._closed = threading.Event()

    def ask(self, question: Callable[[], Any]) -> Any:
        """What `question` returns, or raises, there. Raises ClosedError once this is closed."""
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
        """Run something there; nobody waits for it."""
        if not self._closed.is_set():
            self._deliver(lambda: None if self._closed.is_set() else call())

    def close(self) -> None:
        """Whoever waits for an answer stops waiting."""
        self._closed.set()
