"""This tablet in this shop: the builds it knows, the current run, and the only reader of the clock.

Reading a build file needs no record: a command that does only that starts in half the time without the database.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from tracker.shop.library import MAX_BUILD_BYTES, BuildFile, Library, read_build

if TYPE_CHECKING:
    from tracker.shop.clock import read_clock
    from tracker.shop.shop import RESERVE_BYTES, Shop

_LATER = {"read_clock": "tracker.shop.clock", "RESERVE_BYTES": "tracker.shop.shop", "Shop": "tracker.shop.shop"}
"""The names that are imported on first use."""

__all__ = ["MAX_BUILD_BYTES", "RESERVE_BYTES", "BuildFile", "Library", "Shop", "read_build", "read_clock"]


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_LATER[name]), name)
