"""The tablet itself: camera, sound, keyboard scanner, background work."""
