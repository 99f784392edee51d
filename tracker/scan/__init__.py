"""A picture in, codes out.

What is named here is loaded when it is first asked for: the reader brings numpy and a decoder, and what a handheld
scanner types (`tracker.scan.typed`) needs neither.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tracker.scan.bounded import PictureReader
    from tracker.scan.found import Found, Looked
    from tracker.scan.picture import Picture, open_picture
    from tracker.scan.reader import look_at, look_at_picture
    from tracker.scan.watch import FrameReader

_MODULES = {
    "Found": "found",
    "FrameReader": "watch",
    "Looked": "found",
    "Picture": "picture",
    "PictureReader": "bounded",
    "look_at": "reader",
    "look_at_picture": "reader",
    "open_picture": "picture",
}
"""Where each of the package's names is."""
__all__ = [
    "Found",
    "FrameReader",
    "Looked",
    "Picture",
    "PictureReader",
    "look_at",
    "look_at_picture",
    "open_picture",
]


def __getattr__(name: str) -> Any:
    """PEP 562."""
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULES[name]}"), name)
