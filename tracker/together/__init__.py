"""Several tablets, one shop: facts are exchanged through a PostgreSQL server, the hub.

The hub decides nothing and computes nothing: it is a set of rows that only grows. No cursor is stored anywhere: the
last count of every tablet, here and there, tells what is missing on either side, and the chain at that count tells
whether both have the same history. So a hub or a tablet restored to an older state needs no special treatment.

`exchange`, `branch` and `invitation` decide and are pure; `connection`, `server` and `joining` speak to PostgreSQL;
`companion` is the thread that keeps a tablet in touch with its hub. psycopg is imported only on a tablet that has
joined a hub.
"""
