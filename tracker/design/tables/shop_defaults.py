"""What a shop's saw and tape are when the build file doesn't say: common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Shop
from tracker.measure import Angle, Length, Mark, Units, inches, millimetres, parse_length
from tracker.measure.reading import MARKS, MILLIMETRE, SIXTEENTH

NO_LENGTH = millimetres(0)
MOST_KERF = millimetres(10)
"""Common practice, no source: no saw of a small shop takes more in one cut; what says so is a mistake."""
LEAST_REACH: Angle = 30.0
"""Degrees. Common practice, no source: every saw with a scale swings and tilts at least this far."""


class ShopDefaults(Struct, frozen=True, kw_only=True):
    """This tablet's settings. None: the ordinary value of the build's units."""

    kerf: Length | None = None
    end_trim: Length | None = None
    max_miter: Angle = 50.0
    max_bevel: Angle = 45.0
    mark: Mark | None = None
    """For builds of whatever units; takes precedence over `inch_mark` and `metric_mark`."""
    inch_mark: Mark = SIXTEENTH
    metric_mark: Mark = MILLIMETRE
    least_offcut: Length | None = None

    def shop(self, units: Units) -> Shop:
        """The settings for a build in `units`.

        A full-kerf blade takes 1/8 in, or 3 mm (3.2 mm and thinner). An offcut shorter than a foot is too short to
        hold at the saw and goes to the stove.
        """
        inch = units == "in"
        return Shop(
            kerf=self.kerf or (inches("1/8") if inch else millimetres(3)),
            end_trim=self.end_trim if self.end_trim is not None else (inches("1/2") if inch else millimetres(15)),
            max_miter=self.max_miter,
            max_bevel=self.max_bevel,
            mark=self.mark or self.mark_of(units),
            least_offcut=self.least_offcut or (inches(12) if inch else millimetres(300)),
        )

    def mark_of(self, units: Units) -> Mark:
        """The finest mark of the tape for these units."""
        return self.inch_mark if units == "in" else self.metric_mark


def shop_defaults(settings: Mapping[str, str]) -> ShopDefaults:
    """What the tablet's settings say of saw and tape; what can't be read there is left at its ordinary value."""

    def mark(name: str, ordinary: Mark) -> Mark:
        return next((mark for mark in MARKS if str(mark) == settings.get(name)), ordinary)

    def degrees(name: str, ordinary: Angle) -> Angle:
        written = settings.get(name, "")
        plain = written.isascii() and written.isdecimal() and len(written) <= 2
        return float(written) if plain and LEAST_REACH <= float(written) <= 90 else ordinary

    def length(name: str, most: Length) -> Length | None:
        try:
            found = parse_length(settings.get(name, ""), "in")
        except ValueError:
            return None
        return found if NO_LENGTH < found <= most else None

    plain = ShopDefaults()
    return ShopDefaults(
        kerf=length("kerf", MOST_KERF),
        max_miter=degrees("max miter", plain.max_miter),
        max_bevel=degrees("max bevel", plain.max_bevel),
        inch_mark=mark("inch mark", plain.inch_mark),
        metric_mark=mark("metric mark", plain.metric_mark),
    )


def unreadable_defaults(settings: Mapping[str, str]) -> tuple[str, ...]:
    """The names of the settings of saw and tape that hold something which can't be read."""
    read, plain = shop_defaults(settings), ShopDefaults()
    fields = {"kerf": "kerf", "max miter": "max_miter", "max bevel": "max_bevel",
              "inch mark": "inch_mark", "metric mark": "metric_mark"}  # fmt: skip
    ordinary = {"", "50", "45", str(plain.inch_mark), str(plain.metric_mark)}
    return tuple(
        name
        for name, field in fields.items()
        if settings.get(name, "") not in ordinary and getattr(read, field) == getattr(plain, field)
    )


def read_in(build: Build, units: str, defaults: ShopDefaults) -> Build:
    """The same build with its lengths read in `units` ("in", "mm"; anything else leaves them as written)."""
    if units not in ("in", "mm") or units == build.units:
        return build
    shown: Units = "in" if units == "in" else "mm"
    return replace(build, units=shown, shop=replace(build.shop, mark=defaults.mark_of(shown)))
