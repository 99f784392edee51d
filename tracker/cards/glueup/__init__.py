"""Glue-ups: their members, the checklist, times, plugs and checks at the end."""
