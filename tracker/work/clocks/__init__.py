"""Waits: how long each one is, how much of it has passed, and which ones call for a person."""
