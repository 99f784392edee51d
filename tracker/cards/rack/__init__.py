"""The boards on hand: those of the build file, the offcuts, and those measured and entered on the tablet."""
