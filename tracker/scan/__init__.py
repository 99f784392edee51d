"""A picture in, codes out.

The names of this package are imported on first use: the reader needs numpy and a decoder, which handheld scanners
(`tracker.scan.typed`) don't.
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
"""The module of each of the package's names."""
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
