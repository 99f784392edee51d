"""Searching for better answers in the background: the first one soon, better ones as they are found, until stopped.

The search runs in its own process (`tracker.search_process`): no frame waits for it, and closing the app ends it at
once. A thread only listens.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from threading import Thread
from typing import TYPE_CHECKING, Any

from kivy.event import EventDispatcher
from kivy.properties import BooleanProperty, ObjectProperty, StringProperty

from tracker.screens.device.worker import on_next_frame

if TYPE_CHECKING:
    from tracker.search_process import SearchProcess

SECONDS = 20.0
"""Seconds after which the search ends with the best answer so far; a person can end it earlier."""


class BackgroundSearch(EventDispatcher):
    """request: what is or was searched for, or None. answer: the best so far, or None. searching: whether a better one
    may still come. trouble: why there is no answer.

    One search at a time: a new one ends the one before, whose answers are then ignored.
    """

    answer = ObjectProperty(None, allownone=True)
    searching = BooleanProperty(False)
    trouble = StringProperty("")

    def __init__(self, deliver: Callable[[Callable[[], None]], None] = on_next_frame, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._deliver = deliver
        self._turn = 0
        self._process: SearchProcess | None = None
        self.request: object = None

    def look_for(self, request: object, search: Callable[..., Iterator[Any]], *arguments: Any) -> None:
        """Search for `request` by `search(*arguments, keep_going=...)`; `answer` is None until there is one."""
        self._end()
        self.request = request
        self.answer, self.searching, self.trouble = None, True, ""
        listen = partial(self._listen, self._turn, search, arguments)
        Thread(target=listen, name="search", daemon=True).start()

    def stop(self) -> None:
        """Stop: the present answer is good enough."""
        self._end()
        self.searching = False

    def forget(self) -> None:
        """Stop, and drop the answer."""
        self.stop()
        self.request = self.answer = None

    def close(self) -> None:
        """Stop at once."""
        self.stop()

    def _end(self) -> None:
        self._turn += 1
        if self._process is not None:
            self._process.end()
            self._process = None

    def _listen(self, turn: int, search: Callable[..., Iterator[Any]], arguments: tuple[Any, ...]) -> None:
        """In the thread: start the process, and pass on its answers."""
        from tracker.search_process import SearchError, SearchProcess  # its imports take 25 ms

        process = SearchProcess(search, *arguments, seconds=SECONDS)
        self._process = process
        if turn != self._turn:
            process.end()
        trouble = ""
        try:
            for answer in process.answers():
                self._deliver(partial(self._hear, turn, answer))
        except SearchError as error:
            trouble = str(error)
        self._deliver(partial(self._done, turn, trouble))

    def _hear(self, turn: int, answer: object) -> None:
        if turn == self._turn:
            self.answer = answer

    def _done(self, turn: int, trouble: str) -> None:
        if turn == self._turn:
            self.trouble = trouble
            self.searching = False
