"""The size that a screen reports: the 128 bytes that it sends over the cable (VESA E-EDID standard, release A).

Linux keeps them for each connector in /sys/class/drm.
"""

from __future__ import annotations

import re
from pathlib import Path

from msgspec import Struct

DRM = Path("/sys/class/drm")
PLACEHOLDERS = frozenset({(16, 9), (16, 10), (160, 90), (160, 100)})
"""Aspect ratios that televisions and projectors report in place of a size in millimetres. From memory, as display
servers handle them."""
_SIGNATURE = bytes((0, 255, 255, 255, 255, 255, 255, 0))
_TIMINGS = (54, 72, 90, 108)
"""Where the four blocks of 18 bytes begin: detailed timings, the preferred one first, or descriptors."""
_NAME_TAG = 0xFC


class Edid(Struct, frozen=True):
    """What a connected screen reports.

    connector   the kernel's name, e.g. `eDP-1`
    name        the product's name, or ""
    points      width and height of its preferred mode
    mm          width and height of the picture in millimetres, or None without plausible values
    """

    connector: str
    name: str
    points: tuple[int, int]
    mm: tuple[int, int] | None


def parse_edid(edid: bytes, connector: str = "") -> Edid | None:
    """The first block of a screen's EDID; None when it isn't an EDID or has no video mode."""
    if len(edid) < 128 or not edid.startswith(_SIGNATURE) or not (edid[54] or edid[55]):
        return None
    points = (edid[56] | (edid[58] & 0xF0) << 4, edid[59] | (edid[61] & 0xF0) << 4)
    # Bytes 12 to 14 of the preferred timing are the picture in millimetres; bytes 21 and 22 of the block are the screen
    # in whole centimetres, or its aspect ratio where one of them is zero.
    timing = (edid[66] | (edid[68] & 0xF0) << 4, edid[67] | (edid[68] & 0x0F) << 8)
    centimetres = (10 * edid[21], 10 * edid[22])
    believable = (size for size in (timing, centimetres) if all(size) and tuple(sorted(size)[::-1]) not in PLACEHOLDERS)
    return Edid(connector, _product_name(edid), points, next(believable, None))


def _product_name(edid: bytes) -> str:
    for at in _TIMINGS:
        block = edid[at : at + 18]
        if block[:3] == b"\0\0\0" and block[3] == _NAME_TAG:
            return block[5:].split(b"\n")[0].decode("ascii", "replace").strip()
    return ""


def connected_screens(drm: Path = DRM) -> tuple[Edid, ...]:
    """The report of each connected screen, in the order of the kernel's names."""
    found = []
    for folder in sorted(drm.glob("card*-*")):
        try:
            if (folder / "status").read_text().strip() != "connected":
                continue
            edid = parse_edid((folder / "edid").read_bytes(), re.sub(r"^card\d+-", "", folder.name))
        except OSError:
            continue
        if edid is not None:
            found.append(edid)
    return tuple(found)


def edid_of(name: str, points: tuple[int, int], screens: tuple[Edid, ...]) -> Edid | None:
    """The connected screen that the window system calls `name` and draws in `points`.

    X names a screen by its product's name, or by the connector in X's own spelling (HDMI-1 for HDMI-A-1), and adds its
    diagonal in inches. None where the match is ambiguous.
    """
    if len(screens) <= 1:
        return next(iter(screens), None)
    named = [each for each in screens if each.name and name.startswith(each.name)]
    wired = [each for each in screens if _plain(name) == _plain(each.connector)]
    for found in (named, wired, list(screens)):
        if len(found) > 1:
            found = [each for each in found if sorted(each.points) == sorted(points)]
        if len(found) == 1:
            return found[0]
    return None


def _plain(connector: str) -> str:
    """`HDMI-1` of `HDMI-A-1` and of `HDMI-1 24"`."""
    return re.sub(r"^(HDMI|DVI)-[ADI]-", r"\1-", connector.split(" ")[0])
