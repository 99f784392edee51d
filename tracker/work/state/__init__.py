"""What the log says, folded: records, what each fact does to them, and replay."""
