"""Build files are exchanged through the hub by content: a tablet without a run's file gets it, and one with a new file
gives it.

A person's own files are never overwritten. A file that came through the hub is replaced by a later one and kept in the
folder `earlier`. A person's own file, elsewhere on the disk, is left alone, and a message says that a later one exists.
"""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path
from typing import Protocol

from tracker.assets import asset_dir
from tracker.shop.library import MAX_BUILD_BYTES
from tracker.shop.shop import Shop
from tracker.whole_file import write_whole

EARLIER = "earlier"
_NOT_IN_NAMES = re.compile(r"[^\w .()+-]")


class BuildHub(Protocol):
    """The hub's operations on build files."""

    def builds(self) -> list[tuple[str, str, str]]: ...

    def give_build(self, run: str, name: str, body: bytes) -> None: ...

    def file(self, digest: str) -> bytes | None: ...


class BuildsOfHub:
    """Exchanges the build files of a shop; runs on the exchange's thread."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._said: set[str] = set()

    def exchange(self, hub: BuildHub) -> tuple[str, ...]:
        """Give and take build files; returns sentences for the user."""
        there: dict[str, list[tuple[str, str]]] = {}
        for run, name, digest in hub.builds():
            there.setdefault(run, []).append((digest, name))
        mine = self._mine()
        said: list[str] = []
        for run, (path, body) in mine.items():
            digest = sha256(body).hexdigest()
            known = [each for each, _ in there.get(run, ())]
            if digest not in known:
                hub.give_build(run, path.name, body)
            elif digest != known[-1]:
                said += self._later(hub, run, path, body, known[-1])
        known_here = self._shop.state.runs
        for run, versions in there.items():
            if run not in mine and run in known_here and self._shop.library.file_of(run) is None:
                digest, name = versions[-1]
                said += self._new(hub, name, digest)
        return tuple(said)

    def _mine(self) -> dict[str, tuple[Path, bytes]]:
        """The build files that a person made or opened here, by run; the samples are everywhere already."""
        library, samples = self._shop.library, asset_dir("sample_projects").resolve()
        found: dict[str, tuple[Path, bytes]] = {}
        for path in library.paths():
            if samples in path.resolve().parents:
                continue
            file = library.read(path)
            if file.run is not None and file.run.name not in found:
                try:
                    body = path.read_bytes()
                except OSError:
                    continue
                if len(body) <= MAX_BUILD_BYTES:
                    found[file.run.name] = path, body
        return found

    def _later(self, hub: BuildHub, run: str, path: Path, body: bytes, digest: str) -> list[str]:
        if path.parent != self._shop.library.folder:
            return self._once(
                f"{path.name}: another tablet has a later build file of {run}. This tablet goes by its own, {path}."
            )
        later = self._fetched(hub, digest)
        if later is None:
            return []
        earlier = path.parent / EARLIER / f"{path.stem}-{sha256(body).hexdigest()[:8]}.toml"
        write_whole(earlier, body)
        write_whole(path, later)
        return [f"{path.name} was revised on another tablet; the file as it was is in {EARLIER}."]

    def _new(self, hub: BuildHub, name: str, digest: str) -> list[str]:
        body = self._fetched(hub, digest)
        if body is None:
            return []
        path = self._free_name(name)
        write_whole(path, body)
        self._shop.library.read(path)
        return [f"The build file {path.name} came from another tablet."]

    def _fetched(self, hub: BuildHub, digest: str) -> bytes | None:
        body = hub.file(digest)
        if body is None or len(body) > MAX_BUILD_BYTES or sha256(body).hexdigest() != digest:
            return None
        return body

    def _free_name(self, name: str) -> Path:
        """An unused name in the folder of builds; it can't lead outside the folder, even if the hub says so."""
        stem = _NOT_IN_NAMES.sub("_", Path(name).stem).strip(" .")[:80] or "build"
        folder = self._shop.library.folder
        path, number = folder / f"{stem}.toml", 2
        while path.exists():
            path, number = folder / f"{stem} ({number}).toml", number + 1
        return path

    def _once(self, sentence: str) -> list[str]:
        if sentence in self._said:
            return []
        self._said.add(sentence)
        return [sentence]
