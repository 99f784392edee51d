"""The trade's tables: lumber, woods by name, glues, finishes, spread rates, a shop's usual saw and tape."""
