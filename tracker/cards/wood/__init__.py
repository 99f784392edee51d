"""What the wood will do, shown at the step where it matters."""
