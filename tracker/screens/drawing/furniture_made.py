"""A picture of furniture with its words, made from the shop floor: what takes time, for the worker's thread alone."""

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
"""Of the build that was drawn last."""


class Made(Struct, frozen=True, kw_only=True):
    """What is drawn and said. `why` says why nothing is drawn."""

    card: FurnitureCard
    said: str
    meshes: tuple[Triangles, ...] = ()
    why: str = ""


def made(
    floor: Floor, key: str, turns: int, space: tuple[float, float, float], *, apart: bool, laid: int = 0
) -> Made:  # fmt: skip
    """Of a piece its place in its assembly, of an assembly what it is made of, or what is laid down as part number
    `laid`; after so many turns. `space`: width and height in points, and how many of them a millimetre has."""
    piece, sides = floor.item(key).kind == "piece", not laid
    card = (piece_in_place if piece else assembly_in_place)(floor, key)
    try:
        if laid:
            card = laying_card(floor, key, _scenes(floor).order(card.assembly), laid)
        elif piece:
            screws = " ".join(map(_scenes(floor).screw_words, card.here))
            if screws and not turns:  # once it is turned, from where it is seen is said in their place
                card, sides = replace(card, said=f"{card.said} {screws}"), False
    except ValueError as wrong:
        return Made(card=card, said="", why=no_picture_words(wrong))
    return _drawn(floor, card, turns, space, apart, sides=sides)


def made_build(
    floor: Floor, in_hand: str, turns: int, space: tuple[float, float, float], *, apart: bool
) -> Made | None:  # fmt: skip
    """A whole build as far as it is; None of one that says no places. `in_hand` is the key of the piece in hand."""
    card = build_in_place(floor, in_hand)
    return None if card is None else _drawn(floor, card, turns, space, apart)


def _scenes(floor: Floor) -> Scenes:
    if not _LAST or _LAST[0].build is not floor.run.build:
        _LAST[:] = [Scenes(floor.run.build)]
    return _LAST[0]


def _drawn(
    floor: Floor, card: FurnitureCard, turns: int, space: tuple[float, float, float], apart: bool, *, sides: bool = True
) -> Made:  # fmt: skip
    """`sides`: from where it is seen is said."""
    turned = (START + TURN * turns) % 360
    try:
        picture = _scenes(floor).picture(card, turned, apart=apart)
    except ValueError as wrong:
        return Made(card=card, said="", why=no_picture_words(wrong))
    said = f"{card.said} {side_words(turned)}".strip() if sides else card.said
    return Made(card=card, said=said, meshes=furniture_mesh(picture, *space))
