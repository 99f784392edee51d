"""A row of screws at the best marks: against every set of marks, and the limits of what is proposed and said."""

from __future__ import annotations

import random
from itertools import combinations, pairwise

import pytest
from msgspec.structs import replace
from place.test_screw_solids import BEFORE
from place.test_wrong_screws import HEAD, P, row

from tracker.design.load import load_build
from tracker.design.model import Build
from tracker.measure import millimetres
from tracker.plan.screws import choose, evened, surveys
from tracker.plan.screws.clearance import FAR, Clearance
from tracker.plan.screws.proposing import ScrewProposal, _lay_out, _Row, propose


@pytest.mark.parametrize("seed", range(40))
def test_the_best_of_every_set_of_marks(seed: int) -> None:
    """The least value or gap of the set is as large as in any other; the first marks that reach it are taken."""
    chance = random.Random(f"marks {seed}")
    places = sorted(float(each) for each in chance.sample(range(0, 80, 4 if seed % 2 else 1), chance.randint(1, 9)))
    values = [float(chance.randint(-2, 9)) for _ in places]
    spacing, thick = float(chance.choice((4, 8, 20))), float(chance.choice((2, 4)))
    for count in (2, 3, 4):
        sets = [
            (min([values[at] for at in marks] + [places[b] - places[a] - thick for a, b in pairwise(marks)]), marks)
            for marks in combinations(range(len(places)), count)
            if all(places[b] - places[a] >= spacing for a, b in pairwise(marks))
        ]
        found = choose(values, places, count, spacing, thick)
        assert (found is None) is not sets
        if found is None:
            continue
        best = max(worth for worth, _ in sets)
        assert found.clearance == best
        assert found.marks == min(marks for worth, marks in sets if worth == best)
        even = evened(values, places, spacing, thick, found)
        at_least = best - 0.1 * abs(best)
        assert even.clearance >= at_least - 1e-9
        assert even.clearance == next(worth for worth, marks in sets if marks == even.marks)
        wide = [places[at] for at, value in enumerate(values) if value >= at_least]
        assert even == found or (places[even.marks[0]], places[even.marks[-1]]) == (wide[0], wide[-1])
    middle = max(range(len(places)), key=lambda at: (values[at], -abs(at - (len(places) - 1) / 2)))
    one = choose(values, places, 1, spacing, thick)
    assert one is not None
    assert (one.clearance, one.marks) == (values[middle], (middle,))


def test_nothing_is_chosen_of_nothing() -> None:
    assert choose([], [], 1, 25.0, 8.0) is None
    assert choose([9.0], [12.0], 2, 25.0, 8.0) is None


def corner(quantity: int = 1) -> Build:
    rail = f'\n[[parts]]\nid = "rail"\nname = "Rail"\nquantity = {quantity}\nwood = "oak"\nlength = 300\n'
    place = BEFORE if quantity == 1 else ""
    build = load_build(f"{HEAD}{rail}{row(P + ', places = 2, screw = 35')}\n{place}").build
    assert build is not None
    return build


def proposed(values: list[float], wanted: int, step: float = 25.0) -> ScrewProposal:
    """Marks `step` apart from 12 on, each with this much room to the far edge of the leg; screws 8 mm thick."""
    marks = tuple(millimetres(str(12 + step * at)) for at in range(len(values)))
    nearest = [Clearance(value, "thread", "face", "far", ("leg", 1)) for value in values]
    return propose(corner(), marks, nearest, wanted, 8.0)


def test_three_millimetres_around_a_screw_are_enough_and_less_is_not() -> None:
    enough = proposed([3.0, 3.0], 2)
    assert (enough.wanted, enough.places, enough.clearance) == (2, (millimetres(12), millimetres(37)), 3.0)
    assert enough.notes == ()
    fewer = proposed([2.9, 3.0], 2)
    assert (fewer.wanted, fewer.places, fewer.clearance) == (2, (millimetres(37),), 3.0)
    assert fewer.notes == (
        "2 don't fit with 25 mm from one to the next, 1 does; in the way: its thread and the far edge of Leg",
    )
    none = proposed([2.9, 2.8], 2)
    assert (none.wanted, none.places, none.clearance) == (2, (), None)
    assert none.notes == ("no mark has 3 mm around it: the best comes near with its thread and the far edge of Leg",)


def test_screws_are_an_inch_apart_and_what_is_in_nobodys_way_is_not_named() -> None:
    """24.9 mm from one to the next: every other mark; nothing is less than 3 mm away."""
    found = proposed([3.0, 4.0, 9.0], 3, 24.9)
    assert found.places == (millimetres(12), millimetres("61.8"))
    assert found.notes == ("3 don't fit with 25 mm from one to the next, 2 do",)
    assert proposed([3.0, 4.0, 9.0], 3, 25.0).places == tuple(map(millimetres, (12, 37, 62)))


def test_an_even_row_is_left_where_it_would_have_less_than_three_millimetres() -> None:
    """Evened, a row may lose a tenth of its room: of 3.2 mm to 2.9, which is too little. The first two of 3.2 then."""
    assert proposed([2.9, 3.2, 9.0, 3.2, 2.9], 2).places == (millimetres(37), millimetres(62))
    assert proposed([3.0, 3.2, 9.0, 3.2, 3.0], 2).places == (millimetres(12), millimetres(112))


@pytest.mark.parametrize(("pieces", "looked_at"), [(1, 1), (12, 12), (13, 7), (24, 12), (25, 9), (36, 12), (37, 10)])
def test_at_most_twelve_pieces_of_a_part_are_examined_evenly_chosen(pieces: int, looked_at: int) -> None:
    """Every second of 13, the third of 25, the fourth of 37; none is no more than one in so many."""
    build = corner()
    (survey,) = surveys(build)
    (part,) = (each for each in build.parts if each.id == "rail")
    (rail,) = (timber for timber in survey.timbers.values() if timber.part.id == "rail")
    many = replace(survey, timbers={("rail", number): rail for number in range(1, pieces + 1)}, screws=(), bores=())
    made = _Row(part, (0,))
    _lay_out(build, [many], made)
    assert len(made.sites) == looked_at
    assert len(made.nearest) == len(made.marks) == 77, "12 to 88 mm"
    assert all(each.mm < FAR for each in made.nearest)
