"""Histories of several tablets and one hub, each from a seed: `PYTHONPATH=tests:. python -m together.simulated 20000`.

The exchange is the shipped code; the hub is a model of schema.sql in memory (`test_simulated.py` also holds it against
the database). Before and after each question to the hub something else may happen: the line breaks, the tablet is
killed, another one ticks or meets. Kinds of histories: "plain"; "hub" (the hub is put back to an older state);
"tablets" (put back, restored, cloned, their last facts gone, carried over by file); "all".
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from itertools import groupby
from operator import attrgetter
from typing import Literal, TypeVar

from tracker.store.errors import DamagedLogError
from tracker.store.rows import Chains, Row, chain_link
from tracker.together.branch import Fork, branched
from tracker.together.errors import HubError, RefusedRowsError
from tracker.together.exchange import BATCH_ROWS, End, Gap, Tails, exchange

Sort = Literal["plain", "hub", "tablets", "all"]
SORTS: tuple[Sort, ...] = ("plain", "hub", "tablets", "all")
ROUNDS = 12
"""How many times every tablet may exchange after the last fault, until all have the same log."""
T = TypeVar("T")


class Cut(Exception):  # noqa: N818
    """The line broke."""


class Killed(Exception):  # noqa: N818
    """The tablet's program was ended."""


class ModelHub:
    """A model of what schema.sql stores and refuses."""

    def __init__(self) -> None:
        self.rows: dict[str, list[Row]] = {}

    def snapshot(self) -> dict[str, list[Row]]:
        return {tablet: list(rows) for tablet, rows in self.rows.items()}

    def put_back(self, snapshot: Mapping[str, Sequence[Row]]) -> None:
        self.rows = {tablet: list(rows) for tablet, rows in snapshot.items()}

    def all(self) -> set[Row]:
        return {row for rows in self.rows.values() for row in rows}

    def ends(self, tails: Tails) -> dict[str, End]:
        found = {}
        for tablet, rows in self.rows.items():
            count, _ = tails.get(tablet, (0, ""))
            here = rows[count - 1].chain if 0 < count <= len(rows) else None
            found[tablet] = End(len(rows), rows[-1].chain, here)
        return found

    def between(self, tablet: str, first: int, last: int) -> list[Row]:
        return self.rows.get(tablet, [])[first - 1 : last]

    def give(self, given: Sequence[Row]) -> bool:
        new: dict[str, list[Row]] = {}
        same = True
        for row in sorted(given):
            have = new.get(row.tablet) or self.rows.get(row.tablet, [])
            if row.count <= len(have):
                same = same and have[row.count - 1] == row
                continue
            if row.count != len(have) + 1:
                raise RefusedRowsError("a hole", again=True)
            if chain_link(have[-1].chain if have else "", *row[:6]) != row.chain:
                raise RefusedRowsError("it doesn't follow", again=True)
            new.setdefault(row.tablet, list(have)).append(row)
        self.rows.update(new)
        return same

    def take(self, tails: Tails, most: int) -> list[Row]:
        found: list[Row] = []
        for tablet in sorted(self.rows):
            found += self.rows[tablet][tails.get(tablet, (0, ""))[0] :][:most]
        return found[:most]


class MemorySide:
    """A tablet's log in memory."""

    def __init__(self, tablet: str, chance: random.Random, rows: Sequence[Row] = ()) -> None:
        self.tablet, self._chance = tablet, chance
        self.hold(rows)

    def hold(self, rows: Sequence[Row]) -> None:
        self.list: list[Row] = []
        self.at: dict[tuple[str, int], Row] = {}
        self.tails: dict[str, tuple[int, str]] = {}
        self.take_in(rows)

    def page(self, tablet: str, after: int, most: int) -> list[Row]:
        found = []
        while len(found) < min(most, 7) and (row := self.at.get((tablet, after + 1))) is not None:
            found.append(row)
            after += 1
        return found

    def chain_at(self, tablet: str, count: int) -> str | None:
        row = self.at.get((tablet, count))
        return row.chain if row else None

    def gaps(self) -> list[Gap]:
        return []

    def take_in(self, rows: Sequence[Row]) -> None:
        chains = Chains(self.tails)
        new = [row for row in rows if row.count > self.tails.get(row.tablet, (0, ""))[0]]
        list(chains.follow(new))
        self.list += new
        self.at.update({row.id: row for row in new})
        self.tails = chains.tails

    def restore_rows(self, rows: Sequence[Row]) -> None:
        raise AssertionError("nothing is lost here")

    def branch_off(self, forks: Sequence[tuple[str, int]]) -> list[Fork]:
        said = []
        for tablet, first in forks:
            rows, fork = branched(self.list, tablet, first)
            said += [fork] if fork else []
            self.hold(rows)
            if tablet == self.tablet:
                self.renew_name()
        return said

    def renew_name(self) -> None:
        self.tablet = f"{self._chance.getrandbits(32):08x}"


class Line:
    """The hub as seen by one tablet: around each query anything may happen."""

    def __init__(self, world: World, number: int) -> None:
        self._world, self._number, self.batch = world, number, world.batch

    def _ask(self, question: Callable[[], T]) -> T:
        world = self._world
        world.meanwhile(self._number)
        luck = world.chance.random()
        if luck < world.cuts:
            raise Cut("before it was carried out")
        answer = question()
        if luck > 1 - world.cuts:
            raise Cut("after it was carried out: nobody knows")
        if world.chance.random() < world.kills:
            raise Killed
        return answer

    def ends(self, tails: Tails) -> dict[str, End]:
        return self._ask(lambda: self._world.hub.ends(tails))

    def between(self, tablet: str, first: int, last: int) -> list[Row]:
        return self._ask(lambda: self._world.hub.between(tablet, first, last))

    def gaps(self) -> list[Gap]:
        return self._ask(list)

    def give(self, rows: Sequence[Row]) -> bool:
        if self._world.chance.random() < 0.05:  # the same twice
            self._ask(lambda: self._world.hub.give(rows))
        return self._ask(lambda: self._world.hub.give(rows))

    def tell(self, tablet: str, count: int) -> None:
        self._ask(lambda: None)

    def take(self, tails: Tails, most: int) -> list[Row]:
        return self._ask(lambda: self._world.hub.take(tails, most))


class World:
    """One history."""

    def __init__(self, seed: int, sort: Sort, hub: ModelHub | None = None) -> None:
        self.chance = chance = random.Random(seed)
        self.sort, self.hub = sort, hub or ModelHub()
        number = chance.choice([2, 2, 3, 3, 4, 5, 8])
        self.cuts, self.kills = chance.choice([0, 0.02, 0.1, 0.25]), chance.choice([0, 0.01, 0.05])
        self._between = chance.choice([0, 0.1, 0.4])
        self.batch = chance.choice([1, 3, 10, BATCH_ROWS])
        self.tablets = [self._tablet() for _ in range(number)]
        self._away = [chance.random() < 0.3 for _ in range(number)]
        self._busy = [False] * number
        self.must: set[int] = set()
        """The facts that exist somewhere: one may be lost only where a disk has lost it, and nobody else had it."""
        self._last_fact = self._depth = 0
        self._budget = 25
        self._of_hub = [self.hub.snapshot()]
        self._of_tablets: list[tuple[str, list[Row]]] = []
        self.counts: Counter[str] = Counter()

    def _tablet(self, rows: Sequence[Row] = ()) -> MemorySide:
        return MemorySide(f"{self.chance.getrandbits(32):08x}", self.chance, rows)

    # -- what happens ----------------------------------------------------------------------------------------------

    def tick(self, number: int, many: int = 1) -> None:
        side = self.tablets[number]
        for _ in range(many):
            count, before = side.tails.get(side.tablet, (0, ""))
            self._last_fact += 1
            data: dict[str, object] = {"item": f"side:{self.chance.randrange(9)}", "token": self._last_fact}
            if side.list and self.chance.random() < 0.15:
                other = self.chance.choice(side.list)
                data = {"tablet": other.tablet, "count": other.count, "token": self._last_fact}
            seen = json.dumps({tablet: last for tablet, (last, _) in side.tails.items()}, sort_keys=True)
            kind = "undone" if "tablet" in data else "done"
            columns = (
                side.tablet,
                count + 1,
                seen,
                "2026-03-02T08:00:00+00:00",
                kind,
                json.dumps(data, sort_keys=True),
            )
            side.take_in([Row(*columns, chain_link(before, *columns))])
            self.must.add(self._last_fact)
            self.counts["ticks"] += 1

    def meet(self, number: int) -> None:
        if self._busy[number]:
            return
        self._busy[number] = True
        self._depth += 1
        try:
            exchange(self.tablets[number], Line(self, number))
            self.counts["exchanges"] += 1
        except (Cut, Killed, HubError) as error:
            self.counts[type(error).__name__] += 1
        finally:
            self._busy[number] = False
            self._depth -= 1

    def meanwhile(self, number: int) -> None:
        """Let something else happen within an exchange."""
        if self._depth >= 4 or self._budget <= 0 or self.chance.random() >= self._between:
            return
        self._budget -= 1
        luck = self.chance.random()
        if luck < 0.4:
            self.tick(number)
        elif luck < 0.9:
            other = self.chance.randrange(len(self.tablets))
            if other != number:
                self.tick(other)
                self.meet(other)
        elif luck < 0.91 and self.sort in ("hub", "all"):
            self._put_hub_back()

    def _exists(self) -> set[int]:
        held = [row for side in self.tablets for row in side.list]
        return {token(row) for row in (*held, *self.hub.all())}

    def _put_hub_back(self) -> None:
        self.hub.put_back(self.chance.choice(self._of_hub))
        self.must = self._exists()
        self.counts["hub put back"] += 1

    def _step(self) -> None:
        self._budget = 25
        luck, number = self.chance.random(), self.chance.randrange(len(self.tablets))
        if luck < 0.45:
            self.tick(number, self.chance.choice([1, 1, 1, 2, 12]))
        elif luck < 0.8:
            if not self._away[number]:
                self.meet(number)
        elif luck < 0.9:
            self._away[number] = not self._away[number]
        elif luck < 0.93:
            self._of_hub.append(self.hub.snapshot())
        elif luck < 0.95:
            self._of_tablets.append((self.tablets[number].tablet, list(self.tablets[number].list)))
        elif luck < 0.96 and self.sort in ("hub", "all"):
            self._put_hub_back()
        elif luck < 0.99 and self.sort in ("tablets", "all"):
            self._befall(number)
            self.must = self._exists()

    def _befall(self, number: int) -> None:
        """Let something happen to a tablet's record."""
        luck, side = self.chance.random(), self.tablets[number]
        other = self.chance.randrange(len(self.tablets))
        if luck < 0.5 and self._of_tablets:
            name, rows = self.chance.choice(self._of_tablets)
            self.tablets[number] = self._tablet(rows)
            if luck < 0.3:  # restored outside the app: its name is restored, too
                self.tablets[number].tablet = name
            self.counts["tablet put back" if luck < 0.3 else "tablet restored"] += 1
        elif luck < 0.7:  # its disk had lied
            last = side.tails.get(side.tablet, (0, ""))[0] - self.chance.randrange(1, 6)
            side.hold([row for row in side.list if row.tablet != side.tablet or row.count <= last])
            self.counts["last facts gone"] += 1
        elif luck < 0.85:  # its card was copied to set up another
            if other != number:
                self.tablets[other] = MemorySide(side.tablet, self.chance, side.list)
                self.counts["cloned"] += 1
        else:
            try:
                self.tablets[other].take_in(side.list)
                self.counts["carried by file"] += 1
            except DamagedLogError:
                self.counts["file refused"] += 1

    # -- how it ends -----------------------------------------------------------------------------------------------

    def run(self, steps: int) -> str:
        """Run the history, then let every tablet exchange; returns the faults in the end."""
        for _ in range(steps):
            self._step()
        self.cuts = self.kills = self._between = 0
        for _ in range(ROUNDS):
            for number in range(len(self.tablets)):
                self.meet(number)
            rows = self.hub.all()
            if all(set(side.list) == rows for side in self.tablets):
                break
        else:
            return f"not the same after {ROUNDS} rounds"
        for _, own in groupby(sorted(rows), attrgetter("tablet")):
            list(Chains().follow(own))
        tokens = Counter(map(token, rows))
        self.counts["branches"] += sum(len(tablet) == 16 for tablet in self.hub.rows)
        if lost := self.must - set(tokens):
            return f"lost {sorted(lost)[:5]}"
        twice = [each for each, count in tokens.items() if count > 1]
        self.counts["facts twice"] += len(twice)
        if twice and self.sort != "all":  # a restored hub and then a stale clone: the only remaining case
            return f"twice {twice[:5]}"
        return ""


def token(row: Row) -> int:
    number: int = json.loads(row.data)["token"]
    return number


def history(seed: int) -> tuple[str, Counter[str]]:
    """Run the history of a seed; returns the faults in the end, and what happened."""
    world = World(seed, SORTS[seed % len(SORTS)])
    try:
        return world.run(world.chance.choice([20, 60, 60, 150])), world.counts
    except Exception as error:  # every error is a finding, and the other seeds still run
        return repr(error), world.counts


def main(count: int, first: int = 0) -> int:
    """Run `count` histories, from the seed `first` on; returns how many ended with faults."""
    begun, wrong = time.process_time(), 0
    total: Counter[str] = Counter()
    for seed in range(first, first + count):
        said, counts = history(seed)
        total += counts
        if said:
            wrong += 1
            print(f"seed {seed} ({SORTS[seed % len(SORTS)]}): {said}")
    print(f"{count:,} histories in {time.process_time() - begun:.0f} s of processor time: {wrong} wrong")
    print(", ".join(f"{name} {number:,}" for name, number in sorted(total.items())))
    return wrong


if __name__ == "__main__":
    sys.exit(1 if main(*map(int, sys.argv[1:])) else 0)
