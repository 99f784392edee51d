"""What is said of the nearest thing to a screw: every kind of thing, as whole sentences.

A rail of which there are two meets a single leg."""

from __future__ import annotations

import pytest
from place.test_wrong_screws import HEAD, P, row

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.plan.screws import Screw, surveys
from tracker.plan.screws.clearance import Clearance
from tracker.plan.screws.timber import TRIMMED
from tracker.plan.screws.walls import OUTLINE, WASTE
from tracker.plan.screws.words import face_words, hole_words, least_words, meets_words, nearest_words, piece_words

LEG, RAIL = ("leg", 1), ("rail", 2)


def made() -> tuple[Build, Screw]:
    rail = '\n[[parts]]\nid = "rail"\nname = "Rail"\nquantity = 2\nwood = "oak"\nlength = 300\n'
    build = load_build(f"{HEAD}{rail}{row(P + ', from_edge = [30, 60], screw = 35')}\n").build
    assert build is not None
    return build, surveys(build)[0].screws[0]


@pytest.mark.parametrize(
    ("found", "nearest", "meets"),
    [
        (
            Clearance(-2.34, "thread", "face", "far", LEG), "its thread and the far edge of Leg",
            "its thread comes out of the far edge of Leg by 2.3 mm",
        ),
        (
            Clearance(-1.0, "shank", "face", "top", RAIL), "its shank and the top face of Rail 2",
            "its shank comes out of the top face of Rail 2 by 1 mm",
        ),
        (
            Clearance(-1.0, "shank", "face", "taper 1", RAIL), "its shank and the taper of Rail 2",
            "its shank comes out of the taper of Rail 2 by 1 mm",
        ),
        (
            Clearance(-1.0, "thread", "face", "A", LEG), "its thread and end A of Leg",
            "its thread comes out of end A of Leg by 1 mm",
        ),
        (
            Clearance(-1.5, "bore", "face", "B", RAIL), "its bore and end B of Rail 2",
            "end B cuts into its mouth by 1.5 mm",
        ),
        (
            Clearance(-1.5, "recess", "face", "A", RAIL), "its recess and end A of Rail 2",
            "end A cuts into its recess by 1.5 mm",
        ),
        (
            Clearance(-1.5, "recess", "face", "near", RAIL), "its recess and the near edge of Rail 2",
            "its recess comes out of the near edge of Rail 2 by 1.5 mm",
        ),
        (
            Clearance(-3.0, "thread", "face", TRIMMED, LEG), "its thread and Leg, at the line it is trimmed to",
            "its thread is in the way of the saw where Leg is trimmed",
        ),
        (
            Clearance(-3.0, "thread", "face", OUTLINE, LEG), "its thread and Leg, at the curve it is sawn to",
            "its thread is in the way of the saw by 3 mm: Leg, at the curve it is sawn to",
        ),
        (
            Clearance(-3.0, "thread", "face", WASTE, LEG), "its thread and the waste of Leg",
            "its thread is in the waste of Leg, which is sawn off",
        ),
        (
            Clearance(-0.4, "dowel", "hollow", "mortise", LEG), "its dowel and the mortise of Leg",
            "its dowel runs into the mortise of Leg by 0.4 mm",
        ),
        (
            Clearance(-0.4, "shank", "screw", "thread", RAIL), "its shank and the thread from Rail 2",
            "its shank runs into the thread from Rail 2 by 0.4 mm",
        ),
    ],
)  # fmt: skip
def test_what_a_screw_meets(found: Clearance, nearest: str, meets: str) -> None:
    build, screw = made()
    assert nearest_words(build, found) == nearest
    assert meets_words(build, screw, found) == meets


def test_what_is_near_nothing_and_the_least_of_several() -> None:
    build, _ = made()
    assert nearest_words(build, Clearance(1e9)) == ""
    assert least_words(build, [Clearance(1e9)]) == least_words(build, []) == ""
    far, near = Clearance(4.5, "thread", "face", "far", LEG), Clearance(3.0, "bore", "face", "top", RAIL)
    assert least_words(build, [far, near]) == "Screws 3 mm clear: its bore and the top face of Rail 2."
    assert least_words(build, [far, Clearance(1e9)]) == "Screws 4.5 mm clear: its thread and the far edge of Leg."
    touching, through = (Clearance(mm, "bore", "face", "top", RAIL) for mm in (0.0, -0.1))
    assert least_words(build, [far, touching]) == "Screws 0 mm clear: its bore and the top face of Rail 2."
    assert least_words(build, [far, through]) == "No room for its screws: its bore and the top face of Rail 2."


def test_pieces_faces_and_holes_have_names() -> None:
    build, screw = made()
    assert (piece_words(build, LEG), piece_words(build, RAIL)) == ("Leg", "Rail 2")
    names = {"A": "end A", "B": "end B", "near": "the near edge", "bottom": "the bottom face", "taper 0": "the taper"}
    assert {face: face_words(face) for face in names} == names
    (two,) = (part.holes[0] for part in build.parts if part.id == "rail")
    assert hole_words(screw, two, 1) == "pocket 2 at end B"
    assert hole_words(screw, two, 0) == "pocket 1 at end B"
