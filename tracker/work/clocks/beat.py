"""The readings of a tablet's two clocks at one moment."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct


class Beat(Struct, frozen=True):
    """Both clocks at one moment: in the boot `boot_id` the boot clock read `boot` seconds and the wall clock `wall`."""

    boot_id: str
    boot: float
    wall: datetime

    @property
    def booted(self) -> float:
        """When this boot began, by that wall clock: seconds of UTC since 1970."""
        return self.wall.timestamp() - self.boot
