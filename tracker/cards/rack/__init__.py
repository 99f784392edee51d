"""The boards on hand: those of the build file, the offcuts, and what was measured in on the tablet."""
