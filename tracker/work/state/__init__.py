"""The state folded from the log: records, the effect of each fact, and replay."""
