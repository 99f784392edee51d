"""Reading what a maker already has: a cut list in a spreadsheet, a drawing. The person reviews it before it is used."""
