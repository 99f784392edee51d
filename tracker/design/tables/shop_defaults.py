"""The settings of a shop's saw and tape when the build file doesn't give them: common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from tracker.design.model import Build, Shop
from tracker.measure import Angle, Length, Mark, Units, inches, millimetres, parse_length
from tracker.measure.tape_reading import MARKS, MILLIMETRE, SIXTEENTH

NO_LENGTH = millimetres(0)
MOST_KERF = millimetres(10)
"""No saw of a small shop takes more in one cut, so a larger value is a mistake. Common practice, no source."""
LEAST_REACH: Angle = 30.0
"""Degrees. Every saw with a scale swings and tilts at least this far. Common practice, no source."""


class ShopDefaults(Struct, frozen=True, kw_only=True):
    """This tablet's settings. None: the usual value for the build's units."""

    kerf: Length | None = None
    end_trim: Length | None = None
    max_miter: Angle = 50.0
    max_bevel: Angle = 45.0
    mark: Mark | None = None
    """For builds in either unit; overrides `inch_mark` and `metric_mark`."""
    inch_mark: Mark = SIXTEENTH
    metric_mark: Mark = MILLIMETRE
    least_offcut: Length | None = None

    def shop(self, units: Units) -> Shop:
        """The settings for a build in `units`.

        A full-kerf blade takes 1/8 in, or 3 mm (3.2 mm and thinner). An offcut shorter than a foot is too short to hold
        at the saw and goes to the stove.
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
    """The tablet's settings of saw and tape. A setting that can't be read keeps its usual value."""

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
    """The names of the settings of saw and tape that can't be read."""
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
