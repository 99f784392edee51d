"""Widgets, type, colours and touch that know nothing of the trade."""
