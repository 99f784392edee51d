"""How a search is stopped: it asks, and whoever runs it answers. The package itself reads no clock."""

from __future__ import annotations

from collections.abc import Callable

KeepGoing = Callable[[], bool]
"""Asked every few milliseconds; once it has said no it goes on saying no."""


class Stopped(Exception):  # noqa: N818 (nothing went wrong)
    """The steps allowed are used up, or the caller wants no more; what was known before still holds."""


def allowance(times: int, keep_going: KeepGoing) -> KeepGoing:
    """`keep_going`, but no more than so many times."""
    left = times

    def go() -> bool:
        nonlocal left
        left -= 1
        return left >= 0 and keep_going()

    return go
