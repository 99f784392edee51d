"""Planning again in the middle of the work, moving as little as possible."""
