"""What a maker has already, read in: a cut list from a spreadsheet. Nothing is taken that nobody looked at."""
