"""Cards as plain data and as text, for the commands."""
