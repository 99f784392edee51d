"""A title that is too long is shortened where its twins are alike, never where they differ."""

from __future__ import annotations

import pytest

from tracker.cards.words import brief, capital, inside

NAMES = (
    "Lower left rear stretcher of the tall cabinet 101 of 120, left",
    "Lower left rear stretcher of the tall cabinet 102 of 120, left",
    "A name without any number that goes on and on for ever and ever",
    "Extraordinarilylongsinglewordwithoutaspaceinitatall 7 of 9",
    "Leg 2 of 4",
)


@pytest.mark.parametrize("most", [20, 30, 44])
@pytest.mark.parametrize("name", NAMES)
def test_it_keeps_its_end_within_its_room(name: str, most: int) -> None:
    short = brief(name, most)
    if len(name) <= most:
        assert short == name
        return
    head, _, tail = short.partition("…")
    assert name.startswith(head)
    assert len(head) >= 1
    assert name.endswith(tail.strip())
    assert tail.strip() == name[name.index(" 1") + 1 :] if " 1" in name else True
    assert len(short) <= max(most, len(tail) + 9), "eight signs of the name at least"


def test_it_uses_the_room_that_there_is() -> None:
    """Words of five signs: as many as fit before the ellipsis, a space and the number."""
    name = "aaaa bbbb cccc dddd eeee ffff 12 of 30"
    assert brief(name, 37) == "aaaa bbbb cccc dddd eeee… 12 of 30"
    assert brief(name, 38) == name
    assert brief(name, 30) == "aaaa bbbb cccc dddd… 12 of 30"
    assert brief("Board 7 of 40 in a very long row of boards", 30).startswith("Board")


def test_twins_stay_apart() -> None:
    assert brief(NAMES[0], 30) != brief(NAMES[1], 30)


def test_a_sentence_and_its_beginning() -> None:
    assert (capital("end A"), capital(""), inside("Sand it"), inside("")) == ("End A", "", "sand it", "")
