"""The clocks of this tablet."""

from __future__ import annotations

import time
import uuid
from datetime import UTC, datetime
from pathlib import Path

from tracker.work.clocks.elapsed import Now

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
_THIS_PROCESS = f"process {uuid.uuid4().hex}"
"""Replaces the boot id where no boot clock can be read: a clock that restarts with every process."""


def read_clock() -> Now:
    """The wall clock, and the boot clock where there is one (Linux, Android)."""
    wall = datetime.now(UTC)
    if hasattr(time, "CLOCK_BOOTTIME") and _BOOT_ID.exists():
        return Now(wall, _BOOT_ID.read_text().strip(), time.clock_gettime(time.CLOCK_BOOTTIME))
    return Now(wall, _THIS_PROCESS, time.monotonic())
