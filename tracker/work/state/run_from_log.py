"""A run whose build file can't be read, reconstructed from the log: its clocks keep running, and its labels are
known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from tracker.design.model import Build
from tracker.design.tables.shop_defaults import ShopDefaults
from tracker.work.codes import code_for
from tracker.work.facts import Labelled
from tracker.work.operations import step_named
from tracker.work.run import Item, Run, board_key, build_of, item_key
from tracker.work.state.records import NEW_ITEM, ItemRecord, RunRecord

MOST_PIECES = 999
"""The most pieces of one part that are accepted, because a log may come from anywhere."""


def run_from_log(name: str, items: Mapping[str, ItemRecord], whole: RunRecord) -> Run:
    """What the log knows about a run: its pieces when it was last opened, every item that was worked on or had a label,
    and of its build only the name.

    Without parts, woods and waits no step can be begun; a running clock can be watched and answered.
    """
    pieces = (item_key(id_, n) for id_, sizes in whole.sizes.items() for n in range(1, _count(sizes) + 1))
    labelled = (key for entry in whole.sheets if isinstance(entry.fact, Labelled) for key in entry.fact.items)
    racked = [board_key(board) for board in whole.racked]
    keys = [key for key in dict.fromkeys((*pieces, *items, *labelled)) if not key.startswith(board_key(""))]
    counts = Counter(_part_and_number(key)[0] for key in keys)
    names = {id_: sizes.get("name", "") for id_, sizes in whole.sizes.items()}
    codes = {key: code_for(name, key) for key in (*keys, *racked)}
    return Run(
        name=name,
        build=Build(
            name=whole.opened.build if whole.opened else build_of(name),
            units="mm",
            shop=ShopDefaults().shop("mm"),
            woods=(),
            rack=(),
            parts=(),
            assemblies=(),
            hardware=(),
        ),
        items={
            key: item_from_log(key, items.get(key, NEW_ITEM), counts[id_], names.get(id_, ""))
            for key in keys
            for id_ in (_part_and_number(key)[0],)
        },
        codes=codes,
        by_code={codes[key]: key for key in keys},
    )


def item_from_log(key: str, here: ItemRecord, of: int = 1, name: str = "") -> Item:
    """An item as its key and its steps describe it. `of`: how many of its kind are known."""
    id_, number = _part_and_number(key)
    return Item(
        key=key,
        kind="assembly" if any(tick.done.wait for tick in here.ticks) else "piece",
        id=id_,
        number=number,
        of=of,
        name=name or id_.replace("-", " ").replace("_", " ").capitalize(),
        route=tuple(step_named(tick.step) for tick in here.ticks),
    )


def _count(sizes: Mapping[str, str]) -> int:
    """How many pieces of a part there are; another program may have written anything."""
    written = sizes.get("quantity", "")
    return min(int(written), MOST_PIECES) if written.isascii() and written.isdecimal() and len(written) < 7 else 0


def _part_and_number(key: str) -> tuple[str, int]:
    """`("leg", 2)`; a key that another program wrote may have no number."""
    id_, _, number = key.partition(":")
    return id_, int(number) if number.isascii() and number.isdecimal() and len(number) < 7 else 1
