"""From the text of a build file to values with the lines they came from, and what to say when it is no TOML."""
