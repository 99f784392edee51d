"""The pieces worked one after the other with one setting, and which card follows a tick.

Three taps in one place are three pieces of one operation, never three operations of one piece: after a tick the card
goes to the next piece of the same setting, then to the first of the next setting. It never stays on a piece with a
second operation under the finger that ticked the first.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.marks import Sign
from tracker.cards.piece.action import Action, Go, Undo, next_action, sign, undo, undo_step
from tracker.cards.station.settings_of_work import THERE, work_setting
from tracker.cards.words import capital, inside
from tracker.floor.floor import Floor
from tracker.floor.saw_cuts import blank_step, next_step, setups_of
from tracker.words import say
from tracker.work.counting import all_counted, counted
from tracker.work.decide.decide import Do, DoTogether
from tracker.work.operations import Station, Step
from tracker.work.run import Item, item_key

MANY = 12
"""More pieces of one part than this are one row with a count, not a cell for each: nobody looks for slat 17 of 24."""
NAMED = 36
"""The most letters of a name that the large button says twice."""


class Place(Struct, frozen=True, kw_only=True):
    """One piece of a batch: its number, and whether the step is done."""

    key: str
    step: str
    number: str
    tone: Sign


class Strip(Struct, frozen=True, kw_only=True):
    """The pieces of one part."""

    name: str
    places: tuple[Place, ...]

    @property
    def many(self) -> bool:
        """Whether there are so many equal pieces that they are counted."""
        return len(self.places) > MANY

    @property
    def done(self) -> int:
        return sum(place.tone == "done" for place in self.places)

    @property
    def tally(self) -> str:
        """`18 of 24`."""
        return say("{done} of {count}", done=self.done, count=len(self.places))

    @property
    def next(self) -> Place:
        """The piece whose turn it is: the first that can be done, otherwise the first that isn't done, otherwise the
        first."""
        ready = (place for place in self.places if place.tone == "ready")
        left = (place for place in self.places if place.tone != "done")
        return next(ready, None) or next(left, self.places[0])


class Batch(Struct, frozen=True, kw_only=True):
    """All pieces of one setting, in the order of work."""

    strips: tuple[Strip, ...]
    all_text: str
    """What one hold claims: `All 6 sides are cut`; empty while there are fewer than two to tick."""
    all_short: str
    """The same without the name, which the card says: `All 6 are cut`."""
    together: DoTogether | None

    @property
    def places(self) -> tuple[Place, ...]:
        return tuple(place for strip in self.strips for place in strip.places)


def batch_of(floor: Floor, item: Item, step: Step) -> Batch:
    """The batch that a step of a piece belongs to."""
    strips: dict[str, list[Place]] = {}
    names: dict[str, str] = {}
    signs: dict[Hashable, Sign] = {}
    for each, its_step in _same_setting(floor, item, step):
        number = f"{each.number}{each.hand[0].upper() if each.hand else ''}"
        kind = (floor.alike_key(each), its_step.id)
        if kind not in signs:
            signs[kind] = sign(floor, each, its_step)
        place = Place(key=each.key, step=its_step.id, number=number, tone=signs[kind])
        strips.setdefault(each.id, []).append(place)
        names[each.id] = each.name
    found = tuple(Strip(name=names[id_], places=tuple(places)) for id_, places in strips.items())
    together = _together(floor, item, step, found)
    all_text, all_short = _all_texts(floor, step, together) if together else ("", "")
    return Batch(strips=found, all_text=all_text, all_short=all_short, together=together)


def _together(floor: Floor, item: Item, step: Step, strips: tuple[Strip, ...]) -> DoTogether | None:
    """What one hold may tick: the remaining pieces of this part, provided that none of them is blocked."""
    mine = next((strip for strip in strips if any(place.key == item.key for place in strip.places)), None)
    keys = tuple(place.key for place in mine.places if place.tone == "ready" and place.step == step.id) if mine else ()
    # Each was checked for its place on the strip already, and all may be done if each may.
    each = all(floor.refusal(Do(key, step.id, run=floor.run.name)) is None for key in keys)
    return DoTogether(keys, step.id, run=floor.run.name) if len(keys) > 1 and each else None


def _all_texts(floor: Floor, step: Step, together: DoTogether) -> tuple[str, str]:
    first, *others = map(floor.item, together.items)
    count = 1 + len(others)
    if count == first.of:
        names = all_counted(count, first.name)
        short = say("both") if count == 2 else say("all {count}", count=count)
    else:
        names = say("these {counted}", counted=counted(count, first.name))
        short = say("these {count}", count=count)
    return capital(step.all_claim.format(names=names)), capital(step.all_claim.format(names=short))


def _same_setting(floor: Floor, item: Item, step: Step) -> Iterator[tuple[Item, Step]]:
    """Every piece with the same setting, done or not, in the order of work."""
    setup = next(iter(setups_of(floor, item, step)), None)
    if setup is None:
        yield from _same_words(floor, item, step)
        return
    for cut in setup.cuts:
        other = floor.run.items.get(item_key(cut.part, cut.piece))
        found = other.step(f"trim {cut.end}" if cut.operation == "trim" else blank_step(other)) if other else None
        if other is not None and found is not None and found.operation == step.operation:
            yield other, found


def _same_words(floor: Floor, item: Item, step: Step) -> Iterator[tuple[Item, Step]]:
    """For work that no plan orders: the pieces with the same setting words."""
    mine = work_setting(floor, item, step)
    known: dict[tuple[str, str | None, str | None], bool] = {}
    for other in floor.run.pieces:
        found = other.step(step.id)
        if found is None:
            continue
        kind = (other.id, other.hand, floor.state.into(floor.run, other))
        if kind not in known:
            known[kind] = work_setting(floor, other, found) == mine
        if known[kind]:
            yield other, found


class Following(Struct, frozen=True, kw_only=True):
    """What follows a tick: a piece and its step; or the same piece, which waits for a tap to go on."""

    key: str
    step: str
    name: str
    """The words on the button: `Side 2`, `Trim end A: Side 1`."""
    tally: str = ""
    """How many of many equal pieces are done: `18 of 24`."""


def following(floor: Floor, item: Item, step: Step, station: Station) -> Following | None:
    """The next card after a step of a piece is ticked: within the batch, or else in the next setting here."""
    batch = batch_of(floor, item, step)
    places = batch.places
    at = next((at for at, place in enumerate(places) if (place.key, place.step) == (item.key, step.id)), 0)
    turn = (*places[at + 1 :], *places[:at])
    done = ticked_together(item, step)
    found = next((place for place in turn if place.tone == "ready" and place.key not in done), None)
    if found is not None:
        name = _next_name(item, floor.item(found.key))
        mine = next(strip for strip in batch.strips if found in strip.places)
        return Following(key=found.key, step=found.step, name=name, tally=mine.tally if mine.many else "")
    return _next_setting(floor, item, step, station)


def _next_name(item: Item, other: Item) -> str:
    """`Side 2`; only `number 2` where the name is long and the claim above it says the same name."""
    if other.name != item.name or other.hand != item.hand or len(other.short) <= NAMED:
        return other.short
    return say("number {number}", number=other.number)


def _next_setting(floor: Floor, item: Item, step: Step, station: Station) -> Following | None:
    """The first piece of the next setting at this station, in the order of work; after the last one, the first that was
    left out."""
    ready: list[tuple[tuple[float, ...], int, Item, Step]] = []
    known: dict[tuple[str, str | None, str], tuple[float, ...]] = {}
    done = ticked_together(item, step)
    for at, other in enumerate(floor.run.pieces):
        following_step = next_step(floor, other)
        if other.key in done or following_step is None or following_step.station != station:
            continue
        if floor.refusal(Do(other.key, following_step.id, run=floor.run.name)) is None:
            kind = (other.id, other.hand, following_step.id)
            if kind not in known:
                known[kind] = work_setting(floor, other, following_step).place
            ready.append((known[kind], at, other, following_step))
    if not ready:
        return None
    here = work_setting(floor, item, step).place
    _, _, other, other_step = min(ready, key=lambda each: (each[0] < here, *each[:2]))
    return Following(key=other.key, step=other_step.id, name=f"{other_step.task}, {other.short}")


def ticked_together(item: Item, step: Step) -> tuple[str, ...]:
    """What a tick of this step ticks: the piece, and others that are still one blank with it."""
    return item.blank if step.id in item.shared else (item.key,)


def action_here(floor: Floor, item: Item, step: Step | None, station: Station, *, ticked: bool) -> Action:
    """The button of a piece at a station, which names what comes next.

    `ticked`: this piece was just ticked and the card stayed on it; then a tap only goes on.
    """
    action = next_action(floor, item, step)
    if ticked:
        return _leads_on(floor, item, action, station)
    if step is None or action.intent is None or not action.ready:
        return action
    after = following(floor, item, step, station)
    if after is None or action.refusal is not None:
        return action
    return replace(
        action,
        then=say("{tally} done, next: {after}", tally=after.tally, after=after.name)
        if after.tally
        else say("Next: {after}", after=after.name),
    )


def _leads_on(floor: Floor, item: Item, action: Action, station: Station) -> Action:
    step = next_step(floor, item)
    if step is not None and step.station == station and action.intent is not None:
        go = Go(to="next step", key=item.key)
        return Action(
            text=say("Go on: {task}", task=inside(step.task)),
            intent=None,
            go=go,
            name=item.short,
        )
    if step is not None and action.intent is not None:
        go = Go(to="station", key=step.station)
        return Action(text=say("Go to {there}", there=THERE[step.station]), intent=None, go=go, name=item.short)
    return action


def undo_here(floor: Floor, item: Item, *, moved: bool) -> Undo | None:
    """What the undo beside the button undoes. After the card has moved on by itself: the latest tick of any piece made
    on this tablet, because the saw must not undo what somebody ticks at the bench in the meantime."""
    if not moved:
        return undo(floor, item)
    latest = max(
        (
            (ticks[-1].first.rank, key)
            for key, ticks in floor.state.ticks_of(floor.run).items()
            if key in floor.run.items and (not floor.tablet or floor.tablet in dict(ticks[-1].entries))
        ),
        default=None,
    )
    return undo_step(floor, floor.item(latest[1])) if latest else None
