"""What a look at a picture gives. Nothing here loads the reader, so a program can ask a process of its own to look."""

from __future__ import annotations

from msgspec import Struct

from tracker.together.invitation import is_invitation
from tracker.work.codes import Code

Corner = tuple[float, float]
Corners = tuple[Corner, Corner, Corner, Corner]


class Found(Struct, frozen=True):
    """One QR code in a picture."""

    text: str
    """What it holds; attacker-chosen unless `valid`."""
    corners: Corners
    """In pixels from the picture's top left corner: the code's own top left, top right, bottom right, bottom left."""
    valid: bool
    """Whether the text is one of our codes with its check character right."""

    @property
    def ours(self) -> bool:
        """Whether it says something to Kerfcard: a label, or the way to a hub."""
        return self.valid or is_invitation(self.text)


class Looked(Struct, frozen=True):
    """What one look at a picture gave."""

    found: tuple[Found, ...] = ()
    """The codes that are sure, from the top down."""
    maybe: tuple[Code, ...] = ()
    """When a label is seen but can't be read for sure: the two likeliest live codes. Ask the person; never choose."""

    @property
    def valid(self) -> bool:
        return any(code.valid for code in self.found)

    @property
    def ours(self) -> bool:
        """Whether anything in it says something to Kerfcard."""
        return any(code.ours for code in self.found)
