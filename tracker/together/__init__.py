"""Several tablets, one shop: facts go to and fro through a PostgreSQL server, the hub.

The hub decides nothing and computes nothing: it is a set of rows that only grows. No cursor is kept anywhere: the last
count of every tablet, here and there, says what is missing on either side, and the chain at that count says whether
both go the same way. So a hub or a tablet that was put back to an older state needs nothing special.

`exchange`, `branch`, `invitation` and `line` decide and are pure; `connection`, `server` and `joining` speak to
PostgreSQL; `companion` is the thread that keeps a tablet together with its hub. Only who is joined to a hub loads
psycopg.
"""
