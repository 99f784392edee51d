"""Boards: the plan, the current board, shopping, and planning again."""
