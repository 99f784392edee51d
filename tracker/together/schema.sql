-- The hub: one schema in a database, for many shops. What a tablet may do is granted at the end, and nothing else.
-- Run by `kerfcard hub init` as the role kerfcard_hub, which owns all of it and can't log in. Running it again brings an
-- older hub up to date: tables are only added to, and a function keeps its signature and its meaning for ever.
CREATE SCHEMA IF NOT EXISTS kerfcard;
REVOKE ALL ON SCHEMA kerfcard FROM PUBLIC;

CREATE TABLE IF NOT EXISTS kerfcard.hub (
  one boolean PRIMARY KEY DEFAULT true CHECK (one),
  version int NOT NULL,                          -- of this schema
  oldest int NOT NULL                            -- the oldest version of a tablet that may still speak to it
);
INSERT INTO kerfcard.hub (version, oldest) VALUES (1, 1) ON CONFLICT DO NOTHING;

CREATE TABLE IF NOT EXISTS kerfcard.shops (
  shop uuid PRIMARY KEY DEFAULT gen_random_uuid(),
  name text NOT NULL CHECK (length(name) BETWEEN 1 AND 80),
  channel text NOT NULL UNIQUE DEFAULT 'k' || replace(gen_random_uuid()::text, '-', ''),
  made timestamptz NOT NULL DEFAULT now()
);

CREATE TABLE IF NOT EXISTS kerfcard.logins (
  id int GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  login text NOT NULL UNIQUE,
  shop uuid NOT NULL REFERENCES kerfcard.shops,
  word text NOT NULL CHECK (length(word) BETWEEN 1 AND 40),        -- what people call the tablet: Saw, Bench
  keeper boolean NOT NULL DEFAULT false,                           -- may invite others and take them out
  tablet text,                                                     -- the name under which it writes now
  app text,
  boots text[] NOT NULL DEFAULT '{}',                              -- its last boots, the present one last
  boot_seconds double precision,                                   -- what its boot clock said when it met last
  copied timestamptz,                                              -- a boot came back: two machines have this login
  invited_by int REFERENCES kerfcard.logins,
  invited timestamptz NOT NULL DEFAULT now(),
  until timestamptz,                                               -- of an invitation that wasn't taken up yet
  joined timestamptz,
  met timestamptz,                                                 -- when it last had given and taken everything
  revoked timestamptz
);

CREATE TABLE IF NOT EXISTS kerfcard.names (                        -- which tablet wrote under which names
  shop uuid NOT NULL,
  tablet text NOT NULL,
  login int NOT NULL REFERENCES kerfcard.logins,
  PRIMARY KEY (shop, tablet)
);

CREATE TABLE IF NOT EXISTS kerfcard.entries (                      -- the columns of a tablet's own log, byte for byte
  shop uuid NOT NULL,
  tablet text NOT NULL,
  count int NOT NULL CHECK (count BETWEEN 1 AND 1000000000),
  lost boolean NOT NULL GENERATED ALWAYS AS (kind = 'lost') STORED,  -- a gap and what was lost may both be there
  seen text NOT NULL CHECK (octet_length(seen) <= 20000),
  at text NOT NULL CHECK (octet_length(at) <= 40),
  kind text NOT NULL CHECK (octet_length(kind) <= 60),
  data text NOT NULL CHECK (octet_length(data) <= 1000000),
  chain text NOT NULL,
  arrived timestamptz NOT NULL DEFAULT now(),
  login int NOT NULL,                                              -- through whom it came
  PRIMARY KEY (shop, tablet, count, lost)
);

CREATE TABLE IF NOT EXISTS kerfcard.files (
  shop uuid NOT NULL,
  digest bytea NOT NULL,
  body bytea NOT NULL CHECK (length(body) <= 262144),
  arrived timestamptz NOT NULL DEFAULT now(),
  login int NOT NULL,
  PRIMARY KEY (shop, digest),
  CHECK (digest = sha256(body))
);

CREATE TABLE IF NOT EXISTS kerfcard.builds (                       -- which file a run is made from; the latest counts
  shop uuid NOT NULL,
  run text NOT NULL CHECK (length(run) BETWEEN 1 AND 200),
  digest bytea NOT NULL,
  name text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  arrived timestamptz NOT NULL DEFAULT now(),
  login int NOT NULL,
  PRIMARY KEY (shop, run, digest),
  FOREIGN KEY (shop, digest) REFERENCES kerfcard.files
);

-- Who is asking ---------------------------------------------------------------------------------------------------
CREATE OR REPLACE FUNCTION kerfcard.me() RETURNS kerfcard.logins LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS
  $$ SELECT l FROM kerfcard.logins l WHERE l.login = session_user AND l.revoked IS NULL AND l.joined IS NOT NULL $$;

CREATE OR REPLACE FUNCTION kerfcard.my_shop() RETURNS uuid LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$ SELECT (kerfcard.me()).shop $$;

CREATE OR REPLACE FUNCTION kerfcard.let_in() RETURNS kerfcard.logins LANGUAGE plpgsql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
DECLARE mine kerfcard.logins := kerfcard.me();
BEGIN
  IF mine.id IS NULL THEN RAISE EXCEPTION 'this tablet is not let in' USING ERRCODE = '42501'; END IF;
  RETURN mine;
END $$;

-- The chain, as the tablets make it (tracker/store/rows.py) ----------------------------------------------------------
CREATE OR REPLACE FUNCTION kerfcard.link(before text, tablet text, count int, seen text, at text, kind text, data text)
  RETURNS text LANGUAGE sql IMMUTABLE PARALLEL SAFE AS
  $$ SELECT encode(sha256(convert_to('[' || to_json(before)::text || ', ' || to_json(tablet)::text || ', ' || count::text
     || ', ' || to_json(seen)::text || ', ' || to_json(at)::text || ', ' || to_json(kind)::text || ', '
     || to_json(data)::text || ']', 'UTF8')), 'hex') $$;

CREATE OR REPLACE FUNCTION kerfcard.goes_on(kind text, data text, chain text) RETURNS text LANGUAGE sql IMMUTABLE AS
  $$ SELECT CASE WHEN kind = 'lost' THEN data::json ->> 'chain' ELSE chain END $$;

-- Every row follows from one that is there: no hole, nothing changed, no second history under one name. It is looked at
-- once a statement, for all of its rows together.
CREATE OR REPLACE FUNCTION kerfcard.follows() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
DECLARE wrong record;
BEGIN
  SELECT w.tablet, w.count, w.before INTO wrong FROM (
    SELECT n.*, CASE WHEN n.first = 1 THEN '' WHEN n.last_count = n.first - 1 THEN n.last_chain ELSE p.chain END AS before
    FROM (
      SELECT f.*, lag(f.count) OVER t AS last_count, lag(f.goes_on) OVER t AS last_chain FROM (
        SELECT c.*, CASE WHEN c.kind = 'lost' THEN (c.data::json ->> 'from')::int ELSE c.count END AS first,
               kerfcard.goes_on(c.kind, c.data, c.chain) AS goes_on
        FROM new_rows c) f
      WINDOW t AS (PARTITION BY f.shop, f.tablet ORDER BY f.count, f.lost)) n
    LEFT JOIN LATERAL (
      SELECT kerfcard.goes_on(p.kind, p.data, p.chain) AS chain FROM kerfcard.entries p
      WHERE n.first > 1 AND n.last_count IS DISTINCT FROM n.first - 1
        AND p.shop = n.shop AND p.tablet = n.tablet AND p.count = n.first - 1 ORDER BY p.lost LIMIT 1) p ON true
  ) w
  WHERE w.chain IS DISTINCT FROM kerfcard.link(w.before, w.tablet, w.count, w.seen, w.at, w.kind, w.data)
     OR w.first > w.count OR w.first < 1 OR w.tablet !~ '^[0-9A-Za-z_-]{1,32}$'
  ORDER BY w.tablet, w.count LIMIT 1;
  IF FOUND AND wrong.before IS NULL THEN
    RAISE EXCEPTION 'entry % of tablet % comes after a hole', wrong.count, wrong.tablet USING ERRCODE = 'KF002';
  ELSIF FOUND THEN
    RAISE EXCEPTION 'entry % of tablet % does not follow', wrong.count, wrong.tablet USING ERRCODE = 'KF001';
  END IF;
  RETURN NULL;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.only_grows() RETURNS trigger LANGUAGE plpgsql AS
  $$ BEGIN RAISE EXCEPTION 'the record only grows' USING ERRCODE = 'KF003'; END $$;

CREATE OR REPLACE TRIGGER follows AFTER INSERT ON kerfcard.entries REFERENCING NEW TABLE AS new_rows
  FOR EACH STATEMENT EXECUTE FUNCTION kerfcard.follows();
CREATE OR REPLACE TRIGGER only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON kerfcard.entries
  FOR EACH STATEMENT EXECUTE FUNCTION kerfcard.only_grows();
CREATE OR REPLACE TRIGGER only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON kerfcard.files
  FOR EACH STATEMENT EXECUTE FUNCTION kerfcard.only_grows();

-- What a tablet calls -----------------------------------------------------------------------------------------------
-- The tablets of a shop, found by skipping through the index: no second list has to be kept true.
CREATE OR REPLACE FUNCTION kerfcard.tablets(of_shop uuid) RETURNS SETOF text LANGUAGE sql STABLE
  SET search_path = pg_catalog, pg_temp AS $$
  WITH RECURSIVE found AS (
    (SELECT e.tablet FROM kerfcard.entries e WHERE e.shop = of_shop ORDER BY e.tablet LIMIT 1)
    UNION ALL
    SELECT (SELECT e.tablet FROM kerfcard.entries e WHERE e.shop = of_shop AND e.tablet > n.tablet
            ORDER BY e.tablet LIMIT 1)
    FROM found n WHERE n.tablet IS NOT NULL)
  SELECT n.tablet FROM found n WHERE n.tablet IS NOT NULL $$;

-- The end of every tablet here, and with which chain it went on here at the count that the caller has of it.
CREATE OR REPLACE FUNCTION kerfcard.ends(tablets text[], counts int[])
  RETURNS TABLE (tablet text, count int, chain text, here text) LANGUAGE plpgsql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE mine kerfcard.logins := kerfcard.let_in();
BEGIN
  RETURN QUERY
  SELECT n.tablet, h.count, h.chain, w.chain FROM kerfcard.tablets(mine.shop) AS n (tablet)
  LEFT JOIN unnest(tablets, counts) AS m (tablet, count) ON m.tablet = n.tablet
  CROSS JOIN LATERAL (
    SELECT e.count, kerfcard.goes_on(e.kind, e.data, e.chain) AS chain FROM kerfcard.entries e
    WHERE e.shop = mine.shop AND e.tablet = n.tablet ORDER BY e.count DESC, e.lost LIMIT 1) h
  LEFT JOIN LATERAL (
    SELECT kerfcard.goes_on(e.kind, e.data, e.chain) AS chain FROM kerfcard.entries e
    WHERE e.shop = mine.shop AND e.tablet = n.tablet AND e.count = m.count ORDER BY e.lost LIMIT 1) w ON true;
END $$;

-- Append; a row that is there already is left alone. Answers those that are there and are other ones.
CREATE OR REPLACE FUNCTION kerfcard.give(
    tablets text[], counts int[], seens text[], ats text[], kinds text[], datas text[], chains text[])
  RETURNS TABLE (tablet text, count int, chain text) LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE put bigint; mine kerfcard.logins := kerfcard.let_in();
BEGIN
  INSERT INTO kerfcard.entries (shop, login, tablet, count, seen, at, kind, data, chain)
    SELECT mine.shop, mine.id, g.* FROM unnest(tablets, counts, seens, ats, kinds, datas, chains) AS g (tablet, count)
    ORDER BY g.tablet, g.count
    ON CONFLICT DO NOTHING;
  GET DIAGNOSTICS put = ROW_COUNT;
  IF put < cardinality(tablets) THEN
    RETURN QUERY SELECT e.tablet, e.count, e.chain
      FROM unnest(tablets, counts, kinds, chains) AS g (tablet, count, kind, chain)
      JOIN kerfcard.entries e
        ON e.shop = mine.shop AND e.tablet = g.tablet AND e.count = g.count AND e.lost = (g.kind = 'lost')
      WHERE e.chain <> g.chain AND g.kind <> 'lost' ORDER BY 1, 2;
  END IF;
END $$;

-- Wake the others, in a transaction that waits for no disk: commits that notify pass one by one on the whole server, and
-- were it the one that appends, each would wait until the one before it is on the disk.
CREATE OR REPLACE FUNCTION kerfcard.tell(what text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  PERFORM set_config('synchronous_commit', 'off', true);
  PERFORM pg_notify(s.channel, left(what, 200)) FROM kerfcard.shops s WHERE s.shop = kerfcard.my_shop();
END $$;

-- Everything after those counts, in the order of each tablet's own.
CREATE OR REPLACE FUNCTION kerfcard.take(tablets text[], afters int[], most int)
  RETURNS TABLE (tablet text, count int, seen text, at text, kind text, data text, chain text) LANGUAGE plpgsql STABLE
  SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE mine kerfcard.logins := kerfcard.let_in();
BEGIN
  RETURN QUERY
  SELECT r.* FROM (SELECT n.tablet, coalesce(m.after, 0) AS after FROM kerfcard.tablets(mine.shop) AS n (tablet)
                   LEFT JOIN unnest(tablets, afters) AS m (tablet, after) ON m.tablet = n.tablet) w
  CROSS JOIN LATERAL (
    SELECT e.tablet, e.count, e.seen, e.at, e.kind, e.data, e.chain FROM kerfcard.entries e
    WHERE e.shop = mine.shop AND e.tablet = w.tablet AND e.count > w.after ORDER BY e.count, e.lost LIMIT most) r
  LIMIT most;
END $$;

-- The rows of one tablet between two counts, both included.
CREATE OR REPLACE FUNCTION kerfcard.between(of_tablet text, first int, last int)
  RETURNS TABLE (tablet text, count int, seen text, at text, kind text, data text, chain text) LANGUAGE plpgsql STABLE
  SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE mine kerfcard.logins := kerfcard.let_in();
BEGIN
  RETURN QUERY SELECT e.tablet, e.count, e.seen, e.at, e.kind, e.data, e.chain FROM kerfcard.entries e
    WHERE e.shop = mine.shop AND e.tablet = of_tablet AND e.count BETWEEN first AND last ORDER BY e.count, e.lost LIMIT 2000;
END $$;

-- Where facts are known to be missing: the first and the last count that a row `lost` stands for.
CREATE OR REPLACE FUNCTION kerfcard.gaps() RETURNS TABLE (tablet text, first int, last int) LANGUAGE plpgsql STABLE
  SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE mine kerfcard.logins := kerfcard.let_in();
BEGIN
  RETURN QUERY SELECT e.tablet, (e.data::json ->> 'from')::int, e.count FROM kerfcard.entries e
    WHERE e.shop = mine.shop AND e.lost AND NOT EXISTS (
      SELECT FROM kerfcard.entries r WHERE r.shop = mine.shop AND r.tablet = e.tablet AND r.count = e.count AND NOT r.lost);
END $$;
CREATE INDEX IF NOT EXISTS entries_lost ON kerfcard.entries (shop) WHERE lost;

-- Everybody who ever joined. `copied`: a boot of a login came back after another one, so two machines have it.
CREATE OR REPLACE FUNCTION kerfcard.members()
  RETURNS TABLE (login text, word text, tablet text, ago double precision, app text, keeper boolean, revoked boolean,
                 mine boolean, boot text, seconds double precision, copied boolean)
  LANGUAGE sql VOLATILE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
  SELECT l.login, l.word, l.tablet, extract(epoch FROM clock_timestamp() - l.met)::double precision, l.app,
      l.keeper, l.revoked IS NOT NULL, l.login = session_user, l.boots[cardinality(l.boots)], l.boot_seconds,
      l.copied IS NOT NULL
    FROM kerfcard.logins l WHERE l.shop = kerfcard.my_shop() AND l.joined IS NOT NULL ORDER BY l.id $$;

-- All was given and taken: say so to the others, and hear of them.
CREATE OR REPLACE FUNCTION kerfcard.meet(as_tablet text, in_boot text, at_seconds double precision, with_app text)
  RETURNS TABLE (login text, word text, tablet text, ago double precision, app text, keeper boolean, revoked boolean,
                 mine boolean, boot text, seconds double precision, copied boolean)
  LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
#variable_conflict use_column
DECLARE i kerfcard.logins := kerfcard.let_in(); present text := i.boots[cardinality(i.boots)];
BEGIN
  UPDATE kerfcard.logins l SET met = clock_timestamp(), tablet = left(as_tablet, 32), app = left(with_app, 20),
      boot_seconds = at_seconds,
      copied = CASE WHEN in_boot <> present AND in_boot = ANY (l.boots) THEN clock_timestamp() ELSE l.copied END,
      boots = CASE WHEN in_boot = present THEN l.boots
                   ELSE (array_remove(l.boots, in_boot) || left(in_boot, 80))[greatest(1, cardinality(l.boots) - 6):] END
    WHERE l.id = i.id;
  INSERT INTO kerfcard.names (shop, tablet, login) VALUES (i.shop, left(as_tablet, 32), i.id) ON CONFLICT DO NOTHING;
  RETURN QUERY SELECT * FROM kerfcard.members();
END $$;

-- What people call the tablet that wrote under a name.
CREATE OR REPLACE FUNCTION kerfcard.words() RETURNS TABLE (tablet text, word text) LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
  SELECT n.tablet, l.word FROM kerfcard.names n JOIN kerfcard.logins l ON l.id = n.login
  WHERE n.shop = kerfcard.my_shop() $$;

-- Through whom an entry came.
CREATE OR REPLACE FUNCTION kerfcard.through(of_tablet text, at_count int) RETURNS text LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
  SELECT l.word FROM kerfcard.entries e JOIN kerfcard.logins l ON l.id = e.login
  WHERE e.shop = kerfcard.my_shop() AND e.tablet = of_tablet AND e.count = at_count ORDER BY e.lost LIMIT 1 $$;

CREATE OR REPLACE FUNCTION kerfcard.greet()
  RETURNS TABLE (version int, oldest int, shop uuid, name text, channel text, word text, keeper boolean)
  LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
  SELECT h.version, h.oldest, s.shop, s.name, s.channel, l.word, l.keeper
  FROM kerfcard.hub h, kerfcard.logins l JOIN kerfcard.shops s USING (shop)
  WHERE l.login = session_user AND l.revoked IS NULL AND l.joined IS NOT NULL $$;

-- Build files, by what is in them.
CREATE OR REPLACE FUNCTION kerfcard.give_build(of_run text, called text, contents bytea) RETURNS void LANGUAGE plpgsql
  SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE mine kerfcard.logins := kerfcard.let_in();
BEGIN
  INSERT INTO kerfcard.files (shop, digest, body, login) VALUES (mine.shop, sha256(contents), contents, mine.id)
    ON CONFLICT DO NOTHING;
  INSERT INTO kerfcard.builds (shop, run, digest, name, login) VALUES (mine.shop, of_run, sha256(contents), called, mine.id)
    ON CONFLICT DO NOTHING;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.builds_kept() RETURNS TABLE (run text, name text, digest text) LANGUAGE sql STABLE
  SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
  SELECT b.run, b.name, encode(b.digest, 'hex') FROM kerfcard.builds b WHERE b.shop = kerfcard.my_shop()
  ORDER BY b.run, b.arrived $$;

CREATE OR REPLACE FUNCTION kerfcard.file(of_digest text) RETURNS bytea LANGUAGE sql STABLE SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
  SELECT f.body FROM kerfcard.files f WHERE f.shop = kerfcard.my_shop() AND f.digest = decode(of_digest, 'hex') $$;

-- Coming and going. A password never comes here, only the SCRAM verifier that the tablet has made of it. -----------------
CREATE OR REPLACE FUNCTION kerfcard.check_verifier(verifier text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  IF verifier !~ '^SCRAM-SHA-256\$[0-9]{4,6}:[A-Za-z0-9+/=]{16,64}\$[A-Za-z0-9+/=]{44}:[A-Za-z0-9+/=]{44}$' THEN
    RAISE EXCEPTION 'that is no verifier' USING ERRCODE = '22023';
  END IF;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.make_login(
    in_shop uuid, called text, verifier text, ends timestamptz, as_keeper boolean, by int)
  RETURNS text LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE new_login text := 'kerf_' || substr(replace(gen_random_uuid()::text, '-', ''), 1, 24);
BEGIN
  PERFORM kerfcard.check_verifier(verifier);
  EXECUTE format('CREATE ROLE %I LOGIN INHERIT NOCREATEDB NOCREATEROLE NOSUPERUSER CONNECTION LIMIT 4 '
                 'PASSWORD %L VALID UNTIL %L', new_login, verifier, ends);
  EXECUTE format('GRANT kerfcard_tablet TO %I', new_login);
  EXECUTE format('ALTER ROLE %I SET synchronous_commit = on', new_login);
  EXECUTE format('ALTER ROLE %I SET statement_timeout = %L', new_login, '60s');
  EXECUTE format('ALTER ROLE %I SET idle_in_transaction_session_timeout = %L', new_login, '20s');
  INSERT INTO kerfcard.logins (login, shop, word, keeper, invited_by, until)
    VALUES (new_login, in_shop, called, as_keeper, by, ends);
  RETURN new_login;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.invite(called text, verifier text, minutes int, as_keeper boolean)
  RETURNS text LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE i kerfcard.logins := kerfcard.let_in();
BEGIN
  IF NOT i.keeper THEN RAISE EXCEPTION 'only a keeper invites' USING ERRCODE = '42501'; END IF;
  RETURN kerfcard.make_login(i.shop, called, verifier,
    clock_timestamp() + make_interval(mins => least(greatest(minutes, 1), 1440)), as_keeper, i.id);
END $$;

CREATE OR REPLACE FUNCTION kerfcard.join_shop(called text, verifier text) RETURNS void LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
DECLARE l kerfcard.logins;
BEGIN
  SELECT * INTO l FROM kerfcard.logins x WHERE x.login = session_user FOR UPDATE;
  IF l.id IS NULL OR l.revoked IS NOT NULL OR l.joined IS NOT NULL OR l.until < clock_timestamp() THEN
    RAISE EXCEPTION 'this invitation is used or too old' USING ERRCODE = 'KF004';
  END IF;
  PERFORM kerfcard.check_verifier(verifier);
  EXECUTE format('ALTER ROLE %I PASSWORD %L VALID UNTIL %L', l.login, verifier, 'infinity');
  UPDATE kerfcard.logins SET joined = clock_timestamp(), word = coalesce(nullif(called, ''), word), until = NULL
    WHERE id = l.id;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.shut_out(who kerfcard.logins) RETURNS void LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
BEGIN
  UPDATE kerfcard.logins SET revoked = clock_timestamp() WHERE id = who.id;
  EXECUTE format('ALTER ROLE %I NOLOGIN PASSWORD NULL', who.login);
END $$;

-- A tablet is lost: it is out, with whomever it had invited since. Answers who is.
CREATE OR REPLACE FUNCTION kerfcard.revoke(who text, since timestamptz) RETURNS SETOF text LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS $$
DECLARE i kerfcard.logins := kerfcard.let_in(); l kerfcard.logins;
BEGIN
  IF NOT i.keeper THEN RAISE EXCEPTION 'only a keeper takes a tablet out' USING ERRCODE = '42501'; END IF;
  FOR l IN WITH RECURSIVE gone AS (
      SELECT x.* FROM kerfcard.logins x WHERE x.login = who AND x.shop = i.shop
      UNION SELECT y.* FROM kerfcard.logins y JOIN gone g ON y.invited_by = g.id WHERE y.invited >= since)
    SELECT * FROM gone WHERE gone.id <> i.id AND gone.revoked IS NULL LOOP
    PERFORM kerfcard.shut_out(l);
    PERFORM pg_terminate_backend(a.pid) FROM pg_stat_activity a WHERE a.usename = l.login;
    RETURN NEXT l.word;
  END LOOP;
END $$;

CREATE OR REPLACE FUNCTION kerfcard.leave() RETURNS void LANGUAGE plpgsql SECURITY DEFINER
  SET search_path = pg_catalog, pg_temp AS
  $$ BEGIN PERFORM kerfcard.shut_out(kerfcard.let_in()); END $$;

-- Who may do what ---------------------------------------------------------------------------------------------------
DO $$
DECLARE each text;
BEGIN
  FOREACH each IN ARRAY ARRAY['entries', 'files', 'builds'] LOOP
    EXECUTE format('ALTER TABLE kerfcard.%I ENABLE ROW LEVEL SECURITY', each);
    EXECUTE format('DROP POLICY IF EXISTS own ON kerfcard.%I', each);
    EXECUTE format('CREATE POLICY own ON kerfcard.%I USING (shop = (SELECT kerfcard.my_shop()))', each);
  END LOOP;
END $$;
REVOKE ALL ON ALL TABLES IN SCHEMA kerfcard FROM PUBLIC, kerfcard_tablet;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA kerfcard FROM PUBLIC, kerfcard_tablet;
GRANT USAGE ON SCHEMA kerfcard TO kerfcard_tablet;
GRANT SELECT ON kerfcard.entries, kerfcard.files, kerfcard.builds TO kerfcard_tablet;
GRANT EXECUTE ON FUNCTION kerfcard.my_shop, kerfcard.ends, kerfcard.give, kerfcard.tell, kerfcard.take, kerfcard.between,
  kerfcard.gaps, kerfcard.meet, kerfcard.members, kerfcard.words, kerfcard.through, kerfcard.greet, kerfcard.give_build, kerfcard.builds_kept,
  kerfcard.file, kerfcard.invite, kerfcard.join_shop, kerfcard.revoke, kerfcard.leave TO kerfcard_tablet;
