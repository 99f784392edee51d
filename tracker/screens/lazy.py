"""Screens and sheets are imported when they are first needed: their module by name, and with it the kv file of the same
name.

What a person never opens adds nothing to the start.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from tracker.assets import asset_dir
from tracker.screens.display import load_kv_once


def class_named(path: str) -> Any:
    """The class at `folder.module.Class` of this package."""
    module, _, name = path.rpartition(".")
    return getattr(import_module(f"tracker.screens.{module}"), name)


_LOADED: set[type] = set()


def load_looks(cls: type) -> None:
    """Load the kv files of a class and of the classes it is made of: each has the name of its module."""
    if cls in _LOADED:
        return
    _LOADED.add(cls)
    for each in reversed(cls.__mro__):
        if each.__module__.startswith("tracker.screens."):
            name = f"{each.__module__.rpartition('.')[2]}.kv"
            if (asset_dir("kv") / name).is_file():
                load_kv_once(name)


class WithLooks:
    """Put before the first widget class of a screen or a sheet: its kv file is loaded before the first instance is
    made."""

    def __init__(self, **kwargs: Any) -> None:
        load_looks(type(self))
        super().__init__(**kwargs)
