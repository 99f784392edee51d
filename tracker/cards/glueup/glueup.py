"""The card of an assembly: its members, its clock, its finish, its checks, and the next step."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.clocks.clocks import ClockView, clock_view, most_urgent_first
from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.screws import SCREWING, screws_card
from tracker.cards.glueup.times import FINISH, GLUE, times
from tracker.cards.marks import MarkView, Sign, Tone
from tracker.cards.piece.action import OPENS, Action, Undo, exceptions, marks, next_action, opens, undo
from tracker.cards.piece.own_step import own_step_of, own_to_set, plain_text, read_number, step_notes
from tracker.cards.template.outlines import outline_of
from tracker.cards.wood.at_work import WoodCard, briefly, wood_card
from tracker.cards.words import inside
from tracker.floor.floor import Floor
from tracker.plan.placeable import has_places
from tracker.words import say, say_many
from tracker.work.decide.prerequisites import blockers, next_step
from tracker.work.operations import Step, WaitKind
from tracker.work.revision import misfits
from tracker.work.run import Item
from tracker.work.state.state import running_waits, waits_of

Sheet = Literal["parts", "checks", "times", "air", "screws", "plugs", "prove", "picture", "own step", "wood", "outline"]
"""What a tile of the card opens, or the button beside its title."""
ON_TILE: dict[WaitKind, str] = {"recoat": say("recoat"), "dry": say("cure")}
"""Waits of a finish by a word that a tile has room for."""
_BRINGING = ("dry fit", "spread", "attach", "drive screws")


class MemberView(Struct, frozen=True, kw_only=True):
    """One member of the assembly, and its progress."""

    key: str
    title: str
    said: str
    tone: Sign
    scanned: bool


class TileView(Struct, frozen=True, kw_only=True):
    """A tile of the card: its large and small text, and the sheet that it opens."""

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
    """`All 6 ready`, `4 of 6 ready`."""
    members_tone: Sign
    tiles: tuple[TileView, ...]
    """Three at most: what matters for the next step."""
    facts: tuple[str, ...]
    """What else to know before the next step, the most important first."""
    told: int
    """How many of the facts are what was done despite a blocker, and what the maker wrote about the step."""
    clock: ClockView | None
    """The assembly's most urgent clock."""
    marks: tuple[MarkView, ...]
    action: Action
    opens: Sheet | None
    """The sheet that the large button opens, where the next step is done by answering that sheet."""
    undo: Undo | None
    placed: bool
    """Whether the build says where its pieces are, so that there is a picture of it."""
    outline: str
    """The outline sawn from it; empty where there is none."""
    clock_says_why: bool
    """Whether only the running clock is in the way, which shows that itself."""

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


def bringing(step: Step) -> bool:
    """Whether pieces are still brought to an assembly for that step."""
    return step.id in _BRINGING and not step.in_clamps


def assembly_card(floor: Floor, key: str) -> AssemblyCard:
    """The card of one assembly."""
    item = floor.item(key)
    members = members_of(floor, item)
    ready = sum(member.tone == "done" for member in members)
    count = len(members)
    wood = wood_card(floor, key)
    clocks = [clock_view(floor, r) for r in running_waits(floor.run, floor.state) if r.item.key == key]
    told = tuple(_told(floor, item))
    return AssemblyCard(
        key=key,
        code=floor.run.codes[key],
        title=item.title,
        members=members,
        members_words=say("All {count} ready", count=count)
        if ready == count
        else say("{ready} of {count} ready", ready=ready, count=count),
        members_tone="done" if ready == count else "",
        tiles=tuple(_tiles(floor, item, members, wood, bool(clocks)))[:3],
        facts=(*told, *_facts(floor, item, wood)),
        told=len(told),
        clock=next(iter(most_urgent_first(clocks)), None),
        marks=marks(floor, item),
        action=_action(floor, item),
        opens=_opens(floor, item),
        undo=undo(floor, item),
        placed=has_places(floor.run.build, item.id),
        outline=outline_of(floor, key),
        clock_says_why=bool(clocks) and _waits_for_clock(floor, item),
    )


def _waits_for_clock(floor: Floor, item: Item) -> bool:
    step = next_step(floor.run, floor.state, item)
    found = blockers(floor.run, floor.state, item, step, floor.now) if step else ()
    kinds = {blocker.kind for blocker in found}
    return "clock" in kinds and kinds <= {"clock", *OPENS}  # what is answered on a sheet isn't due before


def _opens(floor: Floor, item: Item) -> Sheet | None:
    """The sheet for the checks before the glue, or at the end, one tap away."""
    step = next_step(floor.run, floor.state, item)
    return opens(floor, item, step) if step else None


_OPENING = {"prove": say("Check it now"), "checks": say("Checklist, then glue")}


def _action(floor: Floor, item: Item) -> Action:
    """The large button: a claim, or the sheet that it opens."""
    action, sheet = next_action(floor, item), _opens(floor, item)
    return replace(action, text=_OPENING[sheet], then="") if sheet else action


def members_of(floor: Floor, item: Item) -> tuple[MemberView, ...]:
    """The members, after all swaps."""
    scanned = floor.state.checked_in(floor.run, item)
    return tuple(_member(floor, floor.item(key), key in scanned) for key in floor.state.members(floor.run, item))


def assembly_rows(floor: Floor) -> tuple[AssemblyRow, ...]:
    """Every assembly of the run, first those that can be worked on."""
    rows = [_row(floor, item) for item in floor.run.assemblies]
    return tuple(sorted(rows, key=lambda row: ("ready", "waiting", "done").index(row.tone)))


def _row(floor: Floor, item: Item) -> AssemblyRow:
    """What is next, or what it waits for."""
    step, action = next_step(floor.run, floor.state, item), next_action(floor, item)
    if step is None:
        return AssemblyRow(key=item.key, title=item.title, said=action.text, tone="done")
    if action.refusal is None or opens(floor, item, step):
        said = say("Next: {task}", task=inside(step.task))
        return AssemblyRow(key=item.key, title=item.title, said=said, tone="ready")
    return AssemblyRow(key=item.key, title=item.title, said=action.why, tone="waiting")


def _member(floor: Floor, member: Item, scanned: bool) -> MemberView:
    """A member is ready, or needs something; it is `waiting` only while one of its clocks is running."""
    missing = next_step(floor.run, floor.state, member)
    wrong = misfits(floor.run, floor.state, member)
    said, tone = say("ready"), "done"
    if wrong:
        said, tone = wrong[0].small_words, "caution"
    elif floor.state.aside(floor.run, member):
        said, tone = say("set aside"), "waiting"
    elif missing is not None:
        runs = any(running.wait.at_least for running in waits_of(floor.run, floor.state, member))
        said, tone = missing.needs, "waiting" if runs else ""
    return MemberView(key=member.key, title=member.title, said=said, tone=tone, scanned=scanned)  # type: ignore[arg-type]


def _tiles(floor: Floor, item: Item, members: tuple[MemberView, ...], wood: WoodCard, runs: bool) -> Iterator[TileView]:
    """The tiles. `runs`: one of its clocks is running, which opens the times itself."""
    step = next_step(floor.run, floor.state, item)
    glues = step is not None and (
        step.operation == "glue" or (step.id == "dry fit" and item.step("spread") is not None)
    )
    if step is None or step.operation == "prove":
        yield from _proof_tile(floor, item)
    if step is None:
        return
    own = own_step_of(floor, item, step)
    if own and (own.numbers or own.picture):
        name, value = own.numbers[0] if own.numbers else ("picture", None)
        text = say("Look") if value is None else plain_text(read_number(floor, value))
        yield TileView(sheet="own step", text=text, said=name, tone="ready")
    if bringing(step):
        ready, seen = sum(m.tone == "done" for m in members), sum(m.scanned for m in members)
        all_ready = ready == len(members)
        tone = "done" if seen == len(members) else "ready" if all_ready else ""
        text, said = (
            (say("{seen} of {count}", seen=seen, count=len(members)), say("parts here"))
            if all_ready
            else (say("{ready} of {count}", ready=ready, count=len(members)), say("parts ready"))
        )
        yield TileView(sheet="parts", text=text, said=said, tone=tone)
    if glues and bringing(step):
        checks = checklist_card(floor, item.key)
        against = any(line.tone == "caution" for line in checks.lines)
        tone = "done" if checks.seen == len(checks.lines) else "caution" if against else "ready"
        yield TileView(
            sheet="checks",
            text=say("{seen} of {count}", seen=checks.seen, count=len(checks.lines)),
            said=say("checklist"),
            tone=tone,
        )
    if step.operation in SCREWING:
        screws = screws_card(floor, item.key, step)
        yield TileView(sheet="screws", text=screws.count_words, said=say("which screws"), tone="ready")
    if step.operation == "plug":
        card = plugs_card(floor, item.key)
        yield TileView(sheet="plugs", text=card.count_words, said=say("which holes"), tone="ready")
    if runs:
        return
    kinds = GLUE if glues else FINISH if step.operation == "finish" else ()
    views = times(floor, item, kinds)
    if views:
        shown = next((view for view in views if view.kind == step.starts), views[0])
        yield TileView(
            sheet="times",
            text=shown.span.text,
            said=f"{ON_TILE.get(shown.kind, shown.word.lower())}: {shown.short}",
            tone="",
        )
    if step.operation == "finish":
        air = air_card(floor)
        yield TileView(
            sheet="air", text=air.words or say("not known"), said=say("shop air"), tone="" if air.words else "ready"
        )
    yield from _wood_tile(step, wood)


JOINING = ("dry fit", "glue", "attach")
"""The operations before which wood movement matters."""


def _wood_tile(step: Step, wood: WoodCard) -> Iterator[TileView]:
    """The movement, where something fastened moves, or the lines of what is known."""
    if step.operation in JOINING and wood.lines:
        tone = "caution" if any(line.tone == "caution" for line in wood.lines) else ""
        yield TileView(sheet="wood", text=wood.tile or say("moves"), said=wood.tile_said or say("the wood"), tone=tone)


def _proof_tile(floor: Floor, item: Item) -> Iterator[TileView]:
    card = prove_card(floor, item.key)
    if card.lines:
        tones = {line.tone for line in card.lines}
        tone = "caution" if "caution" in tones else "ready" if "ready" in tones else "done"
        yield TileView(
            sheet="prove",
            text=say("{seen} of {count}", seen=card.passed, count=len(card.lines)),
            said=say("checked"),
            tone=tone,
        )


def _told(floor: Floor, item: Item) -> Iterator[str]:
    """Steps done despite a blocker stay visible; then what the build file says about the next step."""
    yield from exceptions(floor, item)
    step = next_step(floor.run, floor.state, item)
    notes = floor.run.build.assembly(item.id).notes
    own = own_step_of(floor, item, step) if step else None
    if own and step:
        number = own_to_set(floor, own)
        beside = ", ".join(f"{words.lower()} {plain_text(reading)}" for reading, words in number.angles)
        yield from (words for words in (step.task, beside, number.how) if words)
    if said := (step and step_notes(floor, item, step)) or notes:
        yield said


def _facts(floor: Floor, item: Item, wood: WoodCard) -> Iterator[str]:
    """What the next step needs."""
    step = next_step(floor.run, floor.state, item)
    assembly = floor.run.build.assembly(item.id)
    if step is None:
        return
    if step.operation in JOINING:
        yield from briefly(wood)
    if step.operation in SCREWING:
        yield from (line.words for line in screws_card(floor, item.key, step).lines)
    if assembly.glue and step.id in ("dry fit", "spread", "clamp"):
        yield assembly.glue.name
        if assembly.clamps:
            yield say_many("{count} clamp", "{count} clamps", assembly.clamps)
        yield from (f"{view.text} ({view.short})" for view in times(floor, item, GLUE) if view.kind == "clamp")
    if assembly.finish and step.operation == "finish":
        if step.coat:
            yield say(
                "{kind}, coat {coat} of {coats}", kind=assembly.finish.kind, coat=step.coat, coats=assembly.finish.coats
            )
        else:
            yield say(
                "{kind}: dull all over with {grit}, then wipe the dust off", kind=assembly.finish.kind, grit=step.grit
            )
        yield from (f"{view.text} ({view.short}). {view.more}".strip() for view in times(floor, item, FINISH))
    if step.operation == "finish":
        yield say("Check the label")
