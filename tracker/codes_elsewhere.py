"""Whose label is this? The codes of every build file that this tablet knows, each file read once for every version of
it. Reading takes a while: `find` only reads what it must, and may be called from any thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from tracker.design.load import Loaded
from tracker.work.codes import Code
from tracker.work.run import start_run

Version = tuple[int, int]
"""When a file was last written, in nanoseconds, and how many bytes it holds."""


class CodesElsewhere:
    """Remembers the codes of build files. `read` loads one."""

    def __init__(self, read: Callable[[Path], Loaded]) -> None:
        self._read = read
        self._lock = threading.Lock()
        self._known: dict[Path, tuple[Version, Mapping[Code, str]]] = {}

    def fresh(self, paths: Iterable[Path]) -> bool:
        """Whether all of these files are known as they are now, so that `find` has nothing to read."""
        known = self._known
        return all(path in known and known[path][0] == _version(path) for path in paths)

    def find(self, code: Code, paths: Iterable[Path]) -> tuple[Path, str] | None:
        """The first of the build files that has an item or a rack board with this code, and its key."""
        with self._lock:
            return next(((path, key) for path in paths if (key := self._codes(path).get(code))), None)

    def learn(self, paths: Iterable[Path]) -> None:
        """Read what isn't known yet, so that a scan needn't wait for it."""
        for path in paths:
            with self._lock:
                self._codes(path)

    def _codes(self, path: Path) -> Mapping[Code, str]:
        version = _version(path)
        known = self._known.get(path)
        if known is not None and known[0] == version:
            return known[1]
        build = self._read(path).build
        codes = {code: key for key, code in start_run(build).codes.items()} if build else {}
        self._known[path] = version, codes
        return codes


def _version(path: Path) -> Version:
    try:
        found = path.stat()
    except OSError:  # it is gone: read anew, it has no build
        return 0, 0
    return found.st_mtime_ns, found.st_size
