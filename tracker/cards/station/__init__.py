"""What can be done at a station."""
