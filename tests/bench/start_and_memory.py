"""The cost of the app beside that of Kivy alone: the start to the first card, and memory over many changes of the
screen.

    python tests/bench/start_and_memory.py [--starts 7] [--changes 2000]

Each start is a new process on no pixels, in turn: an empty Kivy window until its first frame; Kivy alone with the tree
of the first card, as many stock widgets with the same words, and our kv files read; the same with sqlite-utils, which
the record is kept by; and the app on a build until its first card is laid out. The cost of the two in between is
unavoidable for an app with this screen: they include no drawing, no record and no build. Then one app changes its
screen, and reports its memory after every quarter.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from msgspec import Struct

TESTS = Path(__file__).parents[1]
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""As on a tablet: modules are already compiled."""
sys.path.insert(0, str(TESTS))

COMMON = """
import sys
sys.path.insert(0, {tests!r})
sys.modules["pandas"] = None  # sqlite-utils loads it where it finds it, and no tablet has it
import os
os.environ["KERFCARD_TEST_DISPLAY"] = "null"
from kit import display
os.environ["KCFG_INPUT_MOUSE"] = "mouse"  # ours is known only to the app
display.environment()
display.open_window()
from pathlib import Path
"""
EMPTY = (
    COMMON
    + """
from kivy.app import App
from kivy.uix.widget import Widget
class Plain(App):
    def load_config(self): return None
    def load_kv(self, filename=None): return False
    def build(self): return Widget()
app = Plain()
"""
)
ALONE = (
    EMPTY
    + """
import gc, json
gc.disable()  # as the app has it
from importlib import import_module
from kivy.lang import Builder
card = json.loads(Path({card!r}).read_text())
for module in card["modules"]:
    import_module(module)
def made(module, name, values, children):
    widget = getattr(import_module(module), name)(**values)
    for child in children:
        widget.add_widget(made(*child))
    return widget
def build():
    for file in card["kv"]:
        Builder.load_file(file)
    return made(*card["tree"])
app.build = build
"""
)
RECORD = """
import tracker.store  # sqlite-utils, without what it loads and no record needs
"""
OURS = (
    COMMON
    + """
import gc
gc.disable()  # as `run_app` has it until the first frame
from tracker.screens.start import app_on
app = app_on(Path({home!r}))
"""
)
START = """
import time
from kivy.base import EventLoop, runTouchApp
app._run_prepare()
runTouchApp(embedded=True)
for _ in range(3):
    EventLoop.idle()
print(time.process_time(), time.time())
app.dispatch("on_stop")
"""
CARD = """
from tracker.screens.toolkit.fraction import BigReading
assert any(isinstance(each, BigReading) and each.reading for each in app.root.walk())
"""
TREE = """
import json
from kivy.lang import Builder
from kivy.uix.widget import Widget
VALUES = {{
    "Label": ("text", "font_size", "font_name", "bold", "text_size"),
    "BoxLayout": ("orientation", "spacing"),
    "GridLayout": ("rows", "cols"),
}}
def stock(widget):
    # Kivy's own class that it is made from; a recycled list as the plain one below it
    own = next(each for each in type(widget).__mro__ if issubclass(each, Widget)
               and each.__module__.startswith("kivy.uix.") and not each.__module__.startswith("kivy.uix.recycle"))
    names = ("size", "size_hint", *VALUES.get(own.__name__, ()))
    values = {{name: getattr(widget, name) for name in names}}
    return own.__module__, own.__name__, values, [stock(each) for each in reversed(widget.children)]
modules = [name for name in sys.modules if name.startswith("kivy.uix.")]
kv = [file for file in Builder.files if not file.endswith("style.kv")]
Path({card!r}).write_text(json.dumps({{"modules": modules, "kv": kv, "tree": stock(app.root)}}))
"""


class Cost(Struct, frozen=True):
    """Seconds from the start of a process to its first frame."""

    processor: float
    wall: float


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--starts", type=int, default=7)
    asked.add_argument("--changes", type=int, default=2000)
    args = asked.parse_args()
    with tempfile.TemporaryDirectory() as home:
        measure_starts(Path(home), args.starts)
    with tempfile.TemporaryDirectory() as home:
        change_screens(Path(home), args.changes)


def measure_starts(home: Path, starts: int) -> None:
    begin(home)
    run(OURS + START + CARD + TREE, home)  # compiles new modules
    kinds = {
        "an empty Kivy window": EMPTY + START,
        "Kivy alone with the card's widgets": ALONE + START,
        "the same with sqlite-utils, too": ALONE + RECORD + START,
        "the app to its first card": OURS + START + CARD,
    }
    costs: dict[str, list[Cost]] = {kind: [] for kind in kinds}
    for _ in range(starts):
        for kind, code in kinds.items():
            costs[kind].append(run(code, home))
    empty, *others = ((kind, middle(found)) for kind, found in costs.items())
    print(f"start of {empty[0]}: {empty[1].processor:.3f} s of processor time, {empty[1].wall:.2f} s")
    for kind, cost in others:
        processor, wall = cost.processor / empty[1].processor, cost.wall / empty[1].wall
        print(f"{kind}: {cost.processor:.3f} s of processor time, {processor:.2f} x; {cost.wall:.2f} s, {wall:.2f} x")
    widgets = count(json.loads((home / "card.json").read_text())["tree"])
    print(f"the card has {widgets} widgets; medians of {starts} starts")


def middle(costs: list[Cost]) -> Cost:
    return Cost(median(each.processor for each in costs), median(each.wall for each in costs))


def count(tree: list[Any]) -> int:
    return 1 + sum(count(child) for child in tree[3])


def begin(home: Path) -> None:
    """A home folder whose last screen was the card of a piece."""
    from tracker.assets import asset_dir
    from tracker.shop import Shop

    shop = Shop(home)
    shop.open(asset_dir("sample_projects") / "planter.toml")
    shop.settings["screen"], shop.settings["hand"] = "station", "side:1"
    shop.close()


def run(code: str, home: Path) -> Cost:
    """Run code in a separate process."""
    code = code.format(tests=str(TESTS), home=str(home), card=str(home / "card.json"))
    started = time.time()
    done = subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.PIPE, text=True, env=ENVIRONMENT)
    processor, wall = map(float, done.stdout.split())
    return Cost(processor, wall - started)


def change_screens(home: Path, changes: int) -> None:
    from kit.scripted import maker_at_the_saw, screen_without_pixels

    maker = maker_at_the_saw(screen_without_pixels(), home)
    places = sorted(maker.app.places)
    for _ in range(2):  # each screen is made when first shown
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
    """The process's present memory (MB)."""
    import gc

    gc.collect()
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


if __name__ == "__main__":
    main()
