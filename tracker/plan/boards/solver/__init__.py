"""The cutting-stock solver: a plan at once, then better ones and a bound, until the two meet."""
