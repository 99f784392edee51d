"""The card of the piece in hand."""
