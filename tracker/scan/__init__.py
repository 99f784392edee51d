"""A picture in, codes out."""

from tracker.scan.picture import Picture, open_picture
from tracker.scan.reader import Found, Looked, look_at, look_at_picture, read_codes, read_picture
from tracker.scan.watch import Watch

__all__ = [
    "Found",
    "Looked",
    "Picture",
    "Watch",
    "look_at",
    "look_at_picture",
    "open_picture",
    "read_codes",
    "read_picture",
]
