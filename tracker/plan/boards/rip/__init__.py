"""Wide boards ripped into narrower parts, and sheets."""
