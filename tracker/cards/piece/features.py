"""What the card of a piece says of its features: the sizes to mark out and to set, in numbers and in words."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from tracker.cards.piece.to_set import ToSet
from tracker.design.model import Hand, Part
from tracker.floor.floor import Floor
from tracker.measure import Length, Mark, Reading, read_angle, read_as_written
from tracker.plan import geometry
from tracker.words import say
from tracker.words.sides import side
from tracker.work.operations import Step
from tracker.work.run import Item

if TYPE_CHECKING:
    from tracker.plan.features import FeatureShape

SIDE_WORDS: dict[str, str] = {
    "top": say("top face"),
    "bottom": say("bottom face"),
    "near": say("near edge"),
    "far": say("far edge"),
    "A": say("end A"),
    "B": say("end B"),
}


@lru_cache(maxsize=512)
def features_on(part: Part, hand: Hand | None) -> tuple[FeatureShape, ...]:
    """The features of one piece, cached."""
    if not part.features:
        return ()
    from tracker.plan.features import features_of  # solids in space are slow to import, and most pieces have none

    return features_of(part, geometry.solid(part, hand))


def of_step(floor: Floor, item: Item, step: Step | None) -> tuple[FeatureShape, ...]:
    """The features that a step cuts into a piece."""
    if step is None or item.kind != "piece":
        return ()
    shapes = features_on(floor.part(item), item.hand)
    return tuple(shape for shape in shapes if shape.feature.operation == step.operation)


def number_words(name: str, value: Length | float, mark: Mark) -> str:
    """`20 mm from end A`, `40 mm long`, `15° toward end B`."""
    reading = read_as_written(value, mark).text if isinstance(value, Length) else f"{read_angle(value)}°"
    word, _, side = name.partition(" ")
    if word == "from":
        return say("{reading} from {the}", reading=reading, the=_the(side))
    if name.startswith("stops from"):
        return say("stops {reading} from {the}", reading=reading, the=_the(name.removeprefix("stops from ")))
    if name.startswith("lean to"):
        return say(
            "leaning {reading} toward {the}",
            reading=reading,
            the=_the(name.removeprefix("lean to ").removesuffix(" deg")),
        )
    said = {
                "length": say("long"), "width": say("wide"), "depth": say("deep"), "thickness": say("thick"),
        "diameter": say("across"), "shoulders": say("between the shoulders"), "angle deg": say("from square"),
        "narrow face": say("left on the narrow face"),

        "radius": say("radius"), "height": say("high"), "hole": say("hole below it"), "hole depth": say("deep in all"),
        "haunch": say("haunch"),
    }  # fmt: skip
    return f"{reading} {said.get(name, name)}"


def _in_words(shape: FeatureShape, name: str, value: Length | float, mark: Mark) -> str:
    """A number of this feature in words, with the place of a haunch: `10 mm haunch at the far edge`."""
    words, haunch = number_words(name, value, mark), shape.feature.haunch
    return f"{words} {say('at {the}', the=_the(haunch.edge))}" if name == "haunch" and haunch else words


def _the(side: str) -> str:
    words = SIDE_WORDS[side]
    return words if side in ("A", "B") else say("the {words}", words=words)


def feature_words(shape: FeatureShape, mark: Mark) -> str:
    """`Mortise 1, near edge: 20 mm from end A, 7 mm from the bottom face, 40 mm long, 8 mm wide, 32 mm deep`."""
    numbers = ", ".join(_in_words(shape, name, value, mark) for name, value in shape.numbers)
    through = say(", through") if shape.feature.through else ""
    tool = f" ({shape.feature.tool})" if shape.feature.tool else ""
    where = SIDE_WORDS[shape.on]
    if shape.feature.kind == "profile":
        edges = ", ".join(f"{_plain(edge)} {face}" for edge, face in shape.feature.edges)
        return say(
            "{shape} along {edges}: {numbers}{tool}",
            shape=shape.feature.shape.capitalize(),
            edges=edges,
            numbers=numbers,
            tool=tool,
        )
    if shape.feature.kind == "rabbet" and shape.feature.edge:
        where = say("{where} along {the}", where=where, the=_the(shape.feature.edge))
    if shape.feature.kind == "bevel":
        where = say("{where}, {long_face} face as wide as it is", where=where, long_face=side(shape.feature.long_face))
    hand = say(" Saw up to the corners, then finish by hand.") if shape.feature.kind == "notch" else ""
    return f"{shape.name[0].upper()}{shape.name[1:]}, {where}: {numbers}{through}{tool}{'.' if hand else ''}{hand}"


def set_words(shapes: tuple[FeatureShape, ...], mark: Mark) -> str:
    """`8 mm wide, 10 mm deep`: the machine's setting, made once for all equal features."""
    each = (
        ", ".join(number_words(name, value, mark) for name, value in shape.numbers if not name.startswith("from"))
        for shape in shapes
    )
    return "; ".join(dict.fromkeys(each))


def _plain(side: str) -> str:
    return say("end {side}", side=side) if side in ("A", "B") else side


def features_to_set(floor: Floor, shapes: tuple[FeatureShape, ...]) -> ToSet:
    """The numbers of the first feature, and the others in words."""
    mark = floor.run.build.shop.mark
    first = shapes[0]
    set_ = [(name, value) for name, value in first.numbers if value or not name.startswith("from ")] or first.numbers
    # Of a tenon the drawing shows the position, but not the haunch or the distance between the shoulders.
    unseen = sorted(
        (each for each in set_[3:] if not each[0].startswith("from ")), key=lambda each: each[0] != "haunch"
    )
    rest = ", ".join(_in_words(first, name, value, mark) for name, value in unseen)
    others = len(shapes) - 1
    more = say("{others} more: tap the drawing", others=others) if others else ""
    how = ". ".join(part for part in (rest, first.feature.tool, more) if part)
    which = first.name if others else first.feature.kind
    (name, value), *others_beside = set_[:3]
    return ToSet(
        reading=_reading(value, mark), headline=_headline(name),
        angles=tuple((_reading(value, mark), _beside(name)) for name, value in others_beside),
        which=f"{which[0].upper()}{which[1:]}",
        how=f"{how[0].upper()}{how[1:]}." if how else "",
    )  # fmt: skip


def _reading(value: Length | float, mark: Mark) -> Reading | str:
    return read_as_written(value, mark) if isinstance(value, Length) else f"{read_angle(value)}°"


def _headline(name: str) -> str:
    word, _, side = name.partition(" ")
    if word == "from":
        return say("From {side}", side=SIDE_WORDS[side])
    said = name.removesuffix(" deg")
    return f"{said[0].upper()}{said[1:]}"


def _beside(name: str) -> str:
    """The same for a narrow column of nine characters: `To bottom`, `Stop B`."""
    if name.startswith(("from ", "stops from ")):
        word, side = (
            (say("Stop"), name.removeprefix("stops from ")) if name.startswith("stops") else (say("To"), name[5:])
        )
        return (
            say("{word} end {side}", word=word, side=side) if word == "To" and side in ("A", "B") else f"{word} {side}"
        )
    return say("Remains") if name == "narrow face" else _headline(name)
