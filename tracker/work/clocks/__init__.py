"""Waits: how long each is, how much of it has passed, and which call for a person."""
