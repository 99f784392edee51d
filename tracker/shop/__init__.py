"""This tablet in this shop: the builds it knows, the run in hand, and the only reader of the clock."""

from tracker.shop.clock import read_clock
from tracker.shop.library import MAX_BUILD_BYTES, BuildFile, Library, read_build
from tracker.shop.shop import RESERVE_BYTES, Shop

__all__ = ["MAX_BUILD_BYTES", "RESERVE_BYTES", "BuildFile", "Library", "Shop", "read_build", "read_clock"]
