"""What the wood will do, at the step where it matters."""
