"""The log on disk."""
