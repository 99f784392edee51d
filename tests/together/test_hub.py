"""The duties of the hub and of a tablet, with a real PostgreSQL started by the tests."""

from __future__ import annotations

import json
from pathlib import Path

import psycopg
import pytest
from msgspec.structs import replace
from together.cluster import Cluster
from together.shops import START, Tablet, at, fact, invitation, refused, shop_of

from tracker.store.recovery import rejoin_rows
from tracker.store.rows import LOST, chain_link
from tracker.together import server
from tracker.together.connection import Connection
from tracker.together.errors import HubError, RefusedRowsError
from tracker.together.joining import join
from tracker.work.facts import Noted, Undone, Unknown


def test_all_have_all(shop: list[Tablet]) -> None:
    for tablet in shop:
        tablet.tick(5)
    for tablet in (*shop, *shop):
        tablet.meet()
    assert shop[0].rows == shop[1].rows == shop[2].rows
    assert len(shop[0].rows) == 15


def test_giving_twice_is_harmless(shop: list[Tablet]) -> None:
    saw = shop[0]
    saw.tick(3)
    saw.meet()
    assert saw.hub.give(list(saw.side.log.rows()))
    assert saw.meet().given == 0


def test_rows_after_a_hole_are_refused(shop: list[Tablet]) -> None:
    saw = shop[0]
    saw.tick(3)
    with pytest.raises(RefusedRowsError, match="hole") as refusal:
        saw.hub.give(list(saw.side.log.rows())[1:])
    assert refusal.value.again


def test_a_changed_row_is_refused_and_nothing_of_its_batch_is_kept(shop: list[Tablet]) -> None:
    saw = shop[0]
    saw.tick(3)
    rows = list(saw.side.log.rows())
    rows[1] = rows[1]._replace(data=rows[1].data.replace("side:", "rail:"))
    with pytest.raises(RefusedRowsError, match="does not follow"):
        saw.hub.give(rows)
    assert saw.hub.take({}, 100) == []


def test_a_fork_gets_a_name_and_nothing_is_lost(shop: list[Tablet]) -> None:
    saw, bench, _ = shop
    saw.tick(6)
    saw.meet()
    bench.meet()
    name = saw.side.tablet
    saw.side.replace_by([row for row in saw.side.log.rows() if row.count <= 4])  # put back outside the app
    saw.tick(2)
    saw.tick(what=Undone(name, 5))
    met = saw.meet()
    bench.meet()
    assert [(fork.tablet, fork.first, fork.last) for fork in met.forks] == [(name, 5, 7)]
    assert saw.rows == bench.rows
    assert len(saw.rows) == 9
    assert saw.side.tablet != name
    branch = sorted(row for row in saw.rows if row.tablet == met.forks[0].renamed)
    assert json.loads(branch[2].data) == {"tablet": branch[0].tablet, "count": 1}, "what it took back is what it was"
    assert bench.meet().forks == []


def test_whoever_holds_a_branch_gives_it_the_same_name(shop: list[Tablet]) -> None:
    saw, bench, desk = shop
    saw.tick(6)
    rows = list(saw.side.log.rows())
    desk.side.take_in(rows)  # carried by file, before anybody met the hub
    bench.side.take_in(rows[:4])  # a card that was copied, and meets it first
    bench.side.tablet = saw.side.tablet
    bench.tick(2)
    bench.meet()
    for tablet in (saw, desk, saw, bench, desk):
        tablet.meet()
    assert saw.rows == bench.rows == desk.rows
    assert len({row.tablet for row in saw.rows}) == 2
    assert len(saw.rows) == 8


def test_an_answer_that_was_changed_makes_no_branch(shop: list[Tablet], monkeypatch: pytest.MonkeyPatch) -> None:
    saw = shop[0]
    saw.tick(6)
    saw.meet()
    honest = saw.hub.ends
    monkeypatch.setattr(
        saw.hub, "ends", lambda tails: {t: replace(end, here="0" * 64) for t, end in honest(tails).items()}
    )
    with pytest.raises(HubError, match="don't hold together"):
        saw.meet()
    assert len({row.tablet for row in saw.rows}) == 1


def test_a_row_that_the_hub_refuses_holds_up_no_other_tablet(shop: list[Tablet]) -> None:
    saw, bench, desk = shop
    saw.tick(2)
    saw.tick(what=Noted("r", "side:1", "x" * 1_100_000))
    saw.tick(3)
    desk.tick(4)
    desk.meet()
    saw.side.take_in(list(bench.side.log.rows()))
    met = saw.meet()
    assert list(met.stuck) == [saw.side.tablet]
    assert met.taken == 4
    bench.meet()
    assert {row.tablet for row in bench.rows} >= {desk.side.tablet}


def test_facts_of_its_own_come_back_to_a_tablet_that_lost_them_and_it_goes_on_under_a_new_name(
    shop: list[Tablet],
) -> None:
    saw = shop[0]
    saw.tick(6)
    saw.meet()
    name = saw.side.tablet
    saw.side.replace_by([row for row in saw.side.log.rows() if row.count <= 2])
    met = saw.meet()
    assert met.taken == 4
    assert met.renewed
    assert saw.side.tablet != name
    assert len(saw.rows) == 6


def test_a_hub_that_was_put_back_is_filled_again_by_whoever_comes(cluster: Cluster, shop: list[Tablet]) -> None:
    saw, bench, _ = shop
    saw.tick(5)
    saw.meet()
    bench.meet()
    with psycopg.connect(cluster.admin()) as db:
        db.execute("ALTER TABLE kerfcard.entries DISABLE TRIGGER only_grows")
        db.execute("DELETE FROM kerfcard.entries WHERE shop = %s AND count > 2", [saw.hub.shop])
        db.execute("ALTER TABLE kerfcard.entries ENABLE TRIGGER only_grows")
    assert bench.meet().given == 3


def test_what_a_damaged_record_lost_comes_back(shop: list[Tablet]) -> None:
    saw, bench, _ = shop
    saw.tick(9)
    saw.meet()
    rows = list(saw.side.log.rows())
    bench.side.replace_by(rejoin_rows([[row for row in rows if not 3 <= row.count <= 5]], START)[0])
    assert any(row.kind == LOST for row in bench.rows)
    bench.tick()
    bench.meet()
    assert {row for row in bench.rows if row.tablet == saw.side.tablet} == set(rows)


def test_a_gap_can_be_given_and_is_filled_by_who_has_the_rows(shop: list[Tablet]) -> None:
    saw, bench, desk = shop
    saw.tick(9)
    rows = list(saw.side.log.rows())
    bench.side.replace_by(rejoin_rows([[row for row in rows if not 3 <= row.count <= 5]], START)[0])
    bench.meet()
    desk.meet()
    assert any(row.kind == LOST for row in desk.rows)
    saw.meet()
    desk.meet()
    bench.meet()
    assert desk.rows == bench.rows == set(rows)


def test_facts_of_a_later_version_pass_unchanged(shop: list[Tablet]) -> None:
    saw, bench, _ = shop
    saw.side.log.append(saw.side.tablet, at(1), [Unknown("glazed", {"run": "r", "deep": [1.50, {"ö": None}]})])
    saw.meet()
    bench.meet()
    assert saw.rows == bench.rows
    assert any(row.kind == "glazed" for row in bench.rows)


def test_the_hub_chains_every_character_as_the_tablets_do(cluster: Cluster) -> None:
    signs = [chr(code) for code in range(1, 0x110000) if not 0xD800 <= code <= 0xDFFF]
    words = ["".join(signs[start : start + 997]) for start in range(0, len(signs), 997)]
    with psycopg.connect(cluster.admin()) as db:
        there = db.execute(
            "SELECT kerfcard.link(w, 'tablet_-1', 7, w, '2026', 'done', w)"
            " FROM unnest(%s::text[]) WITH ORDINALITY u(w, o) ORDER BY o",
            [words],
        ).fetchall()
    assert [row[0] for row in there] == [chain_link(word, "tablet_-1", 7, word, "2026", "done", word) for word in words]


# -- who may do what ---------------------------------------------------------------------------------------------------


def test_other_shops_are_out_of_sight(cluster: Cluster, shop: list[Tablet], tmp_path: Path) -> None:
    shop[0].tick(3)
    shop[0].meet()
    stranger = shop_of(cluster, tmp_path / "other", ("Stranger",))[0]
    hub = stranger.hub
    name = shop[0].side.tablet
    assert hub.take({}, 100) == []
    assert hub.ends({name: (3, "")}) == {}
    assert hub.between(name, 1, 3) == []
    assert hub.gaps() == []
    assert hub.words() == {}
    assert hub._ask("SELECT count(*) FROM kerfcard.entries") == [(0,)]
    assert len(hub.meet("x", "boot", 1.0, "1")) == 1
    assert hub.through(name, 1) == ""
    stranger.close()


FORBIDDEN = [
    "UPDATE kerfcard.entries SET data = ''",
    "DELETE FROM kerfcard.entries",
    "TRUNCATE kerfcard.entries",
    "INSERT INTO kerfcard.entries (shop, login, tablet, count, seen, at, kind, data, chain)"
    " VALUES (gen_random_uuid(), 1, 'x', 1, '', '', '', '', '')",
    "INSERT INTO kerfcard.files (shop, digest, body, login) VALUES (gen_random_uuid(), '', '', 1)",
    "SELECT * FROM kerfcard.logins",
    "SELECT * FROM kerfcard.shops",
    "SELECT kerfcard.make_login(gen_random_uuid(), 'x', 'y', now(), true, 1)",
    "SELECT kerfcard.shut_out(kerfcard.me())",
    "CREATE TABLE public.x (i int)",
    "CREATE TEMP TABLE x (i int)",
    "CREATE ROLE x",
    "SET ROLE kerfcard_hub",
    "COPY (SELECT 1) TO PROGRAM 'id'",
    "SELECT lo_create(0)",
    "SELECT pg_read_file('/etc/passwd')",
    "ALTER TABLE kerfcard.entries DISABLE TRIGGER ALL",
    "CREATE FUNCTION f() RETURNS int LANGUAGE sql AS 'SELECT 1'",
    "SELECT rolpassword FROM pg_authid",
]


def test_what_a_tablet_may_not_do(shop: list[Tablet]) -> None:
    for question in FORBIDDEN:
        assert refused(shop[0].hub._line, question) in ("42501", "3F000"), question


def test_not_even_the_owner_changes_a_fact(cluster: Cluster, shop: list[Tablet]) -> None:
    shop[0].tick()
    shop[0].meet()
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        for question in (
            "UPDATE kerfcard.entries SET data = ''",
            "DELETE FROM kerfcard.entries",
            "TRUNCATE kerfcard.entries",
        ):
            assert refused(db, question) == "KF003"


def test_only_a_keeper_invites_and_takes_out(shop: list[Tablet]) -> None:
    for attempt in (lambda: shop[1].hub.invite("x"), lambda: shop[1].hub.revoke(shop[0].membership.login)):
        with pytest.raises(HubError) as error:
            attempt()
        assert error.value.why == "refused"


def test_a_lost_tablet_is_out_at_once_and_its_facts_stay(shop: list[Tablet]) -> None:
    saw, bench, desk = shop
    bench.tick()
    bench.meet()
    assert saw.hub.revoke(bench.membership.login) == ["Bench"]
    with pytest.raises(HubError):
        bench.hub.take({}, 1)
    bench.hang_up()
    with pytest.raises(HubError) as error:
        bench.meet()
    assert error.value.why == "refused"
    desk.meet()
    assert len(desk.rows) == 1


def test_whom_a_stolen_keeper_invited_since_goes_with_it(cluster: Cluster, shop: list[Tablet], tmp_path: Path) -> None:
    login, secret = shop[0].hub.invite("Second", keeper=True)
    second = Connection(join(tmp_path / "second", invitation(cluster, login, secret), "Second"))
    thief = join(tmp_path / "thief", invitation(cluster, *second.invite("Thief")), "Thief")
    second.close()
    assert sorted(shop[0].hub.revoke(login, since_hours=24)) == ["Second", "Thief"]
    with pytest.raises(HubError):
        Connection(thief)


def test_an_invitation_is_good_once(cluster: Cluster, shop: list[Tablet], tmp_path: Path) -> None:
    found = invitation(cluster, *shop[0].hub.invite("New"))
    join(tmp_path / "new", found, "New")
    with pytest.raises(HubError) as error:
        join(tmp_path / "thief", found, "Thief")
    assert error.value.why == "refused"


def test_an_invitation_that_is_too_old_opens_nothing(cluster: Cluster, shop: list[Tablet], tmp_path: Path) -> None:
    login, secret = shop[0].hub.invite("New")
    with psycopg.connect(cluster.admin(), autocommit=True) as db:
        db.execute(f"ALTER ROLE {login} VALID UNTIL '2020-01-01'")
    with pytest.raises(HubError) as error:
        join(tmp_path / "new", invitation(cluster, login, secret), "New")
    assert error.value.why == "refused"


def test_an_invitation_alone_reads_and_writes_nothing(cluster: Cluster, shop: list[Tablet]) -> None:
    shop[0].tick()
    shop[0].meet()
    login, secret = shop[0].hub.invite("New")
    where = f"host=127.0.0.1 port={cluster.port} dbname=kerfcard user={login} password={secret} sslmode=require"
    with psycopg.connect(where, autocommit=True) as line:
        assert line.execute("SELECT count(*) FROM kerfcard.entries").fetchone() == (0,)
        assert refused(line, "SELECT * FROM kerfcard.take('{}', '{}', 1)") == "42501"


def test_joining_again_after_the_line_broke_at_the_worst_moment(
    cluster: Cluster, shop: list[Tablet], tmp_path: Path
) -> None:
    """The hub has the tablet's own secret, but the tablet doesn't know that it has."""
    from tracker.together.joining import _accept
    from tracker.together.membership import invited, write_membership

    found = invitation(cluster, *shop[0].hub.invite("New"))
    begun = invited(found, "New")
    write_membership(tmp_path / "new", begun)
    _accept(begun)
    assert join(tmp_path / "new", found, "New").code == ""


def test_the_server_that_would_lose_facts_is_refused(cluster: Cluster) -> None:
    found = server.prepare(cluster.admin())
    assert {each.sentence.split()[0] for each in found if each.kind == "unsafe"} == {
        "fsync", "full_page_writes", "synchronous_commit",
    }  # fmt: skip


def test_preparing_twice_is_harmless(cluster: Cluster, shop: list[Tablet]) -> None:
    shop[0].tick(2)
    shop[0].meet()
    server.prepare(cluster.admin(), force=True)
    shop[1].meet()
    assert len(shop[1].rows) == 2


def test_build_files_go_by_their_content(shop: list[Tablet]) -> None:
    import hashlib

    saw, bench, _ = shop
    saw.hub.give_build("Stool", "stool.toml", b"[build]")
    saw.hub.give_build("Stool", "stool.toml", b"[build]")
    saw.hub.give_build("Stool", "stool.toml", b"[build] # revised")
    digests = [hashlib.sha256(body).hexdigest() for body in (b"[build]", b"[build] # revised")]
    assert bench.hub.builds() == [("Stool", "stool.toml", digest) for digest in digests]
    assert bench.hub.file(digests[1]) == b"[build] # revised"
    with pytest.raises(HubError):
        saw.hub.give_build("Stool", "stool.toml", b"x" * 300_000)


def test_two_machines_with_one_login_are_noticed(shop: list[Tablet]) -> None:
    hub = shop[1].hub
    for boot in ("one", "two", "three", "three"):
        assert not any(each.copied for each in hub.meet("bench000", boot, 5.0, "1"))
    assert [each.word for each in hub.meet("bench000", "two", 5.0, "1") if each.copied] == ["Bench"]


def test_an_entry_forged_under_anothers_name_is_known_by_who_brought_it(shop: list[Tablet]) -> None:
    saw, bench, desk = shop
    saw.tick(2)
    saw.meet()
    bench.meet()
    bench.side.tablet = saw.side.tablet
    bench.tick()
    bench.meet()
    name = saw.side.tablet
    saw.tick(what=fact(9, "true"))
    met = saw.meet()
    assert [fork.tablet for fork in met.forks] == [name], "both stay, and the saw's own goes on under a name of its own"
    assert desk.hub.through(name, 3) == "Bench"
    desk.meet()
    assert len(desk.rows) == 4
