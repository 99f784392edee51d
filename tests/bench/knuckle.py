"""The long counts for touch: knuckles aimed at a target, ghosts, and taps that count once.

    python tests/bench/knuckle.py [--taps 100000] [--contacts 10000]

A table: for every screen of the tour how many of `--taps` taps with a spread of 3.5 mm, shared among the targets that
are tapped while working, were answered by the one that was meant, and how many by a neighbour; then how many of
`--contacts` ghosts left a fact (none should), and how many of as many real taps left exactly one.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

SEED = 20260302


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--taps", type=int, default=100_000, help="a screen")
    asked.add_argument("--contacts", type=int, default=10_000)
    asked.add_argument("--screens", default="", help="only those whose name begins so, several with commas")
    args = asked.parse_args()
    from kit.scripted import maker_at_the_saw, screen_without_pixels

    start = screen_without_pixels()
    with tempfile.TemporaryDirectory() as home:
        knuckles(start, Path(home), args.taps, tuple(args.screens.split(",")))
    with tempfile.TemporaryDirectory() as home:
        contacts(maker_at_the_saw(start, Path(home)), args.contacts)


def knuckles(start, home: Path, taps: int, screens: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    from kit import hands
    from kit.story import StoryClock

    from tracker.tour.guide import Guide
    from tracker.tour.itinerary import itinerary
    from tracker.tour.looks import Look, app_with

    driver = start(lambda time: app_with(Look("1920x1200"), home / "kerfcard", StoryClock(time)))
    print(f"{'screen':44} {'targets':>7} {'taps':>7} {'hit %':>8} {'neighbour %':>12}")
    for name in itinerary(Guide(driver.app, driver)):
        if not name.startswith(screens):
            continue
        driver.run_for(1.0, 0.2)
        meant = hands.while_working(driver.app.root)
        if not meant:
            continue
        aimed = [hands.aim(driver, target, -(-taps // len(meant))) for target in meant]
        count = sum(each.taps for each in aimed)
        hit, neighbour = sum(each.hit for each in aimed), sum(each.neighbour for each in aimed)
        print(
            f"{name:44} {len(meant):7} {count:7} {100 * hit / count:8.3f} {100 * neighbour / count:12.4f}", flush=True
        )
    driver.stop()


def contacts(maker, count: int) -> None:  # type: ignore[no-untyped-def]
    from kit import hands

    from tracker.screens.toolkit.buttons import SmallButton

    def entries() -> int:
        return len(maker.app.shop.entries())

    def button() -> object:
        if maker.card().action.intent is not None and not maker.card().undo:
            return maker.big_button()
        return next(
            each for each in maker.driver.find(SmallButton) if each.text.startswith("Undo") and not each.disabled
        )

    before = entries()
    fallen = hands.rain(maker.driver, count, random.Random(SEED))
    print(f"ghosts: {entries() - before} of {fallen} left a fact")
    maker.driver.run_for(1.0, 0.1)
    stored = hands.real_taps(maker.driver, button, entries, taps=count, seed=SEED)
    print(f"taps: {stored.once} of {stored.taps} left exactly one fact")
    maker.driver.stop()


if __name__ == "__main__":
    main()
