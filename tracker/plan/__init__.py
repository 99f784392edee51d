"""The trade's computations: geometry, saw settings and setups, boards, species."""
