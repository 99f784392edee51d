"""Work the real app by touch where there is no room, and where nothing can be written.

    python tests/faults full

Three cases: a disk that fills up during the work (a small tmpfs, as root), files that may not grow any more
(RLIMIT_FSIZE, anywhere), and a read-only folder (as another user, when root). In each the app opens and shows what is
done; a tap that can't be kept isn't shown as done, and the screen says why in a sentence; once there is room again the
same tap works. Prints one line for each; exits 1 if one of them fails.
"""

from __future__ import annotations

import contextlib
import os
import resource
import signal
import subprocess
import tempfile
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from faults.killed import prepare

Start = Callable[[Path], Any]
ROOM = 24 * 1024 * 1024
NOBODY = 65534


@contextlib.contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """A disk of a few MB in memory. Raises CalledProcessError if it may not be mounted."""
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={ROOM}", "kerfcard-faults", str(folder)]
    subprocess.run(command, check=True, capture_output=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True, capture_output=True)


class Bench:
    """The app on a home folder, with the planter's card, and the messages on its screen."""

    def __init__(self, start: Start, home: Path) -> None:
        from kit.story import SCENARIOS, Maker

        self.driver = start(home)
        self.maker = Maker(self.driver)
        self.scenario = SCENARIOS[0]

    @property
    def shop(self) -> Any:
        return self.driver.app.shop

    def open(self) -> None:
        if self.shop.run is None:
            self.maker.open(self.scenario.name)
        self.driver.run_for(0.4, 0.05)

    def tap(self, key: str) -> tuple[bool, str]:
        """Tap the large button of a piece: whether its mark turned solid, and the message on the screen."""
        self.maker.scan(key)
        card = self.maker.card()
        word = self.shop.run.items[key].step(card.action.intent.step).mark
        self.driver.app.quiet()
        self.driver.tap(self.maker.big_button())
        self.driver.run_for(0.4, 0.05)
        said = self.driver.app.root.said or self.shop.warning
        self.maker.scan(key)  # the card has gone on to the next piece
        return self.maker.marks()[word] == "done", said

    def close(self) -> None:
        self.driver.stop()


def a_disk_that_fills_up(start: Start, folder: Path) -> str:
    with small_disk(folder / "disk") as disk:
        return _fills_up(start, disk / "home", _fill, lambda path: path.unlink())


def files_that_may_not_grow(start: Start, folder: Path) -> str:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # the write fails instead of ending the process
    most = resource.getrlimit(resource.RLIMIT_FSIZE)

    def stop_growing(home: Path) -> Path:
        size = max(path.stat().st_size for path in home.iterdir() if path.name.startswith("kerfcard.db"))
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, most[1]))
        return home

    return _fills_up(start, folder / "home", stop_growing, lambda _: resource.setrlimit(resource.RLIMIT_FSIZE, most))


def _fills_up(start: Start, home: Path, fill: Callable[[Path], Path], free: Callable[[Path], None]) -> str:
    bench = Bench(start, home)
    bench.open()
    keys = [item.key for item in bench.shop.run.pieces]
    assert bench.tap(keys[0])[0]
    filled = fill(home)
    refused = ""
    for key in keys[1:]:  # there may still be room in the last page
        done, said = bench.tap(key)
        if not done:
            refused = said
            break
    assert refused, "nothing was refused, or nothing was said"
    kept = bench.shop.entries()
    bench.close()
    bench = Bench(start, home)  # on a full disk it opens all the same, and shows everything
    assert bench.shop.entries() == kept, "not everything is shown on the full disk"
    bench.open()
    bench.close()
    free(filled)
    bench = Bench(start, home)
    bench.open()
    assert bench.shop.entries()[: len(kept)] == kept
    done, said = bench.tap(key)
    assert done, f"with room again it still isn't done: {said}"
    bench.close()
    return refused


def _fill(home: Path) -> Path:
    path = home.parent / "films"
    with path.open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while True:
            file.write(bytes(4096))
    return path


def a_folder_that_only_reads(start: Start, folder: Path) -> str:
    home = folder / "home"
    bench = Bench(start, home)
    bench.open()
    key = next(item.key for item in bench.shop.run.pieces)
    assert bench.tap(key)[0]
    kept = bench.shop.entries()
    bench.close()
    for path in (*home.rglob("*"), home):
        path.chmod(0o555 if path.is_dir() else 0o444)
    folder.chmod(0o755)
    if os.getuid() == 0:
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    bench = Bench(start, home)
    assert bench.shop.entries() == kept, "not everything is shown"
    assert bench.driver.app.root.said, "it isn't said that nothing can be marked"
    bench.open()
    done, said = bench.tap(key)
    assert not done, "a tap is shown as done that nothing keeps"
    assert said, "nothing was said to the tap"
    bench.close()
    return str(said)


PLACES = (a_disk_that_fills_up, files_that_may_not_grow, a_folder_that_only_reads)


def run(start: Start, place: Callable[[Start, Path], str]) -> tuple[bool, str]:
    """Test a case in a separate process: whether everything is as required, and the message after the tap."""
    ear, mouth = os.pipe()
    with tempfile.TemporaryDirectory() as folder:
        child = os.fork()
        if child == 0:
            words = "-"
            try:
                words = "+" + place(start, Path(folder))
            except subprocess.CalledProcessError as error:
                words = f"~{str(error.stderr, 'utf-8', 'replace').strip()}"
            except BaseException:
                words = "-" + traceback.format_exc()
            os.write(mouth, words.encode())
            os._exit(0)
        os.close(mouth)
        with os.fdopen(ear) as heard:
            words = heard.read()
        os.waitpid(child, 0)
        for path in (Path(folder), *Path(folder).rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
    return words[:1] in "+~", words[1:] if words[:1] != "~" else f"can't be tried here: {words[1:]}"


def main(words: list[str]) -> int:
    start = prepare()
    wrong = 0
    for place in PLACES:
        good, said = run(start, place)
        wrong += not good
        print(f"{place.__name__.replace('_', ' ')}: {said}", flush=True)
    return 1 if wrong else 0
