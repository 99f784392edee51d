"""Words at the beginning of a line and inside one."""

from __future__ import annotations

from tracker.cards.words import capital, inside


def test_a_sentence_and_its_beginning() -> None:
    assert (capital("end A"), capital(""), inside("Sand it"), inside("")) == ("End A", "", "sand it", "")
