"""Let tablets tick, export, import, restore, be copied and be damaged in random order, and check whether they agree.

    python tests/faults merged [COUNT] [SEED]

makes shops of three tablets until COUNT exported records were imported. In between each tablet ticks and undoes steps,
makes backups, is restored from one, is copied to another folder and continues there, and has a bit flipped in its file
while it is closed. At the end every record is imported on every tablet. Then:

- all hold the same facts, each once, word for word as it was ticked, and have the same state;
- no fact that was shown as done is missing, unless a person restored its only record, or damage destroyed it and the
  tablet reported that;
- no record was refused that one of these tablets wrote.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from faults.damaged import _fast
from faults.shown import MORNING
from faults.witness import as_data

from tracker.store.exchange import is_lost
from tracker.store.record import Record
from tracker.store.recovery import LOG_NAME
from tracker.work.facts import Done, EntryId, Fact, Spoiled, Undone
from tracker.work.state.replay import replay

ACTS = ("mark",) * 8 + ("import",) * 5 + ("backup", "restore", "copy", "damage", "reopen")


@dataclass
class Tablet:
    """A record in a folder, and its clock, which nobody has set."""

    home: Path
    record: Record

    @property
    def facts(self) -> dict[EntryId, Any]:
        log = self.record.log
        return {entry.id: as_data(entry) for entry in log.entries() if not is_lost(entry)}


@dataclass
class History:
    """A shop of three tablets, what was shown as done in it, and what went wrong."""

    folder: Path
    chance: random.Random
    tablets: list[Tablet] = field(default_factory=list)
    shown: dict[EntryId, Any] = field(default_factory=dict)
    merges: int = 0
    forgiven: int = 0
    """Facts that a person undid by a restore, or that were lost by reported damage."""
    wrong: list[str] = field(default_factory=list)
    minutes: int = 0

    def live(self, acts: int) -> None:
        for number in range(3):
            self._open(self.folder / str(number))
        for _ in range(acts):
            tablet = self.chance.choice(self.tablets)
            getattr(self, f"_{self.chance.choice(ACTS)}")(tablet)
        for _ in range(2):
            for source in self.tablets:
                for tablet in self.tablets:
                    if tablet is not source:
                        self._carry(source, tablet)
        self._compare()
        for tablet in self.tablets:
            tablet.record.close()

    def _now(self) -> Any:
        self.minutes += 1
        return MORNING + timedelta(minutes=self.minutes)

    def _open(self, home: Path) -> Tablet:
        tablet = Tablet(home, Record(home, self._now()))
        self.tablets.append(tablet)
        return tablet

    def _mark(self, tablet: Tablet) -> None:
        record, chance = tablet.record, self.chance
        mine = [key for key in self.shown if key in record.log.seen.items() or key[1] <= record.log.seen.get(key[0], 0)]
        item = f"leg:{chance.randrange(8)}"
        fact: Fact = Done("frame#1", item, chance.choice(("cut", "trim", "drill")))
        if chance.random() < 0.15 and mine:
            fact = Undone(*chance.choice(mine))
        elif chance.random() < 0.08:
            fact = Spoiled("frame#1", item, "split")
        for entry in record.append(record.tablet, self._now(), [fact]):
            if entry.id in self.shown:
                self.wrong.append(f"{entry.id} was written twice")
            self.shown[entry.id] = as_data(entry)

    def _import(self, tablet: Tablet) -> None:
        self._carry(self.chance.choice([each for each in self.tablets if each is not tablet]), tablet)

    def _carry(self, source: Tablet, to: Tablet) -> None:
        file = self.folder / "carried.jsonl"
        source.record.export_to(file)
        before = to.facts
        taken = to.record.take_in_offer(to.record.look_into(file), self._now())
        self.merges += 1
        if taken.problems:
            self.wrong.append(f"refused: {taken.problems[0].what}")
        after = to.facts
        if any(after.get(key) != said for key, said in before.items()):
            self.wrong.append("taking in a record changed what was there")

    def _backup(self, tablet: Tablet) -> None:
        if tablet.record.log.seen:
            tablet.record.back_up(self._now())

    def _restore(self, tablet: Tablet) -> None:
        held = [*tablet.record.backups(), *tablet.record.replaced()]
        if held:
            before = tablet.facts
            tablet.record.restore(self.chance.choice(held).path, self._now())
            self._forgive(before, tablet)

    def _copy(self, tablet: Tablet) -> None:
        """The folder is copied as it is, and another tablet continues in the copy."""
        if len(self.tablets) < 5:
            tablet.record.close()
            copy = self.folder / f"{len(self.tablets)}"
            shutil.copytree(tablet.home, copy)
            tablet.record = Record(tablet.home, self._now())
            if self._open(copy).record.tablet == tablet.record.tablet:
                self.wrong.append("a copy goes on under the same name")

    def _damage(self, tablet: Tablet) -> None:
        before = tablet.facts
        tablet.record.close()
        path = tablet.home / LOG_NAME
        data = bytearray(path.read_bytes())
        data[self.chance.randrange(len(data))] ^= 1 << self.chance.randrange(8)
        path.write_bytes(data)
        tablet.record = Record(tablet.home, self._now())
        self._forgive(before, tablet, tablet.record.notice)

    def _reopen(self, tablet: Tablet) -> None:
        before, name = tablet.facts, tablet.record.tablet
        tablet.record.close()
        tablet.record = Record(tablet.home, self._now())
        if (tablet.facts, tablet.record.tablet) != (before, name):
            self.wrong.append("another record after it was closed and opened")

    def _forgive(self, before: dict[EntryId, Any], tablet: Tablet, said: str = "restored") -> None:
        """What neither this tablet nor another one has any more is gone; after damage only if that was reported."""
        elsewhere = {key for each in self.tablets for key in each.facts}
        gone = [key for key in before if key not in elsewhere]
        if gone and not said:
            self.wrong.append(f"{len(gone)} facts lost without a word")
        for key in gone:
            self.forgiven += self.shown.pop(key, None) is not None

    def _compare(self) -> None:
        all_facts = [tablet.facts for tablet in self.tablets]
        for key, said in self.shown.items():
            for facts in all_facts:
                if key not in facts:
                    self.wrong.append(f"{key} is missing")
                elif facts[key] != said:
                    self.wrong.append(f"{key} was changed")
        states = [replay(tablet.record.log.entries()) for tablet in self.tablets]
        if any(facts != all_facts[0] for facts in all_facts) or any(state != states[0] for state in states):
            self.wrong.append("the tablets don't agree")


def histories(count: int, seed: int) -> list[History]:
    """Histories until this many records were imported."""
    chance = random.Random(seed)
    found: list[History] = []
    while sum(each.merges for each in found) < count:
        with tempfile.TemporaryDirectory(dir=_fast()) as folder:
            history = History(Path(folder), random.Random(chance.random()))
            history.live(chance.randint(10, 40))
            history.tablets.clear()
            found.append(history)
    return found


def main(words: list[str]) -> int:
    numbers = [int(each) for each in words]
    count, seed = (numbers + [1000, 20260302][len(numbers) :])[:2]
    found = histories(count, seed)
    wrong = [what for each in found for what in each.wrong]
    merges, shown = sum(each.merges for each in found), sum(len(each.shown) for each in found)
    print(f"{merges} records taken in over {len(found)} shops, {shown} facts shown as done in the end;", end=" ")
    print(f"{sum(each.forgiven for each in found)} taken back by a restore or by a damage that was said;", end=" ")
    print(f"{len(wrong)} lost, changed, refused or not agreed on")
    for what in wrong[:20]:
        print(what, file=sys.stderr)
    return 1 if wrong else 0
