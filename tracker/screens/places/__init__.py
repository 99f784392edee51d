"""One module a place: what the rail and More lead to."""
