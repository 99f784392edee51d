"""What the app costs beside Kivy alone: the start to the first card, and memory over many changes of the screen.

    python tests/bench/kivy_cost.py [--starts 7] [--changes 2000]

Each start is a new process on no pixels, in turn: an empty Kivy window until its first frame, and the app on a build
until its first card is laid out. Then one app changes its screen, and says what memory it has at every quarter.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

TESTS = Path(__file__).parents[1]
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""As on a tablet: modules are compiled once."""
sys.path.insert(0, str(TESTS))

COMMON = """
import sys
sys.path.insert(0, {tests!r})
sys.modules["pandas"] = None  # sqlite-utils loads it where it finds it, and no tablet has it
import os
os.environ["KERFCARD_TEST_DISPLAY"] = "null"
from kit import display
display.environment()
display.open_window()
"""
EMPTY = (
    COMMON
    + """
from kivy.app import App
from kivy.uix.widget import Widget
class Empty(App):
    def load_config(self): return None
    def load_kv(self, filename=None): return False
    def build(self): return Widget()
app = Empty()
"""
)
OURS = (
    COMMON
    + """
from pathlib import Path
from tracker.screens.app import KerfcardApp
from tracker.shop import Shop
app = KerfcardApp(Shop(Path({home!r})))
"""
)
START = """
from kivy.base import EventLoop, runTouchApp
app._run_prepare()
runTouchApp(embedded=True)
for _ in range(3):
    EventLoop.idle()
"""
CARD = """
from tracker.screens.fraction import BigReading
assert any(isinstance(each, BigReading) and each.reading for each in app.root.walk())
"""


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--starts", type=int, default=7)
    asked.add_argument("--changes", type=int, default=2000)
    args = asked.parse_args()
    with tempfile.TemporaryDirectory() as home:
        begin(Path(home))
        run(OURS + START + CARD, home)  # compiles what is new
        empty, ours = [], []
        for _ in range(args.starts):
            empty.append(run(EMPTY + START, home))
            ours.append(run(OURS + START + CARD, home))
    print(
        f"start: an empty Kivy window {median(empty):.2f} s, the app to its first card {median(ours):.2f} s", end=", "
    )
    print(f"ratio {median(ours) / median(empty):.2f}")
    with tempfile.TemporaryDirectory() as home:
        change_screens(Path(home), args.changes)


def begin(home: Path) -> None:
    """A home whose last screen was the card of a piece."""
    from tracker.assets import asset_dir
    from tracker.shop import Shop

    shop = Shop(home)
    shop.open(asset_dir("sample_projects") / "planter.toml")
    shop.settings["screen"], shop.settings["hand"] = "station", "side:1"
    shop.close()


def run(code: str, home: str) -> float:
    """Seconds of a process of its own."""
    code = code.format(tests=str(TESTS), home=home)
    started = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, env=ENVIRONMENT)
    return time.perf_counter() - started


def change_screens(home: Path, changes: int) -> None:
    from kit.scripted import glass_without_pixels, maker_at_the_saw

    maker = maker_at_the_saw(glass_without_pixels(), home)
    places = sorted(maker.app.places)
    for _ in range(2):  # each screen is made when it is first shown
        for place in places:
            maker.app.go(place)
            maker.driver.frames(2)
    used = [kept()]
    for quarter in range(4):
        for change in range(changes // 4):
            maker.app.go(places[change % len(places)])
            maker.driver.frames(2)
        used.append(kept())
        print(f"after {(quarter + 1) * changes // 4} changes of the screen: {used[-1]:.1f} MB")
    print(f"before them {used[0]:.1f} MB; over the last three quarters {used[-1] - used[1]:+.1f} MB", end="; ")
    print(f"at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.1f} MB")


def kept() -> float:
    """What the process has in memory now (MB)."""
    import gc

    gc.collect()
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


if __name__ == "__main__":
    main()
