"""The build file: its model, loading and checking it, and formulas."""

from tracker.design.load import Loaded, load_build
from tracker.design.problems import Problem
from tracker.design.tables.shop_defaults import ShopDefaults

__all__ = ["Loaded", "Problem", "ShopDefaults", "load_build"]
