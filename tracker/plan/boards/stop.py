"""How a search is stopped: it asks, and whoever runs it answers. The package itself reads no clock."""

from __future__ import annotations

from collections.abc import Callable

KeepGoing = Callable[[], bool]
"""Asked every few milliseconds; once it has said no it goes on saying no."""


class Stopped(Exception):  # noqa: N818 (nothing went wrong)
    """The steps allowed are used up, or the caller wants no more; what was known before still holds."""
