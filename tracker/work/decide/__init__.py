"""What may be done: intents, what each one needs, the facts that it makes, and undo."""
