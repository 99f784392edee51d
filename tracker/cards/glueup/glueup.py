"""The card of an assembly: its members, its clock, its finish, its checks, and the next step."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.clocks.clocks import ClockView, clock_view, most_urgent_first
from tracker.cards.glueup.members import MemberView, members_of
from tracker.cards.glueup.screws import SCREWING, screws_card
from tracker.cards.glueup.tiles import JOINING, Sheet, TileView, tiles_of
from tracker.cards.glueup.times import FINISH, GLUE, time_on_tile, times
from tracker.cards.marks import MarkView, Sign, Tone
from tracker.cards.piece.action import OPENS, Action, Undo, exceptions, marks, next_action, opens, undo
from tracker.cards.piece.own_step import own_step_of, own_to_set, plain_text, step_notes
from tracker.cards.template.outlines import outline_of
from tracker.cards.wood.at_work import WoodCard, briefly, wood_card
from tracker.cards.words import inside
from tracker.floor.floor import Floor
from tracker.plan.placeable import has_places
from tracker.words import say, say_many
from tracker.work.decide.prerequisites import blockers, next_step
from tracker.work.run import Item
from tracker.work.state.state import running_waits


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
    """How many of the facts are what was done early or at risk, and what the maker wrote about the step."""
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
        tiles=tuple(tiles_of(floor, item, members, wood, bool(clocks)))[:3],
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


_OPENING = {"prove": say("Check {name}"), "checks": say("Checklist, then glue")}


def _action(floor: Floor, item: Item) -> Action:
    """The large button: a claim, or the sheet that it opens."""
    action, sheet = next_action(floor, item), _opens(floor, item)
    return replace(action, text=_OPENING[sheet].format(name=item.short), then="") if sheet else action


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


def _told(floor: Floor, item: Item) -> Iterator[str]:
    """Steps done early or at risk stay visible; then what the build file says about the next step."""
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
        views = times(floor, item, FINISH)
        on_tile = time_on_tile(views, step)
        said = (view.more if view is on_tile else f"{view.text} ({view.short}). {view.more}" for view in views)
        yield from (words.strip(" .") for words in said if words)
    if step.operation == "finish":
        yield say("Check the label")
