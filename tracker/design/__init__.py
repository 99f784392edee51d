"""The build file: its model, loading and checking it, and formulas."""
