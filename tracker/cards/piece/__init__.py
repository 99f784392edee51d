"""The card of the current piece."""
