"""Drawings of outlines: SVG and DXF in, closed curves out."""

from tracker.intake.drawings.drawing import Drawing, outline_text, read_drawing

__all__ = ["Drawing", "outline_text", "read_drawing"]
