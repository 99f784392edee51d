"""Where a dowel, a bolt or a screw enters the other piece, for marking out that piece."""

from __future__ import annotations

from msgspec import Struct

from tracker.design.joining import Numbered
from tracker.design.model import Build, EndName
from tracker.measure import Length, read_length
from tracker.plan.screws.placed_screws import coaxial, entering
from tracker.plan.screws.rods import Screw, along
from tracker.plan.screws.survey import Survey
from tracker.plan.screws.words import face_words, piece_words
from tracker.words import say


class MateHole(Struct, frozen=True, kw_only=True):
    """A hole in the piece that a fastener goes on into: `face` is where it begins, a face, an edge or an end.

    `from_end` is measured along the piece from its nearer `end`; unused for a hole in the end itself. `across` is from
    the near edge, or in an edge from the bottom face; `up`, for a hole in the end, is from the bottom face.
    Millimetres.
    """

    piece: Numbered
    face: str
    end: EndName
    from_end: float | None
    across: float
    up: float | None
    depth: float


def mate_hole(survey: Survey, screw: Screw) -> MateHole | None:
    """Where a fastener enters the other piece; None where that isn't known."""
    if screw.enters is None or screw.goes_in <= 0:
        return None
    mate, rod = survey.timbers[screw.enters], screw.rods[-1]
    if rod.piece != mate.key:
        return None
    face = entering(mate.wood, rod.a, along(rod.a, rod.b))
    x, y, z = mate.pose.inverse.of(rod.a)
    ends: tuple[tuple[EndName, float], ...] = (
        ("A", x - mate.solid.reach("A", y, z)), ("B", mate.solid.reach("B", y, z) - x)
    )  # fmt: skip
    end, distance = min(ends, key=lambda each: each[1])
    if face in ("A", "B"):
        return MateHole(
            piece=mate.key, face=face, end=end, from_end=None, across=y, up=z, depth=screw.goes_in
        )  # fmt: skip
    edge = face in ("near", "far") or face.startswith("taper")
    return MateHole(
        piece=mate.key, face=face, end=end, from_end=distance, across=z if edge else y, up=None, depth=screw.goes_in
    )


def is_bored(survey: Survey, screw: Screw) -> bool:
    """Whether the file has a hole for the fastener in the piece that it goes on into."""
    return any(other.piece == screw.enters and coaxial(screw, other) for other in (*survey.screws, *survey.bores))


def mate_words(build: Build, hole: MateHole) -> str:
    """`the top face of Leg 2, 3/4" from end A, 7/8" from the near edge, 1" deep`."""
    edge = hole.face in ("near", "far") or hole.face.startswith("taper")
    words = [say("{face} of {piece}", face=face_words(hole.face), piece=piece_words(build, hole.piece))]
    if hole.from_end is not None:
        words.append(say("{from_end} from end {end}", from_end=_read(build, hole.from_end), end=hole.end))
    words.append(
        say("{across} from the bottom face", across=_read(build, hole.across))
        if edge
        else say("{across} from the near edge", across=_read(build, hole.across))
    )
    if hole.up is not None:
        words.append(say("{up} from the bottom face", up=_read(build, hole.up)))
    return ", ".join([*words, say("{depth} deep", depth=_read(build, hole.depth))])


def _read(build: Build, millimetres: float) -> str:
    return read_length(Length.of(millimetres, "mm"), build.shop.mark).plain
