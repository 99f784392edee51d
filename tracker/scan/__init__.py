"""A picture in, codes out."""

from tracker.scan.picture import Picture, open_picture
from tracker.scan.reader import Found, read_codes, read_picture

__all__ = ["Found", "Picture", "open_picture", "read_codes", "read_picture"]
