"""From the text of a build file to values with their lines, and the messages for text that isn't TOML."""
