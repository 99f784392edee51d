"""What a shop's saw and tape are when the build file doesn't say: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.design.model import Shop
from tracker.measure import Angle, Length, Mark, Units, inches, millimetres
from tracker.measure.reading import MILLIMETRE, SIXTEENTH


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopDefaults:
    """This tablet's settings. None: the ordinary value of the build's units."""

    kerf: Length | None = None
    end_trim: Length | None = None
    max_miter: Angle = 50.0
    max_bevel: Angle = 45.0
    mark: Mark | None = None

    def shop(self, units: Units) -> Shop:
        """The settings for a build in `units`. A full-kerf blade takes 1/8 in, or 3 mm (3.2 mm and thinner)."""
        inch = units == "in"
        return Shop(
            kerf=self.kerf or (inches("1/8") if inch else millimetres(3)),
            end_trim=self.end_trim if self.end_trim is not None else (inches("1/2") if inch else millimetres(15)),
            max_miter=self.max_miter,
            max_bevel=self.max_bevel,
            mark=self.mark or (SIXTEENTH if inch else MILLIMETRE),
        )
