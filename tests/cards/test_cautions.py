"""A caution belongs to the kind of work, not to the station at which the tablet is. What each kind asks for is common
practice, no source."""

from __future__ import annotations

import pytest

from tracker.cards.cautions import BY_KIND, BY_STATION, step_caution
from tracker.work.operations import EARLIER, OWN, Step, own_step, steps_for

SAID = {
    "cut": "guard blade manual",
    "cut to length": "guard blade manual",
    "trim": "guard blade manual",
    "rip": "guard push manual",
    "joint": "guard push manual",
    "resaw": "guard push manual",
    "plane": "stand short manual",
    "taper": "jig hands blade",
    "rest": "cup stickers",
    **dict.fromkeys(("tenon", "groove", "dado", "rabbet", "bevel"), "push guard manual"),
    **dict.fromkeys(("notch", "mortise", "slot", "profile", "shape"), "clamp hands cutter manual"),
    "drill": "clamp gloves manual",
    "dry fit": "load clamped fingers",
    "spread": "gloves air label bottle",
    "clamp": "force fingers",
    "unclamp": "force ease",
    "drive screws": "clamp hand bit eyes",
    "take screws out": "clamp hand bit eyes",
    "plug": "edge label",
    "attach": "lift fingers",
    "prove": "cured hands feet",
    "sand": "dust lungs respirator",
    "between": "dust respirator ignite",
    "finish": "rags ignite",
    "own: bench": "hold hands edge",
    "own: sanding": "dust lungs respirator",
}
"""What the caution of each step must speak of."""


def every_step() -> list[tuple[str, Step]]:
    found = [
        (step.id if operation == "glue" else operation, step)
        for operation in sorted(EARLIER)
        if operation not in ("sand", "finish")
        for step in steps_for(operation)
    ]
    found += [("sand", step) for step in steps_for("sand 120")]
    found += [("between" if step.station == "sanding" else "finish", step) for step in steps_for("finish", 2, 320)]
    return [*found, ("own: bench", own_step("fair the curve")), ("own: sanding", own_step("level", "sanding"))]


@pytest.mark.parametrize(("kind", "step"), every_step(), ids=lambda each: each if isinstance(each, str) else "")
def test_every_step_has_the_caution_of_its_kind(kind: str, step: Step) -> None:
    said = step_caution(step).lower()
    assert [word for word in SAID[kind].split() if word not in said] == [], said
    if step.station != "saw":
        assert "guard" not in said
    if kind not in ("spread", "drill"):
        assert "glove" not in said, "gloves are for glue, and never near a drill"


def test_only_a_makers_own_step_has_the_caution_of_hand_tools() -> None:
    for kind, step in every_step():
        assert (step_caution(step) == BY_STATION["bench"]) == (kind == "own: bench"), kind
        assert step.id.startswith(OWN) or kind in SAID


def test_cautions_have_room_beside_the_queue() -> None:
    """Three lines of about 25 characters."""
    assert all(len(words) <= 72 for words in (*BY_STATION.values(), *BY_KIND.values()))
