"""One background thread, for reading pictures and making backups; results are delivered on the screen's thread."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

Answer = TypeVar("Answer")


def on_next_frame(call: Callable[[], None]) -> None:
    """Run `call` on Kivy's thread; may be called from any thread."""
    from kivy.clock import Clock

    Clock.schedule_once(lambda _: call(), 0)


class Worker:
    """`deliver` is its only contact with Kivy: `lambda call: call()` makes it testable without a window."""

    def __init__(self, deliver: Callable[[Callable[[], None]], None] = on_next_frame) -> None:
        self._deliver = deliver
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="kerfcard")
        self._open = True
        self._unanswered = 0

    @property
    def idle(self) -> bool:
        """Whether every job is done and its result delivered. Call it on the screen's thread."""
        return self._unanswered == 0

    def submit(
        self,
        job: Callable[[], Answer],
        done: Callable[[Answer], None],
        failed: Callable[[BaseException], None] | None = None,
    ) -> Future[Answer]:
        """Run `job` in the thread, then `done(answer)` or `failed(error)` on the screen's thread.

        Without `failed` the error is raised on the screen's thread, where the app's handler gets it.
        """
        future = self._pool.submit(job)
        self._unanswered += 1

        def finished(result: Future[Answer]) -> None:
            if not result.cancelled():
                self._deliver(lambda: self._hand_over(result, done, failed))

        future.add_done_callback(finished)
        return future

    def _hand_over(
        self,
        result: Future[Answer],
        done: Callable[[Answer], None],
        failed: Callable[[BaseException], None] | None,
    ) -> None:
        self._unanswered -= 1
        if not self._open:
            return
        error = result.exception()
        if error is None:
            done(result.result())
        elif failed is not None:
            failed(error)
        else:
            raise error

    def close(self) -> None:
        """Wait for the job in progress; queued jobs are dropped, and no more results are delivered."""
        self._open = False
        self._pool.shutdown(wait=True, cancel_futures=True)
