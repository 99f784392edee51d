"""Drawings of pieces, boards and label sheets, to scale."""
