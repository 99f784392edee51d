"""The trade's computation: geometry, saw settings and setups, boards, species."""
