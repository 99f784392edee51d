"""The card of an assembly: what goes in, its open, clamp and cure clocks, its finish, and the one thing to do next."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.cards.action import Action, Undo, marks, next_action, undo
from tracker.cards.clocks import LABEL_GOVERNS, ClockView, clocks_card
from tracker.cards.floor import Floor
from tracker.cards.marks import MarkView, Tone
from tracker.design.model import Assembly
from tracker.work.decide import next_step
from tracker.work.run import Item


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberView:
    """One thing that goes into the assembly, and how far it is."""

    key: str
    title: str
    said: str
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyCard:
    """An assembly, ready to be drawn."""

    key: str
    code: str
    title: str
    members: tuple[MemberView, ...]
    members_words: str
    """`All 6 ready`, or `4 of 6 ready`."""
    members_tone: Tone
    facts: tuple[str, ...]
    """Glue and finish with their times, clamps, what is to be proven."""
    clocks: tuple[ClockView, ...]
    marks: tuple[MarkView, ...]
    action: Action
    undo: Undo | None

    @property
    def facts_words(self) -> str:
        """The facts as running text."""
        return " · ".join(self.facts)


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyRow:
    """A line of the list of assemblies."""

    key: str
    title: str
    said: str
    tone: Tone


def assembly_card(floor: Floor, key: str) -> AssemblyCard:
    """The card of one assembly."""
    item = floor.item(key)
    assembly = floor.run.build.assembly(item.id)
    members = tuple(_member(floor, floor.item(member)) for member in item.members)
    ready = sum(member.tone == "done" for member in members)
    count = len(members)
    return AssemblyCard(
        key=key,
        code=floor.run.codes[key],
        title=item.title,
        members=members,
        members_words=f"All {count} ready" if ready == count else f"{ready} of {count} ready",
        members_tone="done" if ready == count else "waiting",
        facts=_facts(assembly),
        clocks=tuple(clock for clock in clocks_card(floor).clocks if clock.key == key),
        marks=marks(floor, item),
        action=next_action(floor, item),
        undo=undo(floor, item),
    )


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


def _member(floor: Floor, member: Item) -> MemberView:
    missing = next_step(floor.run, floor.state, member)
    if missing is None:
        return MemberView(key=member.key, title=member.title, said="ready", tone="done")
    begun = bool(floor.state.of(floor.run, member))
    said = f"not {missing.past}" if begun else "not begun"
    return MemberView(key=member.key, title=member.title, said=said, tone="waiting")


def _facts(assembly: Assembly) -> tuple[str, ...]:
    words: list[str] = []
    glue, finish = assembly.glue, assembly.finish
    if glue:
        words.append(glue.name)
        words += [
            f"{what} {span.text}{' (usual)' if name in glue.defaulted else ''}"
            for name, what, span in (
                ("open", "Open", glue.open_time),
                ("clamp", "Clamps", glue.clamp_time),
                ("cure", "Cure", glue.cure_time),
            )
        ]
    if assembly.clamps:
        words.append(f"{assembly.clamps} clamps")
    if finish:
        words.append(f"{finish.kind}, {finish.coats} {'coat' if finish.coats == 1 else 'coats'}")
        words.append(f"Recoat after {finish.recoat.text}{' (usual)' if 'recoat' in finish.defaulted else ''}")
        if finish.sand_between:
            words.append(f"Sand {finish.sand_between} between coats")
    words += [f"Prove: {claim}" for claim in assembly.prove]
    if glue or finish:
        words.append(LABEL_GOVERNS)
    return tuple(words)
