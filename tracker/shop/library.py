"""The builds that this tablet knows, wherever their files are: which files there are, what each contains, which of them
a run is made from, and whose label a code is.

A file is read once for each version of it. Reading takes a while; `read` and `learn` may be called from any thread, and
questions about files already read are answered at once.
"""

from __future__ import annotations

import contextlib
import json
import stat
import threading
from collections.abc import Iterable, MutableMapping
from pathlib import Path

from msgspec import Struct

from tracker.assets import asset_dir
from tracker.design.load import Loaded, load_build
from tracker.design.model import Build
from tracker.design.problems import Problem
from tracker.design.tables.shop_defaults import ShopDefaults, read_in, shop_defaults
from tracker.plan.feasibility import check as check_geometry
from tracker.shop.pictures import picture_notes
from tracker.work.routes import check_routes
from tracker.work.run import Run, board_key, start_run

MAX_BUILD_BYTES = 262_144
MOST_OPENED = 500
"""How many opened files are remembered, the latest first."""
OPENED = "builds opened"
"""The setting that remembers them: a list of [run, path] in JSON."""

_Version = tuple[object, ...]


class BuildFile(Struct, frozen=True):
    """A build file as it was read, and the run that it defines; no run where it has problems."""

    path: Path
    loaded: Loaded
    run: Run | None

    @property
    def name(self) -> str:
        """The name of the build, or of the file where it can't be read."""
        return self.loaded.build.name if self.loaded.build else self.path.name


def read_build(path: Path, shop: ShopDefaults | None = None) -> Loaded:
    """Load and check a build file completely; a problem with the file itself is reported as well."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would never end
            return Loaded(None, (Problem(0, "the file can't be read: it is no file", ""),))
        with path.open("rb") as file:
            data = file.read(MAX_BUILD_BYTES + 1)
    except OSError as error:
        return Loaded(None, (Problem(0, f"the file can't be read: {error.strerror}", ""),))
    except ValueError:  # the path contains a NUL
        return Loaded(None, (Problem(0, "no file can have this name", ""),))
    loaded = load_build(data, shop=shop)
    if loaded.build is None:
        return loaded
    build = loaded.build
    found = (*loaded.problems, *check_routes(build), *check_geometry(build), *picture_notes(build, path.parent))
    if not _wrong(found):
        build, fastened = _fastened(build)
        found = (*found, *fastened)
    return Loaded(None if _wrong(found) else build, tuple(sorted(found)))


def _wrong(found: Iterable[Problem]) -> bool:
    return any(problem.kind == "problem" for problem in found)


def _fastened(build: Build) -> tuple[Build, tuple[Problem, ...]]:
    """The build with the positions found for its screws, and the problems of screws, dowels and bolts."""
    holes = [hole for part in build.parts for hole in part.holes]
    if not any(
        hole.places or hole.fastener or hole.recess or hole.kind in ("screw", "dowel", "bolt") for hole in holes
    ):
        return build, ()
    from tracker.plan.screws import row_problems, with_places  # needs places in space: most builds start without them

    rows = tuple(each for each in row_problems(build) if each.kind == "problem")
    if rows:
        return build, rows
    return with_places(build)


class Library:
    """Every build file that this tablet knows: those opened from anywhere, those in the folder of builds, and the
    samples. `settings` remembers what was opened, and says how files are read."""

    def __init__(self, home: Path, settings: MutableMapping[str, str]) -> None:
        self.home = home
        self._settings = settings
        self._lock = threading.Lock()
        self._opened: tuple[str, tuple[tuple[str, Path], ...]] = ("", ())
        self._read: dict[Path, tuple[_Version, BuildFile]] = {}

    # -- which files there are -------------------------------------------------------------------------------------

    @property
    def folder(self) -> Path:
        """The folder for a person's own build files."""
        folder = self.home / "builds"
        with contextlib.suppress(OSError):  # it may be read-only
            folder.mkdir(exist_ok=True)
        return folder

    def paths(self) -> tuple[Path, ...]:
        """The file opened last, others opened from elsewhere, a person's own, then the samples."""
        own = sorted(self.folder.glob("*.toml"))
        samples = sorted(asset_dir("sample_projects").glob("*.toml"))
        opened = [path for _, path in self.opened()]
        elsewhere = (path for path in opened if path not in own and path not in samples)
        paths = dict.fromkeys((*opened[:1], *elsewhere, *own, *samples))
        return tuple(path for path in paths if path.is_file())  # neither pipes nor folders

    def opened(self) -> tuple[tuple[str, Path], ...]:
        """The run and the file of every build opened here, the latest first."""
        written = self._settings.get(OPENED, "[]")
        if written != self._opened[0]:
            try:
                self._opened = written, tuple((str(run), Path(path)) for run, path in json.loads(written))
            except (ValueError, TypeError):  # something else wrote it
                self._opened = written, ()
        return self._opened[1]

    def opened_at(self, run: str) -> Path | None:
        """The file that a run was opened from last."""
        return next((path for name, path in self.opened() if name == run), None)

    def remember(self, run: str, path: Path) -> None:
        """Remember that a build was opened: it stays known wherever its file is."""
        others = [[name, str(file)] for name, file in self.opened() if file != path]
        self._settings[OPENED] = json.dumps([[run, str(path)], *others][:MOST_OPENED])

    def forget(self, run: str) -> None:
        """Forget the file of this run."""
        self._settings[OPENED] = json.dumps([[name, str(file)] for name, file in self.opened() if name != run])

    # -- their contents --------------------------------------------------------------------------------------------

    def read(self, path: Path) -> BuildFile:
        """The file as it is now; it is read only if this version isn't known."""
        version = self._version(path)
        known = self._read.get(path)
        if known is None or known[0] != version:
            with self._lock:
                known = self._read.get(path)
                if known is None or known[0] != version:
                    known = self._read[path] = version, self._reread(path)
        return known[1]

    def files(self) -> tuple[BuildFile, ...]:
        """Every file, read if necessary."""
        return tuple(map(self.read, self.paths()))

    def known(self, path: Path) -> BuildFile | None:
        """A file as it is now, if it was read since it was last changed. Reads nothing."""
        known = self._read.get(path)
        return known[1] if known is not None and known[0] == self._version(path) else None

    def has_problems(self, path: Path) -> bool:
        """Whether a file exists, was read, and can't be used in its present version."""
        file = self.known(path)
        return file is not None and file.run is None and path.is_file()

    def unread(self, paths: Iterable[Path] | None = None) -> tuple[Path, ...]:
        """Which of these files, or of all files, aren't known in their present version."""
        return tuple(path for path in (self.paths() if paths is None else paths) if self.known(path) is None)

    def learn(self, paths: Iterable[Path] | None = None) -> None:
        """Read what isn't known yet, so that nobody has to wait for it."""
        for path in self.unread(paths):
            self.read(path)

    def _reread(self, path: Path) -> BuildFile:
        defaults = shop_defaults(self._settings)
        loaded = read_build(path, defaults)
        if loaded.build is None:
            return BuildFile(path, loaded, None)
        return BuildFile(path, loaded, start_run(read_in(loaded.build, self._settings.get("units", ""), defaults)))

    def _version(self, path: Path) -> _Version:
        """The version of a file: its time and size, and the settings by which it is read."""
        how = (self._settings.get("units", ""), shop_defaults(self._settings))
        try:
            found = path.stat()
        except (OSError, ValueError):  # it is gone, or its name is invalid
            return (None, *how)
        return (found.st_mtime_ns, found.st_size, found.st_ino, *how)

    # -- whose run, whose code ---------------------------------------------------------------------------------

    def file_of(self, run: str) -> BuildFile | None:
        """The file that a run is made from, among those that were read: where it was opened last, or where it is
        now."""
        opened = (path for name, path in self.opened() if name == run)
        return self._made_from(run, opened) or self._made_from(run, self.paths())

    def _made_from(self, run: str, paths: Iterable[Path]) -> BuildFile | None:
        files = (self.known(path) for path in paths)
        return next((file for file in files if file and file.run and file.run.name == run), None)

    def unread_for(self, run: str) -> tuple[Path, ...]:
        """What must be read before `file_of` can answer: nothing, the opened file, or else all files."""
        if self.file_of(run) is not None:
            return ()
        return self.unread([path for name, path in self.opened() if name == run and path.is_file()]) or self.unread()

    def find_code(self, code: str) -> tuple[BuildFile, str] | None:
        """The first build file that has an item or a rack board with this code, and its key. Reads files as
        necessary."""
        for file in map(self.read, self.paths()):
            if file.run is None:
                continue
            board = file.run.board_of(code)
            key = board_key(board.name) if board else file.run.by_code.get(code, "")
            if key:
                return file, key
        return None
