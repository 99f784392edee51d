"""What has been done and what may be done: facts, routes, state, decide, clocks, codes."""
