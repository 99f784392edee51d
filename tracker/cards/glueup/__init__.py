"""Glue-ups: what goes in, the checklist, times, plugs and proofs."""
