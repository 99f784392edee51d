"""What every card is made from: the run, what has been done, the boards as the log has them, and the time."""
