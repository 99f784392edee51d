"""Where a piece goes, and what an assembly consists of: the words and marks of their pictures.

Places have the numbers of the build file; a swapped piece is marked where it goes now.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from msgspec import Struct

from tracker.cards.glueup.checklist import PARTS
from tracker.cards.glueup.members import bringing, members_of
from tracker.cards.picture.picture import Picture, picture_of, pulled_apart
from tracker.cards.picture.view import View
from tracker.cards.picture.visible_faces import Seen, seen_from
from tracker.design.joining import Numbered
from tracker.design.model import Build
from tracker.floor.floor import Floor
from tracker.measure import Angle
from tracker.plan.laying import Order, laying_order
from tracker.plan.place import Placed, PlaceError, Placer
from tracker.plan.place.side_by_side import side_by_side
from tracker.plan.placeable import has_places, is_drawn
from tracker.plan.screws import Survey, least_words, surveys
from tracker.words import say, say_many
from tracker.work.decide.prerequisites import built_into, next_step
from tracker.work.run import Item

TURN = 30
"""The degrees of one turn of the furniture."""
START = 24
"""The first viewpoint, in degrees to the right of the front."""
_SIDES = ("front", say("front right"), "right", say("back right"), "back", say("back left"), "left", say("front left"))
_NAMED = 4
_LOOSE: Numbered = ("", 0)
"""In place of an assembly: the pieces of a build without places, side by side."""


class FurnitureCard(Struct, frozen=True, kw_only=True):
    """The contents of a picture of an assembly."""

    title: str
    said: str
    """What the colours mean, or what is still missing."""
    assembly: Numbered
    here: frozenset[Numbered] = frozenset()
    """The places of the current piece."""
    done: frozenset[Numbered] | None = None
    """The places whose pieces are here; None where the picture doesn't show that."""
    steps: int = 0
    """How many parts are laid down one after the other; 0 where the picture doesn't show that. `step` is the present
    one."""
    step: int = 0


def piece_in_place(floor: Floor, key: str) -> FurnitureCard:
    """A piece in the assembly it goes into. Raises ValueError where it goes into none."""
    item = floor.item(key)
    into = floor.state.into(floor.run, item)
    if into is None:
        raise ValueError(say("{name} goes into nothing", name=item.short))
    assembly = floor.item(into)
    return FurnitureCard(
        title=say("{name}: its place in {assembly}", name=item.title, assembly=assembly.title),
        said=say("Blue is this piece, dashed where another one hides it."),
        assembly=item_numbered(assembly),
        here=frozenset(_pieces(floor, floor.item(floor.state.place(floor.run, item)))),
    )


def assembly_in_place(floor: Floor, key: str) -> FurnitureCard:
    """An assembly with its members. Pieces that are ready are drawn as wood; once one part was scanned in, those that
    were scanned are. The others are outlines. After its parts are ticked as here, or it is glued or fastened,
    everything is drawn as wood."""
    item = floor.item(key)
    step, members = next_step(floor.run, floor.state, item), members_of(floor, item)
    scanning = any(member.scanned for member in members)
    brought = step is None or not bringing(step)
    everything = brought or PARTS in floor.state.checks(floor.run, item)
    done: set[Numbered] = set()
    missing = []
    for place, member in zip(item.members, members, strict=True):
        if everything or (member.scanned if scanning else member.tone == "done"):
            done.update(_pieces(floor, floor.item(place)))
        else:
            missing.append(floor.item(member.key).short)
    notes = floor.run.build.assembly(item.id).notes
    whole = (
        notes
        if brought
        else (
            say("All its parts are here. {notes}", notes=notes)
            if scanning or everything
            else say("All its parts are ready. {notes}", notes=notes)
        ).strip()
    )
    return FurnitureCard(
        title=say("{name}: where its parts go", name=item.title),
        said=_missing_words(missing, say("not scanned in yet") if scanning else say("still to come"))
        if missing
        else whole,
        assembly=item_numbered(item),
        done=frozenset(done),
    )


def build_in_place(floor: Floor, current: str = "") -> FurnitureCard | None:
    """A build in its present state: wood for the pieces that are made, outlines for the others, blue for the current
    piece.

    If the build has several final assemblies, the one with the current piece, or the first that isn't made yet. Where
    no places are known its pieces are side by side; None where these are too many.
    """
    wholes = [item for item in floor.run.assemblies if item.into is None and has_places(floor.run.build, item.id)]
    if not wholes:
        return _loose_pieces(floor, current) if is_drawn(floor.run.build) else None
    inside = {whole.key: dict(_now(floor, whole, whole)) for whole in wholes}
    unmade = [whole for whole in wholes if not _all_made(floor, inside[whole.key])]
    holding = [whole for whole in wholes if current in inside[whole.key].values()]
    whole = next(iter((*holding, *unmade, *wholes)))
    places = inside[whole.key]
    made = {place for place, now in places.items() if _is_made(floor, floor.item(now))}
    missing = [floor.item(now).short for place, now in places.items() if place not in made and now != current]
    count = say_many("{number} of {count} piece made", "{number} of {count} pieces made", len(places), number=len(made))
    blue = say("Blue is the piece in hand.") if current in places.values() else ""
    still = _missing_words(missing, say("still to make")) if missing else ""
    return FurnitureCard(
        title=f"{whole.title}: {count}",
        said=" ".join(filter(None, (blue, still))) or say("All its pieces are made."),
        assembly=item_numbered(whole),
        here=frozenset(item_numbered(floor.item(place)) for place, now in places.items() if now == current),
        done=frozenset(item_numbered(floor.item(place)) for place in made),
    )


def _loose_pieces(floor: Floor, current: str) -> FurnitureCard:
    """The pieces of a build without places, side by side."""
    pieces = list(floor.run.pieces)
    made = [item for item in pieces if _is_made(floor, item)]
    missing = [item.short for item in pieces if item not in made and item.key != current]
    blue = say("Blue is the piece in hand.") if current in {item.key for item in pieces} else ""
    still = _missing_words(missing, say("still to make")) if missing else ""
    return FurnitureCard(
        title=say_many(
            "{number} of {count} piece made", "{number} of {count} pieces made", len(pieces), number=len(made)
        ),
        said=" ".join(filter(None, (blue, still))) or say("All its pieces are made."),
        assembly=_LOOSE,
        here=frozenset(item_numbered(item) for item in pieces if item.key == current),
        done=frozenset(map(item_numbered, made)),
    )


def _now(floor: Floor, place: Item, there: Item) -> Iterator[tuple[str, str]]:
    """For each place of a piece in an assembly, the piece that is there now; `there` is what is in the assembly."""
    for inner, now in zip(place.members, floor.state.members(floor.run, there), strict=True):
        if floor.item(inner).kind == "piece":
            yield inner, now
        else:
            yield from _now(floor, floor.item(inner), floor.item(now))


def _is_made(floor: Floor, piece: Item) -> bool:
    return next_step(floor.run, floor.state, piece) is None or built_into(floor.run, floor.state, piece) is not None


def _all_made(floor: Floor, places: dict[str, str]) -> bool:
    return all(_is_made(floor, floor.item(now)) for now in places.values())


def side_words(turned: Angle) -> str:
    """`Seen from the front right, and from above.`"""
    return say("Seen from the {sides}, and from above.", sides=_SIDES[round(turned / 45) % 8])


def no_picture_words(wrong: ValueError) -> str:
    """Why there is no picture, and what to fix."""
    if not isinstance(wrong, PlaceError):
        return say("There is no picture of it: {wrong}.", wrong=wrong)
    hint = f" ({wrong.hint})" if wrong.hint else ""
    return say(
        "There is no picture of it. Line {line} of the build file: {what}{hint}.",
        line=wrong.line,
        what=wrong.what,
        hint=hint,
    )


class Scenes:
    """The placed pieces and views of one build, cached: everything slow in its pictures."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self._placer = Placer(build)
        self._orders: dict[Numbered, Order] = {}
        self._surveys: tuple[Survey, ...] | None = None
        self._seen = lru_cache(maxsize=48)(self._look)  # two assemblies from all sides, closed and exploded

    def order(self, assembly: Numbered) -> Order:
        """The order in which its parts are laid down. Raises like `picture`."""
        if assembly not in self._orders:
            self._orders[assembly] = laying_order(self.build, self._placer.placed(*assembly))
        return self._orders[assembly]

    def screw_words(self, piece: Numbered) -> str:
        """The least clearance of a piece's screws, dowels and bolts; empty for a piece without any."""
        if not any(hole.fastens for hole in self.build.part(piece[0]).holes):
            return ""
        if self._surveys is None:
            self._surveys = surveys(self.build, self._placer)
        found = [
            survey.clearance(screw)
            for survey in self._surveys for screw in survey.screws
            if screw.piece == piece and survey.timbers[piece].part.holes[screw.row].fastens
        ]  # fmt: skip
        return least_words(self.build, found)

    def picture(self, card: FurnitureCard, turned: Angle = START, *, apart: bool = False) -> Picture:
        """The picture of a card, seen from `turned` degrees to the right of the front. Raises PlaceError where a place
        is wrong, and ValueError where a piece has no shape."""
        placed, seen = self._seen(card.assembly, apart, turned)
        return picture_of(placed, seen, card.here, card.done)

    def _look(self, assembly: Numbered, apart: bool, turned: Angle) -> tuple[tuple[Placed, ...], Seen]:
        placed = side_by_side(self.build) if assembly == _LOOSE else self._placer.placed(*assembly)
        placed = pulled_apart(placed) if apart else placed
        return placed, seen_from(placed, View(turned))


def item_numbered(item: Item) -> Numbered:
    """An item, given its id and its number."""
    return item.id, item.number


def _pieces(floor: Floor, item: Item) -> Iterator[Numbered]:
    """An item's own place, or those of all pieces of an assembly."""
    if item.kind == "piece":
        yield item_numbered(item)
    for member in item.members:
        yield from _pieces(floor, floor.item(member))


def _missing_words(missing: list[str], why: str) -> str:
    more = say(" and {count} more", count=len(missing) - _NAMED) if len(missing) > _NAMED else ""
    return say("Outlined, {why}: {missing}{more}.", why=why, missing=", ".join(missing[:_NAMED]), more=more)
