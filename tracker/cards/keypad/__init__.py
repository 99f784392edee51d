"""Entries typed on full-size keys: numbers, times, tape readings."""
