"""What is known of the other tablets before anything is, and what people call each of them."""

from __future__ import annotations

import pytest

from tracker.work.sync_status import SyncStatus, Tablet


def test_before_anything_is_known_this_tablet_is_by_itself() -> None:
    alone = SyncStatus()
    assert {name: getattr(alone, name) for name in alone.__struct_fields__} == {
        "state": "off", "since": None, "why": "", "shop": "", "word": "", "keeper": False, "others": (), "words": {},
        "waiting": 0, "trouble": (), "news": (),
    }  # fmt: skip
    assert not alone.joined
    assert SyncStatus(state="alone").joined


def test_of_a_tablet_only_its_login_and_its_word_are_known_at_first() -> None:
    tablet = Tablet(login="t1", word="Saw")
    assert (tablet.met, tablet.app, tablet.keeper, tablet.out, tablet.mine, tablet.copied) == (None, "", *[False] * 4)


@pytest.mark.parametrize(
    ("tablet", "own", "said"),
    [("a1", "b2", "Bench"), ("b2", "b2", "Saw"), ("b2", "", "another tablet"), ("c3", "b2", "another tablet"),
     ("a1", "a1", "Bench")],
)  # fmt: skip
def test_what_people_call_the_tablet_that_wrote_under_a_name(tablet: str, own: str, said: str) -> None:
    assert SyncStatus(word="Saw", words={"a1": "Bench"}).name_of(tablet, own) == said


def test_without_a_word_of_its_own_it_is_another_one() -> None:
    assert SyncStatus().name_of("b2", "b2") == "another tablet"
