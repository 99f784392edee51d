"""Run a fault test with a chosen count: `python tests/faults NAME [COUNT ...]`; without a name, list them."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS.parent)]
NAMES = (
    "killed",
    "failing",
    "powercut_model",
    "powercut_ext4",
    "full",
    "damaged",
    "merged",
    "twice",
    "fuzzed",
    "heavy",
)


def main() -> int:
    if len(sys.argv) < 2 or sys.argv[1] not in NAMES:
        for name in NAMES:
            about = (importlib.import_module(f"faults.{name}").__doc__ or "").splitlines()[0]
            print(f"python tests/faults {name}: {about}")
        return 2
    return int(importlib.import_module(f"faults.{sys.argv[1]}").main(sys.argv[2:]))


if __name__ == "__main__":
    sys.exit(main())
