"""Setups: every cut once, blanks first, with the saw and its stop set as seldom as in an exhaustive search."""

from __future__ import annotations

import heapq
import random
from collections import defaultdict
from itertools import count

from made import build, ends, mm, part

from tracker.design.model import Build, EndCuts, EndName, Ends, Part, RingJoint, SplayedLegJoint
from tracker.measure import millimetres
from tracker.plan.geometry import solid
from tracker.plan.saw_setting import SawSetting, setting
from tracker.plan.setups import Cut, Setups, piece_by_piece_resets, plan_setups

Scale = tuple[float, float, str, str, str]
Place = tuple[float, str]


def scale(of: SawSetting) -> Scale:
    return round(of.miter_deg, 6), round(of.bevel_deg, 6), of.swing, of.tilt, of.way


def cuts_of(plan: Setups) -> list[Cut]:
    return [cut for setup in plan.setups for cut in setup.cuts]


def valid(plan: Setups, made: Build) -> None:
    """Check that no cut is lost, made twice or too early, and that each is at the setting and the stop that it
    needs."""
    wanted: set[tuple[str, int, EndName | None]] = set()
    for line in made.parts:
        for number in range(1, line.quantity + 1):
            piece = solid(line, line.hand(number))
            wanted.add((line.id, number, None))
            wanted |= {(line.id, number, end) for end in ("A", "B") if line.allowance or not piece.end(end).square}
    cuts = cuts_of(plan)
    assert len(cuts) == len(wanted)
    assert {(cut.part, cut.piece, cut.end) for cut in cuts} == wanted
    done: dict[tuple[str, int], list[Cut]] = defaultdict(list)
    for setup in plan.setups:
        assert {scale(cut.setting) for cut in setup.cuts} == {scale(setup.setting)}
        assert {(cut.stop, cut.stop and cut.setting.piece) for cut in setup.cuts} == {
            (setup.stop, setup.stop_side or None)
        }
        for cut in setup.cuts:
            done[cut.part, cut.piece].append(cut)
            assert plan.of(cut.part, cut.piece, cut.end) is setup
    for (name, number), mine in done.items():
        piece = solid(made.part(name), made.part(name).hand(number))
        blank, *trims = mine
        assert blank.end is None
        assert blank.stop == piece.blank_length
        for cut in trims:
            assert cut.stop == (piece.edges.overall if cut is trims[-1] else None)
            assert cut.setting == setting(piece.end(cut.end or "A"), cut.end or "A", made.shop)


def least_by_search(made: Build) -> tuple[int, int]:
    """Fewest saw settings, then stop settings, over every order of all cuts: Dijkstra over what has been cut."""
    kinds = []
    for line in made.parts:
        for hand in {line.hand(number) for number in range(1, line.quantity + 1)}:
            piece = solid(line, hand)
            trims = [setting(piece.end(end), end, made.shop) for end in ("A", "B") if not trimless(piece, line, end)]
            kinds.append((round(mm(piece.blank_length), 4), round(mm(piece.edges.overall), 4), trims))
    square = scale(setting(solid(part()).b, "B", made.shop))
    everything = frozenset((kind, op) for kind, (_, _, trims) in enumerate(kinds) for op in range(-1, len(trims)))
    Node = tuple[frozenset[tuple[int, int]], Scale | None, Place | None]  # noqa: N806
    start: Node = (frozenset(), None, None)
    best: dict[Node, tuple[int, int]] = {start: (0, 0)}
    number = count()
    queue: list[tuple[tuple[int, int], int, Node]] = [((0, 0), next(number), start)]
    while queue:
        cost, _, node = heapq.heappop(queue)
        done, angles, at = node
        if cost > best[node]:
            continue
        if done == everything:
            return cost
        for kind, op in everything - done:
            blank, overall, trims = kinds[kind]
            if op == -1:
                needs = square
                stop: Place | None = (blank, "left of the blade")
            else:
                if (kind, -1) not in done:
                    continue
                needs = scale(trims[op])
                last = sum((kind, other) in done for other in range(len(trims))) == len(trims) - 1
                stop = (overall, trims[op].piece) if last else None
            after: Node = (done | {(kind, op)}, needs, stop or at)
            new = (cost[0] + (needs != angles), cost[1] + (stop is not None and stop != at))
            if after not in best or new < best[after]:
                best[after] = new
                heapq.heappush(queue, (new, next(number), after))
    raise AssertionError("everything can be cut")


def trimless(piece: object, line: Part, end: EndName) -> bool:
    return not line.allowance and solid(line).end(end).square


def random_build(chance: random.Random) -> Build:
    pool: list[Ends] = [
        EndCuts(), ends(15, 15), ends(15, 15, a_long="near"), ends(15, 0), ends(0, 30), ends(15, 30), ends(30, 15),
        RingJoint(sides=6, lean=10), RingJoint(sides=8),
    ]  # fmt: skip
    parts = [
        part(
            id=f"p{n}", name=f"P{n}", quantity=chance.randint(1, 3), length=chance.choice([400, 500, 600]),
            allowance=chance.choice([0, 0, 100]), ends=chance.choice(pool), width=60, thickness=18,
        )
        for n in range(chance.randint(1, 4))
    ]  # fmt: skip
    return build(*parts)


def test_never_more_resets_than_the_least_of_every_order() -> None:
    """150 random small builds against an exhaustive search that knows only what each cut needs."""
    chance = random.Random(1)
    for _ in range(150):
        made = random_build(chance)
        plan = plan_setups(made)
        valid(plan, made)
        assert plan.proved
        assert (plan.resets.saw, plan.resets.stop) == least_by_search(made)


def test_larger_builds_are_whole_and_never_worse_than_piece_by_piece() -> None:
    chance = random.Random(2)
    for _ in range(20):
        parts = []
        for n in range(chance.randint(5, 25)):
            angle = chance.choice([0, 0, 10, 15, 20, 22.5, 25, 30, 35, 40, 45, 12, 33])
            parts.append(
                part(
                    id=f"p{n}", quantity=chance.randint(1, 8), length=chance.choice([400, 500, 600, 700]),
                    allowance=chance.choice([0, 20]), ends=ends(angle, chance.choice([0, angle, 10, 45])),
                )
            )  # fmt: skip
        made = build(*parts)
        plan, naive = plan_setups(made), piece_by_piece_resets(made)
        valid(plan, made)
        assert plan.resets.saw == plan.least.saw <= naive.saw
        assert plan.least.stop <= plan.resets.stop <= naive.stop


def test_three_legs_the_same_and_one_longer_is_one_angle_setting_with_two_stops() -> None:
    short = part(id="leg", quantity=3, length=450, ends=ends(8, 8, a_long="near"))
    long = part(id="long-leg", quantity=1, length=470, ends=ends(8, 8, a_long="near"))
    plan = plan_setups(build(short, long))
    mitred = [setup for setup in plan.setups if not setup.setting.square]
    assert sum(setup.sets_saw for setup in mitred) == 1
    stops = [setup for setup in mitred if setup.stop is not None]
    assert [len(setup.cuts) for setup in stops] in ([1, 3], [3, 1])
    assert len({setup.stop for setup in stops}) == 2


def test_a_ring_is_two_settings_and_two_stops() -> None:
    """Square for the blanks, one compound setting for both ends of all six; piece by piece it is twelve and twelve."""
    made = build(part(id="side", quantity=6, allowance=25, ends=RingJoint(sides=6, lean=10)))
    plan = plan_setups(made)
    assert (plan.resets.saw, plan.resets.stop) == (2, 2)
    naive = piece_by_piece_resets(made)
    assert (naive.saw, naive.stop) == (12, 12)


def test_mirror_pairs_share_the_setting_and_the_stop() -> None:
    legs = part(
        id="leg", left=2, right=2, length=None, width=40, thickness=40, allowance=25,
        ends=SplayedLegJoint(height=millimetres(420), front=12, side=8),
    )  # fmt: skip
    plan = plan_setups(build(legs))
    assert (plan.resets.saw, plan.resets.stop) == (2, 2)


def test_square_pieces_without_allowance_are_done_when_they_are_blanks() -> None:
    plan = plan_setups(build(part(id="rail", quantity=2)))
    assert [cut.operation for cut in cuts_of(plan)] == ["cut", "cut"]
    assert plan.of("rail", 1, "A") is None


def test_a_route_without_a_trim_cuts_its_ends_when_it_is_cut_and_one_without_a_cut_is_not_sawn() -> None:
    sawn = part(id="brace", ends=ends(15, 15), route=("cut", "sand 120"))
    bought = part(id="dowel", route=("glue",))
    plan = plan_setups(build(sawn, bought))
    assert {(cut.part, cut.operation) for cut in cuts_of(plan)} == {("brace", "cut")}
    assert len(cuts_of(plan)) == 3


def test_what_the_saw_cannot_cut_comes_last_and_counts_no_reset() -> None:
    made = build(part(id="flared", length=900, quantity=3, ends=RingJoint(sides=3, lean=60)))
    plan = plan_setups(made)
    last = plan.setups[-1]
    assert not last.setting.possible
    assert {cut.end for cut in last.cuts} == {"B"}
    assert plan.resets.saw == 2


def test_a_build_without_sawn_parts_has_no_setups() -> None:
    plan = plan_setups(build())
    assert plan.setups == ()
    assert plan.proved


def test_a_thousand_pieces_are_planned() -> None:
    parts = [part(id=f"p{n}", quantity=50, length=400 + n, ends=ends(n % 9, 0)) for n in range(20)]
    plan = plan_setups(build(*parts))
    assert plan.proved
    assert len(cuts_of(plan)) == 1000 + 50 * sum(1 for n in range(20) if n % 9)


def test_setups_count_from_one_in_the_order_of_work() -> None:
    plan = plan_setups(build(part(id="side", quantity=6, allowance=25, ends=RingJoint(sides=6, lean=10))))
    assert [setup.order for setup in plan.setups] == list(range(1, len(plan.setups) + 1))
    assert [setup.sets_saw for setup in plan.setups] == [True, True, False]
    assert [setup.sets_stop for setup in plan.setups] == [True, False, True]


def test_more_settings_than_can_be_searched_are_planned_with_a_bound() -> None:
    """Sixteen angles: the order isn't proved to be the least, and its bound says how near it is."""
    parts = [
        part(id=f"p{n}", length=400 + 50 * (n % 3), ends=ends(2 + 2.5 * n, 2 + 2.5 * (n * 7 % 16))) for n in range(16)
    ]
    made = build(*parts)
    plan = plan_setups(made)
    valid(plan, made)
    assert plan.least.saw == plan.resets.saw == 17
    assert 0 < plan.least.stop <= plan.resets.stop


def test_as_many_settings_as_a_file_may_hold_are_planned() -> None:
    """Each of five hundred parts at two angles of its own: nobody needs it, but a file may ask for it."""
    parts = [
        part(id=f"p{n}", quantity=10, length=300 + 7 * n % 900, ends=ends(0.5 + 0.08 * n, 0.25 + 0.07 * n))
        for n in range(500)
    ]
    made = build(*parts)
    plan = plan_setups(made)
    valid(plan, made)
    assert plan.resets.saw == plan.least.saw
    assert plan.least.stop <= plan.resets.stop
