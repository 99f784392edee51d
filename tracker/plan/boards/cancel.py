"""How a search is cancelled: it asks the caller whether to go on. The package itself reads no clock."""

from __future__ import annotations

from collections.abc import Callable

KeepGoing = Callable[[], bool]
"""Called every few milliseconds; after it has returned False it keeps returning False."""


class Stopped(Exception):  # noqa: N818 (nothing went wrong)
    """The search has used up its steps, or the caller has cancelled it; what was found before is still valid."""


def allowance(times: int, keep_going: KeepGoing) -> KeepGoing:
    """`keep_going`, but true no more than `times` times."""
    left = times

    def go() -> bool:
        nonlocal left
        left -= 1
        return left >= 0 and keep_going()

    return go
