"""A picture of furniture with its words, made from the shop floor: slow work, only for the worker's thread."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from tracker.cards.picture.furniture import (
    START,
    TURN,
    FurnitureCard,
    Scenes,
    assembly_in_place,
    build_in_place,
    no_picture_words,
    piece_in_place,
    side_words,
)
from tracker.cards.picture.laying import laying_card
from tracker.floor.floor import Floor
from tracker.screens.drawing.furniture_mesh import Triangles, furniture_mesh

_LAST: list[Scenes] = []
"""The scenes of the build that was drawn last."""


class Made(Struct, frozen=True, kw_only=True):
    """The picture and its words. `why` says why nothing is drawn."""

    card: FurnitureCard
    said: str
    meshes: tuple[Triangles, ...] = ()
    why: str = ""


def made(
    floor: Floor, key: str, turns: int, space: tuple[float, float, float], *, apart: bool, laid: int = 0
) -> Made:  # fmt: skip
    """For a piece its place in its assembly; for an assembly its members, or what is laid down as part number `laid`;
    after this many turns. `space`: width and height in points, and points per millimetre."""
    piece, sides = floor.item(key).kind == "piece", not laid
    card = (piece_in_place if piece else assembly_in_place)(floor, key)
    try:
        if laid:
            card = laying_card(floor, key, _scenes(floor).order(card.assembly), laid)
        elif piece:
            screws = " ".join(map(_scenes(floor).screw_words, card.here))
            if screws and not turns:  # once it is turned, the viewpoint is named instead
                card, sides = replace(card, said=f"{card.said} {screws}"), False
    except ValueError as wrong:
        return Made(card=card, said="", why=no_picture_words(wrong))
    return _drawn(floor, card, turns, space, apart, sides=sides)


def made_build(
    floor: Floor, current: str, turns: int, space: tuple[float, float, float], *, apart: bool
) -> Made | None:  # fmt: skip
    """A whole build in its present state; None for a build without places. `current` is the key of the current
    piece."""
    card = build_in_place(floor, current)
    return None if card is None else _drawn(floor, card, turns, space, apart)


def _scenes(floor: Floor) -> Scenes:
    if not _LAST or _LAST[0].build is not floor.run.build:
        _LAST[:] = [Scenes(floor.run.build)]
    return _LAST[0]


def _drawn(
    floor: Floor, card: FurnitureCard, turns: int, space: tuple[float, float, float], apart: bool, *, sides: bool = True
) -> Made:  # fmt: skip
    """`sides`: name the viewpoint."""
    turned = (START + TURN * turns) % 360
    try:
        picture = _scenes(floor).picture(card, turned, apart=apart)
    except ValueError as wrong:
        return Made(card=card, said="", why=no_picture_words(wrong))
    said = f"{card.said} {side_words(turned)}".strip() if sides else card.said
    return Made(card=card, said=said, meshes=furniture_mesh(picture, *space))
