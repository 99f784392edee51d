"""What may be done: intents, their requirements, the facts they make, and undo."""
