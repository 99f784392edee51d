"""Simulated hands: a knuckle that aims at one target and lands around it, and sleeves and chips that aim at nothing.

Spreads and times are those of the project's touch goals: 3.5 mm to each side for gloves at arm's length (our own
proposal, no source), ghosts of 5 to 25 ms, taps of 40 to 300 ms that drift by up to 3 mm.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

from kivy.base import EventLoop
from kivy.core.window import Window
from kivy.uix.scrollview import ScrollView
from kivy.uix.widget import Widget

from kit.boxes import Box, box_of, clip_of, name_of, targets
from kit.driver import Driver
from kit.one_widget import lift, touch
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.overlay import Overlay
from tracker.screens.toolkit.theme import SMALL, TARGET
from tracker.screens.toolkit.touch import Tappable
from tracker.tour.headless import Finger

SPREAD_MM = 3.5


@dataclass(slots=True)
class Aimed:
    """The results of taps aimed at one target."""

    name: str
    hit: int = 0
    missed: int = 0
    neighbour: int = 0

    @property
    def taps(self) -> int:
        return self.hit + self.missed + self.neighbour


def while_working(root: Widget) -> list[Widget]:
    """The targets that are tapped while working, if they are completely in view and enabled."""
    return [
        widget
        for widget in targets(root)
        if isinstance(widget, Tappable)
        and getattr(widget, "least_mm", TARGET if isinstance(widget, ListRow) else SMALL) >= TARGET
        and not getattr(widget, "disabled", False)
        and box_of(widget) == box_of(widget).meet(clip_of(widget))
    ]


def aimed_at(driver: Driver, target: Widget) -> tuple[Any, ...]:
    """Everything that decides over taps at a target: its position, the screen or sheet, and every target within reach
    of a tap. Where all of this is equal, as for the rail on each screen, the results are, too."""
    root, mm, here = driver.app.root, driver.app.theme.mm, box_of(target)
    sheets = [type(child) for child in root.children if isinstance(child, Overlay)]
    near = {(type(other), box_of(other)) for other in targets(root) if box_of(other).gap(here) < 5 * SPREAD_MM * mm}
    return root.current, tuple(sheets), type(target), here, frozenset(near)


def aim(driver: Driver, target: Widget, taps: int, spread_mm: float = SPREAD_MM, seed: int = 0) -> Aimed:
    """This many taps at the middle of `target`, each through Kivy's dispatch to the widget that would respond.

    They are spread as normal deviates of a Kronecker sequence: the same on every run, and as even as possible, so that
    a few hundred taps give the result of a hundred thousand. No time passes in the shop.
    """
    clock = driver.app.shop._clock
    found = Aimed(name_of(target))
    x, y = (box_of(target).left + box_of(target).right) / 2, (box_of(target).low + box_of(target).high) / 2
    spread = spread_mm * driver.app.theme.mm
    for across, up in deviates(taps, seed):
        place, began = (x + across * spread, y + up * spread), driver.time.boot
        answers = who_answers(driver, place)
        clock.held += driver.time.boot - began
        if answers is target:
            found.hit += 1
        elif answers is None:
            found.missed += 1
        else:
            found.neighbour += 1
    return found


def deviates(count: int, seed: int = 0) -> Iterator[tuple[float, float]]:
    """Pairs of standard normal deviates: the R2 sequence (Roberts 2018, the plastic number), through the inverse of the
    normal distribution."""
    plastic = 1.32471795724474602596
    normal = NormalDist()
    for at in range(1, count + 1):
        yield tuple(  # type: ignore[misc]
            normal.inv_cdf(min(1 - 1e-9, max(1e-9, (seed * 0.618034 + at / plastic**power) % 1))) for power in (1, 2)
        )


def who_answers(driver: Driver, place: tuple[float, float]) -> Tappable | None:
    """The widget that a touch at this position belongs to. The touch goes down through the whole tree, and is marked as
    a ghost before it is lifted, so that it has no effect."""
    width, height = Window.size
    if not (0 <= place[0] < width and 0 <= place[1] < height):
        return None
    driver._count += 1
    finger = Finger(driver._count, driver._place(place), driver.time.wall)
    EventLoop.post_dispatch_input("begin", finger)
    answer = _grabbed(finger)
    if answer is None and any(isinstance(each(), ScrollView) for each in finger.grab_list):
        driver.frames(4, 0.03)  # a list waits to see whether it becomes a swipe
        answer = _grabbed(finger)
    finger.ud["kerfcard_ghost"] = True
    finger.time_end = driver.time.wall
    EventLoop.post_dispatch_input("end", finger)
    return answer


def _grabbed(finger: Finger) -> Tappable | None:
    return next((widget for each in finger.grab_list if isinstance(widget := each(), Tappable)), None)


def rain(driver: Driver, contacts: int, chance: random.Random) -> int:
    """Ghosts all over the screen: short, hopping, in crowds, along the edges; returns how many contacts there were."""
    fallen = 0
    while fallen < contacts:
        crowd = chance.choice((1, 1, 1, 2, 3, 5, 10))
        fingers = [touch(driver, place) for place in _ghost_places(chance, crowd)]
        fallen += crowd
        driver.frames(1, chance.uniform(0.005, 0.025))
        for finger in fingers:
            lift(driver, finger)
        driver.frames(1, chance.uniform(0.005, 0.05))
    return fallen


def _ghost_places(chance: random.Random, crowd: int) -> list[tuple[float, float]]:
    width, height = Window.width - 1, Window.height - 1
    if chance.random() < 0.3:  # a sleeve along an edge
        edge = chance.choice(((0, 0.03, 0, 1), (0.97, 1, 0, 1), (0, 1, 0, 0.03), (0, 1, 0.97, 1)))
        return [(chance.uniform(*edge[:2]) * width, chance.uniform(*edge[2:]) * height) for _ in range(crowd)]
    return [(chance.uniform(0, width), chance.uniform(0, height)) for _ in range(crowd)]


def tap_as_people_do(driver: Driver, target: Widget, chance: random.Random) -> None:
    """A tap near the middle that lasts 40 to 300 ms and drifts by up to 3 mm; then enough time for the button."""
    box, mm = box_of(target), driver.app.theme.mm
    reach = max(0.0, min(box.width, box.height) / 2 - 4 * mm)
    x = (box.left + box.right) / 2 + chance.uniform(-reach, reach)
    y = (box.low + box.high) / 2 + chance.uniform(-reach, reach)
    finger = touch(driver, (x, y))
    driver.frames(1, 0.01)
    driver.move(finger, (x + chance.uniform(-2.1, 2.1) * mm, y + chance.uniform(-2.1, 2.1) * mm))
    driver.frames(1, chance.uniform(0.03, 0.26))
    lift(driver, finger)
    driver.frames(1, 0.01)
    driver.frames(2, 0.2)


@dataclass(frozen=True, slots=True)
class Stored:
    """How many taps there were, and how many were stored exactly once."""

    taps: int
    once: int


def real_taps(driver: Driver, button: Callable[[], Any], entries: Callable[[], int], taps: int, seed: int) -> Stored:
    """Taps on what `button()` returns at that moment, each of which should add exactly one to `entries()`."""
    chance = random.Random(seed)
    once = 0
    for _ in range(taps):
        before = entries()
        tap_as_people_do(driver, button(), chance)
        once += entries() == before + 1
    return Stored(taps, once)


def outside(box: Box, other: Box) -> float:
    """How far `box` extends outside `other`, at most (points)."""
    return max(other.left - box.left, other.low - box.low, box.right - other.right, box.high - other.high)
