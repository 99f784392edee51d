"""Which tablet this is: a name made by chance, and where the record that has it belongs.

Two tablets under one name would write the same counts. So a name goes with one folder on one machine: a record that
was copied elsewhere goes on under a new one. Backups and recovered or restored records have none.
"""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import MutableMapping
from hashlib import sha256
from pathlib import Path

TABLET, PLACE = "tablet", "place"
NAMES = (TABLET, PLACE)
"""The settings that make a record this tablet's own: never copied to another one."""
COPIED = "This record was copied from another place: what is marked here goes on under a new name of the tablet."
_MACHINE_IDS = (Path("/etc/machine-id"), Path("/var/lib/dbus/machine-id"))
"""https://www.freedesktop.org/software/systemd/man/latest/machine-id.html; elsewhere only the folder identifies it."""


def machine_id() -> str:
    """What names this machine; empty where nothing does."""
    for path in _MACHINE_IDS:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            if found := path.read_text("ascii").strip():
                return found
    return ""


def place_of(folder: Path) -> str:
    """A hash that says which folder on which machine: a machine's id is nobody else's business."""
    return sha256(f"kerfcard\0{machine_id()}\0{folder.resolve()}".encode("utf-8", "surrogateescape")).hexdigest()[:32]


def new_name() -> str:
    """A name for a tablet, by chance."""
    return uuid.uuid4().hex[:8]


def take_name(settings: MutableMapping[str, str], folder: Path) -> bool:
    """See to it that the record in `folder` has a name of its own; whether it had to be renewed because the record was
    copied. A record from before places were kept keeps its name."""
    here = place_of(folder)
    copied = TABLET in settings and settings.get(PLACE, here) != here
    if copied or TABLET not in settings:
        settings[TABLET] = new_name()
    settings[PLACE] = here
    return copied
