"""The card of an assembly: what goes in, its clock, its finish, its proofs, and the one thing to do next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.cards.clocks.clocks import ClockView, clock_view, most_urgent_first
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.times import FINISH, GLUE, times
from tracker.cards.marks import MarkView, Tone
from tracker.cards.piece.action import Action, Undo, marks, next_action, undo
from tracker.floor.floor import Floor
from tracker.measure.span import rough
from tracker.work.decide.blockers import blockers, next_step
from tracker.work.run import Item
from tracker.work.state.state import running_waits

Sheet = Literal["parts", "checks", "times", "air", "plugs", "prove"]
"""What a tile of the card opens."""
BRINGING = ("dry fit", "spread", "attach")
"""The steps up to which pieces are still brought to an assembly."""


class MemberView(Struct, frozen=True, kw_only=True):
    """One thing that goes into the assembly, and how far it is."""

    key: str
    title: str
    said: str
    tone: Tone
    scanned: bool


class TileView(Struct, frozen=True, kw_only=True):
    """A tile of the card: what it says in large and in small, and which sheet it opens."""

    sheet: Sheet
    text: str
    said: str
    tone: str


class AssemblyCard(Struct, frozen=True, kw_only=True):
    """An assembly, ready to be drawn."""

    key: str
    code: str
    title: str
    members: tuple[MemberView, ...]
    members_words: str
    """`All 6 ready`, or `4 of 6 ready`."""
    members_tone: Tone
    tiles: tuple[TileView, ...]
    """Three at most: what matters for the next step."""
    facts: tuple[str, ...]
    """What else is to be known before the next step."""
    clock: ClockView | None
    """The assembly's most urgent clock."""
    marks: tuple[MarkView, ...]
    action: Action
    opens: Sheet | None
    """The sheet that the large button opens where the next step is done by answering it."""
    undo: Undo | None

    @property
    def facts_words(self) -> str:
        """The facts as running text."""
        return " · ".join(self.facts)


class AssemblyRow(Struct, frozen=True, kw_only=True):
    """A line of the list of assemblies."""

    key: str
    title: str
    said: str
    tone: Tone


def assembly_card(floor: Floor, key: str) -> AssemblyCard:
    """The card of one assembly."""
    item = floor.item(key)
    members = members_of(floor, item)
    ready = sum(member.tone == "done" for member in members)
    count = len(members)
    clocks = [clock_view(floor, r) for r in running_waits(floor.run, floor.state) if r.item.key == key]
    return AssemblyCard(
        key=key,
        code=floor.run.codes[key],
        title=item.title,
        members=members,
        members_words=f"All {count} ready" if ready == count else f"{ready} of {count} ready",
        members_tone="done" if ready == count else "waiting",
        tiles=tuple(_tiles(floor, item, members, bool(clocks)))[:3],
        facts=tuple(_facts(floor, item)),
        clock=next(iter(most_urgent_first(clocks)), None),
        marks=marks(floor, item),
        action=next_action(floor, item),
        opens=_opens(floor, item),
        undo=undo(floor, item),
    )


def _opens(floor: Floor, item: Item) -> Sheet | None:
    """Proving is answering what is to be proven: nothing but that may stand in its way."""
    step = next_step(floor.run, floor.state, item)
    if step is None or step.id != "prove":
        return None
    in_the_way = blockers(floor.run, floor.state, item, step, floor.now)
    return "prove" if in_the_way and all(blocker.kind == "proof" for blocker in in_the_way) else None


def members_of(floor: Floor, item: Item) -> tuple[MemberView, ...]:
    """What goes in, after all swaps."""
    scanned = floor.state.checked_in(floor.run, item)
    return tuple(_member(floor, floor.item(key), key in scanned) for key in floor.state.members(floor.run, item))


def assembly_rows(floor: Floor) -> tuple[AssemblyRow, ...]:
    """Every assembly of the run: those that can be worked on first."""
    rows = [_row(floor, item) for item in floor.run.assemblies]
    order: dict[Tone, int] = {"ready": 0, "caution": 0, "waiting": 1, "done": 2}
    return tuple(sorted(rows, key=lambda row: order[row.tone]))


def _row(floor: Floor, item: Item) -> AssemblyRow:
    action = next_action(floor, item)
    if action.intent is None:
        return AssemblyRow(key=item.key, title=item.title, said=action.text, tone="done")
    if action.refusal is None:
        return AssemblyRow(key=item.key, title=item.title, said=action.text, tone="ready")
    return AssemblyRow(key=item.key, title=item.title, said=action.why, tone="waiting")


def _member(floor: Floor, member: Item, scanned: bool) -> MemberView:
    missing = next_step(floor.run, floor.state, member)
    if missing is None:
        return MemberView(key=member.key, title=member.title, said="ready", tone="done", scanned=scanned)
    begun = bool(floor.state.of(floor.run, member))
    said = f"not {missing.past}" if begun else "not begun"
    return MemberView(key=member.key, title=member.title, said=said, tone="waiting", scanned=scanned)


def _tiles(floor: Floor, item: Item, members: tuple[MemberView, ...], runs: bool) -> Iterator[TileView]:
    """`runs`: a clock of it does, and opens the times itself."""
    step = next_step(floor.run, floor.state, item)
    glues = step is not None and (
        step.operation == "glue" or (step.id == "dry fit" and item.step("spread") is not None)
    )
    if step is None or step.operation == "prove":
        yield from _proof_tile(floor, item)
    if step is None:
        return
    if step.id in BRINGING:
        ready, seen = sum(m.tone == "done" for m in members), sum(m.scanned for m in members)
        tone = "done" if seen == len(members) else "ready" if ready == len(members) else "waiting"
        all_ready = ready == len(members)
        text, said = (f"{seen} of {len(members)}", "parts in") if all_ready else (f"{ready} of {len(members)}", "ready")
        yield TileView(sheet="parts", text=text, said=said, tone=tone)
    if glues and step.id in BRINGING:
        checks = checklist_card(floor, item.key)
        against = any(line.tone == "caution" for line in checks.lines)
        tone = "done" if checks.seen == len(checks.lines) else "caution" if against else "ready"
        yield TileView(sheet="checks", text=f"{checks.seen} of {len(checks.lines)}", said="checklist", tone=tone)
    if step.operation == "plug":
        card = plugs_card(floor, item.key)
        yield TileView(sheet="plugs", text=card.count_words, said="which holes", tone="ready")
    if runs:
        return
    kinds = GLUE if glues else FINISH if step.operation == "finish" else ()
    views = times(floor, item, kinds)
    if views:
        shown = next((view for view in views if view.kind == step.starts), views[0])
        yield TileView(sheet="times", text=shown.span.text, said=f"{shown.word.lower()}: {shown.short}", tone="")
    if step.operation == "finish":
        air = air_card(floor)
        yield TileView(sheet="air", text=air.words or "not known", said="shop air", tone="" if air.words else "ready")


def _proof_tile(floor: Floor, item: Item) -> Iterator[TileView]:
    card = prove_card(floor, item.key)
    if card.lines:
        tones = {line.tone for line in card.lines}
        tone = "caution" if "caution" in tones else "ready" if "ready" in tones else "done"
        yield TileView(sheet="prove", text=card.words, said="what it must stand up to", tone=tone)


def _facts(floor: Floor, item: Item) -> Iterator[str]:
    """What was done against the clock stays in sight; then what the next step needs."""
    for tick in floor.state.of(floor.run, item):
        if tick.early:
            step = item.step(tick.step)
            yield f"{step.verb if step else tick.step}: {rough(tick.early)} too early ({tick.done.anyway})"
    step = next_step(floor.run, floor.state, item)
    assembly = floor.run.build.assembly(item.id)
    if step is None:
        return
    if assembly.glue and step.operation in ("dry fit", "glue"):
        yield assembly.glue.name
        if assembly.clamps:
            yield f"{assembly.clamps} {'clamp' if assembly.clamps == 1 else 'clamps'}"
        yield from (f"{view.text} ({view.short})" for view in times(floor, item, GLUE))
    if assembly.finish and step.operation == "finish":
        if step.coat:
            yield f"{assembly.finish.kind}, coat {step.coat} of {assembly.finish.coats}"
        else:
            yield f"{assembly.finish.kind}: dull all over with {step.grit}, then wipe the dust off"
        yield from (f"{view.text} ({view.short}). {view.more}".strip() for view in times(floor, item, FINISH))
    if step.operation in ("glue", "finish"):
        yield "The label governs"
