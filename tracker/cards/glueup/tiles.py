"""The tiles of an assembly's card: what matters for the next step, each with the sheet that it opens."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from tracker.cards.glueup.air import air_card
from tracker.cards.glueup.checklist import checklist_card
from tracker.cards.glueup.members import MemberView, bringing
from tracker.cards.glueup.plugs import plugs_card
from tracker.cards.glueup.prove import prove_card
from tracker.cards.glueup.screws import SCREWING, screws_card
from tracker.cards.glueup.times import FINISH, GLUE, time_on_tile, times
from tracker.cards.piece.own_step import own_step_of, plain_text, read_number
from tracker.cards.wood.at_work import WoodCard
from tracker.floor.floor import Floor
from tracker.words import say
from tracker.work.decide.prerequisites import next_step
from tracker.work.operations import Step, WaitKind
from tracker.work.run import Item

Sheet = Literal["parts", "checks", "times", "air", "screws", "plugs", "prove", "picture", "own step", "wood", "outline"]
"""What a tile of the card opens, or the button beside its title."""
ON_TILE: dict[WaitKind, str] = {"recoat": say("recoat"), "dry": say("cure")}
"""Waits of a finish by a word that a tile has room for."""
JOINING = ("dry fit", "glue", "attach")
"""The operations before which wood movement matters."""


class TileView(Struct, frozen=True, kw_only=True):
    """A tile of the card: its large and small text, and the sheet that it opens."""

    sheet: Sheet
    text: str
    said: str
    tone: str


def tiles_of(
    floor: Floor, item: Item, members: tuple[MemberView, ...], wood: WoodCard, runs: bool
) -> Iterator[TileView]:
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
    shown = time_on_tile(times(floor, item, kinds), step)
    if shown is not None:
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
