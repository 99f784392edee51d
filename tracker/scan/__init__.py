"""A picture in, codes out.

What is named here is loaded when it is first asked for: the reader brings numpy and a decoder, and what a handheld
scanner types (`tracker.scan.typed`) needs neither.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tracker.scan.picture import Picture, open_picture
    from tracker.scan.reader import Found, Looked, look_at, look_at_picture
    from tracker.scan.watch import FrameReader

__all__ = [
    "Found",
    "FrameReader",
    "Looked",
    "Picture",
    "look_at",
    "look_at_picture",
    "open_picture",
]
_AT = {"Picture": "picture", "open_picture": "picture", "FrameReader": "watch"}
"""The modules of the package that hold what isn't in `reader`."""


def __getattr__(name: str) -> Any:
    """PEP 562."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_AT.get(name, 'reader')}"), name)
