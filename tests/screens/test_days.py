"""Each sample build from its first board to the proven piece, over days and weeks, with the tablet started again in
every wait.

The pieces are cut without touches (test_story.py does that by touch): this file is about glue-ups, coats, clocks and
tests.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from kit.driver import Driver
from kit.story import SCENARIOS, Maker, Scenario, new_app

from tracker.screens.overlays.prove import ProveCover
from tracker.screens.places.glueup_tiles import CardTile
from tracker.screens.toolkit.clock_face import ClockChip
from tracker.screens.toolkit.keypad import Key
from tracker.screens.toolkit.prompts import Panel
from tracker.tour.headless import HandTime
from tracker.work.clocks.elapsed import BOTH_WITHIN, remaining
from tracker.work.decide.decide import Do
from tracker.work.decide.prerequisites import next_step
from tracker.work.operations import Step
from tracker.work.run import Item, Run
from tracker.work.state.state import RunningWait, running_waits, waits_of

LEAST_DAYS = {"planter": 30, "stool": 30, "hall_bench": 14}
"""The days that the finishes take: the planter's and the stool's by the table's 30 days, the bench's by its file."""


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario.sample)
def test_from_the_first_board_to_the_proven_piece(
    scenario: Scenario, run_app: Callable[..., Driver], hand_time: HandTime, tmp_path: Path
) -> None:
    days = Days(run_app, hand_time, tmp_path)
    days.maker.open(scenario.name)
    for piece in days.run.pieces:
        for step in piece.route:
            assert days.maker.app.shop.do(Do(piece.key, step.id)) is None
    for assembly in days.run.assemblies:
        days.make(assembly)
    state, entries = days.maker.app.shop.state, days.maker.app.shop.entries()
    assert all(state.finished(days.run, item) for item in days.run.items.values())
    assert not running_waits(days.run, state)
    assert (entries[-1].at - entries[0].at).days >= LEAST_DAYS[scenario.sample]
    assert days.restarts >= 4, "clamps, cure, a coat, the finish"
    early = [tick for item in days.run.items.values() for tick in state.of(days.run, item) if tick.early]
    assert not early, "nothing was hurried"
    assert not (tmp_path / "errors.log").exists(), (tmp_path / "errors.log").read_text()


class Days:
    """A maker who does the next thing, waits, restarts the tablet and continues where it was."""

    def __init__(self, run_app: Callable[..., Driver], time: HandTime, home: Path) -> None:
        self._run_app, self._time, self._home = run_app, time, home
        self.restarts = 0
        self._checked = self._named = False
        self.maker = self._start()

    def _start(self) -> Maker:
        booted = self._time.boot if self.restarts else 0.0
        return Maker(
            self._run_app(new_app(self._home, self._time, f"boot {self.restarts}", booted), (1280, 800), 149.0)
        )

    @property
    def run(self) -> Run:
        run: Run = self.maker.app.shop.run
        return run

    def make(self, assembly: Item) -> None:
        """Do an assembly's whole route."""
        self.maker.scan(assembly.key)
        while (step := next_step(self.run, self.maker.app.shop.state, assembly)) is not None:
            running = self._in_the_way(assembly, step)
            if running is not None:
                self.wait(running)
                self.maker.scan(assembly.key)
            elif step.id == "prove":
                self.prove(assembly)
            elif step.id == "spread":
                self.spread_by_the_checklist(assembly)
            else:
                self.maker.driver.tap(self.maker.big_button())
                assert self.maker.app.shop.state.is_done(self.run, assembly, step.id), self.maker.app.root.said
        for running in waits_of(self.run, self.maker.app.shop.state, assembly):
            self.wait(running)

    def _in_the_way(self, assembly: Item, step: Step) -> RunningWait | None:
        if self.maker.card().action.refusal is None:
            return None
        running = waits_of(self.run, self.maker.app.shop.state, assembly)
        return next((each for each in running if each.wait.at_least), None)

    def wait(self, running: RunningWait) -> None:
        """Wait for a clock: the tablet is off for half of the time, then on, and a person confirms its clock; then
        until the alarm."""
        maker = self.maker
        maker.driver.run_for(11, 1.0)  # a heartbeat
        left = remaining(running, maker.app.shop.now())
        maker.driver.stop()
        self._time.advance(left / 2)
        self.restarts += 1
        maker = self.maker = self._start()
        maker.driver.run_for(0.4, 0.1)
        (panel,) = maker.driver.find(Panel)
        maker.driver.tap_text(panel.options[0].text)
        here = next(each for each in running_waits(self.run, maker.app.shop.state) if each.entry.id == running.entry.id)
        assert remaining(here, maker.app.shop.now()) == pytest.approx(left / 2 + BOTH_WITHIN, abs=5), (
            "the clock ran on while it was off"
        )
        on_card = maker.card().key == running.item.key and maker.card().clock is not None
        assert on_card or running.item.short in [chip.title for chip in maker.driver.find(ClockChip)]
        maker.driver.jump(left / 2 + BOTH_WITHIN + 1)
        maker.driver.run_for(2.0, 0.5)
        maker.answer_alarm()

    def spread_by_the_checklist(self, assembly: Item) -> None:
        """Scan in every part, tick every line, enter the shop's air; then spread the glue."""
        if not self._checked:
            for key in self.maker.app.shop.state.members(self.run, assembly):
                self.maker.scan(key)
            self.enter_air()
        self.maker.spread_by_the_checklist()
        tick = self.maker.app.shop.state.tick(self.run, assembly, "spread")
        assert tick is not None
        assert tick.done.unchecked == ()
        self._checked = True

    def enter_air(self) -> None:
        """Enter 19 °C or 66 °F, and 50 per cent, behind the tile of the times."""
        driver = self.maker.driver
        driver.tap(next(tile for tile in driver.find(CardTile) if tile.sheet == "times"))
        driver.run_for(0.3, 0.1)
        driver.tap_text("Shop temperature and humidity")
        driver.run_for(0.3, 0.1)
        for sign in "66" if self.run.build.units == "in" else "19":
            driver.tap(driver.find(Key, key=sign)[-1])
        driver.tap_text("relative humidity")
        for sign in "50":
            driver.tap(driver.find(Key, key=sign)[-1])
        driver.tap_text("Save")
        driver.run_for(0.3, 0.1)
        driver.tap_text("Back")
        driver.run_for(0.3, 0.1)

    def prove(self, assembly: Item) -> None:
        """Pass every line, tested by the same person."""
        driver = self.maker.driver
        driver.tap(self.maker.big_button())
        for check in self.run.build.assembly(assembly.id).prove:
            driver.run_for(0.3, 0.1)
            driver.tap_text(check[0].upper() + check[1:])
            if not self._named:
                driver.run_for(0.3, 0.1)
                driver.tap_text("Who checked?")
                driver.run_for(0.3, 0.1)
                driver.tap(driver.find(Key, key="M")[-1])

                driver.tap_text("Save")

                self._named = True
            driver.run_for(0.3, 0.1)
            driver.tap_text("Pass")
        proofs = self.maker.app.shop.state.proofs(self.run, assembly)
        assert {(kept.fact.passed, kept.fact.by) for kept in proofs.values()} == {(True, "M")}
        (cover,) = driver.find(ProveCover)
        cover.close()
