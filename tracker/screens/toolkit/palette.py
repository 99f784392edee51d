"""The two sets of colours. No Kivy here, so that contrast and colour vision can be tested as plain numbers.

Day is paper and oak under a window; shop is a dark bench under one lamp. The single accent, the blue of a chalk line,
means "this is what to do now". The four tones are distinguishable in normal, protan, deutan and tritan vision (the
tests name the source), and are never used alone: each has a shape and a word.
"""

from __future__ import annotations

from typing import TypeAlias

from msgspec import Struct

Colour: TypeAlias = tuple[float, float, float, float]
"""Red, green, blue and opacity, each 0 to 1."""

TONES = ("ready", "done", "waiting", "caution")


class Palette(Struct, frozen=True, kw_only=True):
    ground: str
    """Behind everything."""
    sunk: str
    """A trough in the ground, for lists and strips."""
    card: str
    """The sheet that is read."""
    raised: str
    """What can be tapped and isn't the main action."""
    chosen: str
    """The current row."""
    edge: str
    """The outline of what can be tapped: 3:1 against its ground."""
    hair: str
    """Lines that only separate."""
    ink: str
    soft: str
    """Secondary text; still 7:1."""
    faint: str
    """Words on what does nothing now: 4.5:1, a third of what is live."""
    accent: str
    pressed: str
    """The accent under a finger."""
    accent_ink: str
    ready: str
    done: str
    waiting: str
    caution: str
    done_ink: str
    """The tick in the done mark."""
    wood: str
    grain: str
    bark: str
    """The outline of the piece, and drawings on wood."""
    bevel: str
    """The strip of a bevelled end that slopes away."""
    waste: str
    """Wood that is still to come off: 3:1 against the wood that stays."""
    hatch: str
    """The hatching of the waste."""
    kerf: str
    """The kerf: the ground of a line to cut to, between the wood and the waste."""
    wood_ink: str
    """Holes in the wood, and hidden lines."""

    def colour(self, name: str) -> Colour:
        """Any field or tone by its name, in Kivy's form."""
        return rgba(getattr(self, name))


def rgba(code: str, opacity: float = 1.0) -> Colour:
    """`#rrggbb` as four numbers."""
    red, green, blue = (int(code[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue, opacity


DAY = Palette(
    ground="#EFE8DA",
    sunk="#ECE4D5",
    card="#FCF8F0",
    raised="#FFFFFF",
    chosen="#DCE9F4",
    edge="#857764",
    hair="#D9CDB9",
    ink="#1E1812",
    soft="#40362A",
    faint="#665B4B",
    accent="#0F4C81",
    pressed="#08304F",
    accent_ink="#FFFFFF",
    ready="#1F66B0",
    done="#0E3B33",
    waiting="#A87700",
    caution="#991D08",
    done_ink="#FFFFFF",
    wood="#E9C48C",
    grain="#CF9F5E",
    bark="#3B2713",
    bevel="#B98546",
    waste="#776650",
    hatch="#E9DCC6",
    kerf="#FFFFFF",
    wood_ink="#1E1812",
)

SHOP = Palette(
    ground="#13100D",
    sunk="#0C0A08",
    card="#1F1A16",
    raised="#2B251F",
    chosen="#15293B",
    edge="#8C7F6E",
    hair="#3A322A",
    ink="#F7F1E6",
    soft="#DFD5C4",
    faint="#958A7B",
    accent="#A6D6FB",
    pressed="#E3F3FF",
    accent_ink="#050E16",
    ready="#5AA9EE",
    done="#E4F5EC",
    waiting="#F6C635",
    caution="#FB6839",
    done_ink="#10231B",
    wood="#916437",
    grain="#6E4A24",
    bark="#F3E3CB",
    bevel="#5E3E1B",
    waste="#1B1510",
    hatch="#9C8A72",
    kerf="#0B0907",
    wood_ink="#0A0705",
)

PALETTES = {"day": DAY, "shop": SHOP}
COLOURS = Palette.__struct_fields__
