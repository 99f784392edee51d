"""The maker of the story tests: works the real app by touch and scanner, checks what is drawn, and reports what was
shown as done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kit.driver import Driver
from tracker.screens.places.more import Tile
from tracker.screens.toolkit.buttons import BigButton, RailButton, SmallButton
from tracker.screens.toolkit.list_rows import ListRow
from tracker.screens.toolkit.marks import Mark
from tracker.tour.headless import HandTime
from tracker.work.clocks.elapsed import Now

BOOT = "boot of the story"
READING = "being read"
"""The text that Builds shows for a file being read in the background."""
NOT_NEW = {"first steps": "seen"}


@dataclass(frozen=True, slots=True)
class Scenario:
    """One sample build, an assembly that is glued up in it, and a piece that is drilled."""

    sample: str
    name: str
    assembly: str
    drilled: str


SCENARIOS = (
    Scenario("planter", "Doorstep planter", "ring:1", "cleat:1"),
    Scenario("stool", "Kitchen stool", "frame:1", "rail:1"),
    Scenario("hall_bench", "Hall bench", "end-frame:1", "low-rail:1"),
)


class StoryClock:
    """The shop's clock, advanced by the stage."""

    def __init__(self, hand: HandTime, boot_id: str = BOOT, booted: float = 0.0) -> None:
        self.hand, self.boot_id, self.booted = hand, boot_id, booted
        self.held = 0.0
        """Seconds of the stage's time that didn't pass in the shop."""

    def __call__(self) -> Now:
        wall, boot = self.hand.wall - self.held, self.hand.boot - self.booted - self.held
        return Now(datetime.fromtimestamp(wall, UTC), self.boot_id, boot)


class Maker:
    """`told(item, step)` is called for every tap whose mark was seen to turn solid."""

    def __init__(self, driver: Driver, told: Callable[[str, str], None] = lambda item, step: None) -> None:
        self.driver, self.told = driver, told

    @property
    def app(self) -> Any:
        return self.driver.app

    def go(self, place: str) -> None:
        """Tap a place on the rail, or behind its `more`."""
        button = next((button for button in self.driver.find(RailButton) if button.place == place), None)
        self.driver.run_for(0.4, 0.05)  # for a moment after a screen changes it ignores touches
        if button is None:
            self.go("more")
            button = next(tile for tile in self.driver.find(Tile) if tile.name == place)
        self.driver.tap(button)

    def open(self, name: str) -> None:
        """Tap a build in the list of builds."""
        self.driver.run_for(0.4, 0.05)  # for a moment after a screen changes it ignores touches
        if self.app.root.current != "builds":
            self.go("builds")
        self.driver.until_thread(lambda: self.driver.find(ListRow) and not self.driver.find(ListRow, subtitle=READING))
        self.driver.tap(next(row for row in self.driver.find(ListRow) if row.title == name))
        self.driver.until_thread(lambda: not self.app.root.said.startswith("Reading"))

    def scan(self, key: str) -> None:
        """Pull the trigger of the handheld scanner on an item's label."""
        self.driver.scan(self.app.shop.run.codes[key])
        self.driver.run_for(0.4, 0.05)

    def card(self) -> Any:
        """The card being shown."""
        from tracker.screens.base import CardView

        return next(view for view in self.driver.find() if isinstance(view, CardView)).card

    def big_button(self) -> Any:
        return next(button for button in self.driver.find(BigButton) if button.get_root_window())

    def undo(self) -> None:
        """Tap the undo beside the large button, which names what it undoes."""
        self.driver.tap(next(b for b in self.driver.find(SmallButton) if b.text.startswith("Undo")))

    def marks(self) -> dict[str, str]:
        """The marks on the card: word and tone as they are drawn."""
        return {mark.word: mark.tone for mark in self.driver.find(Mark)}

    def next_mark(self) -> str:
        """The word of the step that the large button does."""
        card = self.card()
        return str(self.app.shop.run.items[card.key].step(card.action.intent.step).mark)

    def do_next(self) -> None:
        """Tap the large button, and see the mark of that step turn solid. On the card of a piece it is scanned again
        first, because the card goes on to the next piece. Questions before glue are answered first."""
        card, word = self.card(), self.next_mark()
        assert self.marks()[word] == "ready", f"{card.title}: {word} is {self.marks()[word]}, {card.action.why}"
        if getattr(card, "opens", None) == "checks":
            self.spread_by_the_checklist()
        else:
            self.driver.tap(self.big_button())
        if self.app.shop.run.items[card.key].kind == "piece":
            self.scan(card.key)
        assert self.marks()[word] == "done", f"{card.title}: {word} is not drawn as done"
        self.told(card.key, card.action.intent.step)

    def spread_by_the_checklist(self) -> None:
        """The checklist over the screen: tick every line, then spread the glue."""
        from tracker.screens.overlays.checklist import ChecklistCover, CheckTile

        self.driver.tap(self.big_button())
        self.driver.run_for(0.4, 0.1)
        for tile in self.driver.find(CheckTile):
            if tile.line.tone == "ready":
                self.driver.tap(tile)
        assert all(tile.line.tone == "done" for tile in self.driver.find(CheckTile))
        (cover,) = self.driver.find(ChecklistCover)
        self.driver.tap(next(child for child in cover.ids.grid.children if isinstance(child, BigButton)))

    def can_go_on(self) -> bool:
        """Whether the current item has a next step that waits for nothing."""
        return self.card().action.intent is not None and self.marks()[self.next_mark()] == "ready"

    def work(self, key: str) -> None:
        """Scan a piece and do its whole route."""
        self.scan(key)
        while self.card().action.intent is not None:
            self.do_next()

    def glue_up(self, key: str) -> None:
        """From dry fit to taking the clamps off, each step when its time has come."""
        self.scan(key)
        while self.card().action.intent.step in ("dry fit", "spread", "clamp"):
            self.do_next()

    def wait_out(self, kind: str) -> None:
        """Wait until a clock has ended."""
        from tracker.work.state.state import running_waits

        shop = self.app.shop
        wait = next(r for r in running_waits(shop.run, shop.state) if r.wait.kind == kind)
        self.driver.jump(wait.wait.seconds + 1)
        self.driver.run_for(2.0, 0.5)
        self.answer_alarm()

    def answer_alarm(self) -> None:
        """Go to the tablet that calls, and answer."""
        from tracker.screens.overlays.alarm import AlarmView

        while self.driver.find(AlarmView):
            self.driver.run_for(0.4, 0.1)  # what lands as it appears was meant for the screen before
            self.driver.tap_text(self.driver.find(AlarmView)[0].card.stop_text)


def shown_picture(maker: Maker) -> Any:
    """The plate with the picture on the card of an assembly; a tap opens the large one."""
    from tracker.screens.places.glueup_tiles import PictureTile

    (plate,) = [each for each in maker.driver.find(PictureTile) if each.opacity and each.get_root_window()]
    return plate


def new_app(home: Path, hand: HandTime, boot_id: str = BOOT, booted: float = 0.0) -> Any:
    """The app as `kerfcard` makes it, with the story's clock, for someone who has seen the first steps; `booted` is
    when this boot began, by the stage's clock."""
    from tracker.screens.start import app_on

    return app_on(home, clock=StoryClock(hand, boot_id, booted), settings=NOT_NEW)
