"""The results of reading a picture. Nothing here imports the reader, so a program can leave the reading to another
process."""

from __future__ import annotations

from msgspec import Struct

from tracker.together.invitation import is_invitation
from tracker.work.codes import Code

Corner = tuple[float, float]
Corners = tuple[Corner, Corner, Corner, Corner]


class Found(Struct, frozen=True):
    """One QR code in a picture."""

    text: str
    """Its text; chosen by an attacker unless `valid`."""
    corners: Corners
    """In pixels from the picture's top left corner: the code's own top left, top right, bottom right, bottom left."""
    valid: bool
    """Whether the text is one of our codes with the right check character."""

    @property
    def ours(self) -> bool:
        """Whether it is meant for Kerfcard: a label, or an invitation to a hub."""
        return self.valid or is_invitation(self.text)


class Looked(Struct, frozen=True):
    """The results for one picture."""

    found: tuple[Found, ...] = ()
    """The certain codes, from top to bottom."""
    maybe: tuple[Code, ...] = ()
    """When a label is seen but can't be read with certainty: the two likeliest live codes. Ask the person; never
    choose."""

    @property
    def valid(self) -> bool:
        return any(code.valid for code in self.found)

    @property
    def ours(self) -> bool:
        """Whether anything in it is meant for Kerfcard."""
        return any(code.ours for code in self.found)
